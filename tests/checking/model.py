"""What the checker reads from a plan: the site's ground, and each zone turned so that its boards run along x.

Terminology
-----------
field           the boards and hatches of a zone; strips are its border: the rings of one edge, or one divider.
along, across   board axes: along is the boards' direction, across is square to it, towards their left.
boardable       where boards may lie: the outline less openings, obstacles with clearance and the wall gap.
facing          two pieces face each other where a straight line from one meets the other with nothing laid between.

Lengths in mm. Only the plan file's keys are used here; nothing of the engine is.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon, STRtree

TOLERANCE = 0.5
"""What a position or gap may be out by [mm]; the plan's contract."""
NOISE = 0.01
"""Rounding of written coordinates [mm]; far under anything that can be sawn."""
SUPPORTS = frozenset({"joist", "double", "ledger", "rim", "nogging"})
"""Roles of the members that a board may rest on."""
RINGS = ("border", "nosing")
"""Kinds of piece that run along an edge or a seam, in rings."""
FIELD = ("board", "hatch")
"""Kinds of piece that lie in the courses of a zone."""
FLAT = (*FIELD, *RINGS)
"""Kinds of piece that are walked on."""
PLACE = re.compile(r"-(?P<line>[EFSH]\d+)(?:R(?P<ring>\d+))?-")
"""What an id tells of a border (E: edge, S: seam), a fascia (F) or a hatch (H) piece."""
SAME_WAY = 0.1
"""Angle [degrees] within which two directions are the same."""

Record = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Fault:
    """One broken rule: its number in the contract (0: the file itself), the parts, and where [mm] on the site."""

    rule: int
    ids: tuple[str, ...]
    message: str
    place: tuple[float, float] = (math.nan, math.nan)

    def __str__(self) -> str:
        where = "" if math.isnan(self.place[0]) else f" at ({self.place[0]:.0f}, {self.place[1]:.0f})"
        return f"rule {self.rule}: {', '.join(self.ids)}{where}: {self.message}"


def area(record: Record) -> Polygon:
    """Polygon of a plan file's `{"outer": ..., "holes": ...}`."""
    return Polygon(record["outer"], record.get("holes", ()))


def turned(shape: Any, degrees: float) -> Any:
    """Shape, or array of shapes, turned about the origin, anticlockwise."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return shapely.transform(shape, lambda xy: xy @ np.array([[c, s], [-s, c]]))


def placed(piece: Record) -> tuple[str, int]:
    """Line of a piece that is none of a zone's boards, such as E3, S1, F3 or H2, and its ring (0: none)."""
    found = PLACE.search(piece["id"])
    return (found["line"], int(found["ring"] or 0)) if found else ("", 0)


def angle_between(one: float, two: float) -> float:
    """Angle [degrees] between two lines given by direction, 0 to 90."""
    apart = abs(one - two) % 180.0
    return min(apart, 180.0 - apart)


@dataclass(frozen=True)
class Ground:
    """One deck of the site as the plan file writes it out, with every default filled in."""

    site: Record
    number: int = 0
    """0 is the site's own deck, n the n-th further one."""
    laid: tuple[Record, ...] = ()
    """Pieces of the deck that are walked on."""
    lines: frozenset[int] = frozenset()
    """Edges of the outline for which a border, nosing or fascia piece is named."""

    @property
    def deck(self) -> Record:
        """The deck's own table."""
        return self.site["decks"][self.number - 1] if self.number else self.site["deck"]

    @property
    def gaps(self) -> dict[str, float]:
        """Gaps at laying: course, butt, wall, obstacle."""
        return self.site["gaps"]

    @property
    def surface(self) -> float | None:
        """Top of the boards above the datum [mm]; None where the file does not say."""
        return self.deck.get("surface")

    @cached_property
    def outline(self) -> Polygon:
        """Finished outer line of the boarding."""
        return Polygon(self.deck["outline"])

    @cached_property
    def openings(self) -> Any:
        """All that stays unboarded by the drawing."""
        return shapely.union_all([Polygon(ring) for ring in self.deck["openings"]])

    @cached_property
    def obstacles(self) -> Any:
        """All obstacles that boards are cut round, grown by their clearances."""
        return shapely.union_all([_grown(o, self.gaps["obstacle"]) for o in _cut_round(self.site)])

    @cached_property
    def house(self) -> Any:
        """Edges of the outline that stand against a wall."""
        ring, edges = self.deck["outline"], self.deck["house_edges"] or ()
        return shapely.union_all([LineString([ring[i], ring[(i + 1) % len(ring)]]) for i in edges])

    @cached_property
    def boardable(self) -> Any:
        """Where boards may lie."""
        wall_band = self.house.buffer(self.gaps["wall"]) if self.gaps["wall"] > 0 else Polygon()
        return self.outline - self.openings - self.obstacles - wall_band

    @cached_property
    def shapes(self) -> np.ndarray:
        """Polygons of `laid`, (n,)."""
        return np.array([area(p["polygon"]) for p in self.laid], dtype=object)

    @cached_property
    def bare(self) -> Any:
        """Boardable ground with nothing laid on it, the gaps included."""
        return self.boardable - shapely.union_all(self.shapes)


def _cut_round(site: Record) -> list[Record]:
    return [o for o in site["obstacles"] if o.get("treatment", "cut") == "cut"]


def footprint(obstacle: Record) -> Polygon:
    """Obstacle itself."""
    return _grown(obstacle | {"clearance": 0.0}, 0.0)


def _grown(obstacle: Record, default_clearance: float) -> Polygon:
    """Obstacle with its clearance; arcs in steps fine enough to be true to 0.05 mm at a radius of 1 m."""
    clearance = obstacle.get("clearance")
    clearance = default_clearance if clearance is None else clearance
    if obstacle.get("outline") is not None:
        shape = Polygon(obstacle["outline"])
    elif obstacle.get("diameter") is not None:
        return Point(obstacle["centre"]).buffer(obstacle["diameter"] / 2 + clearance, quad_segs=90)
    else:
        (x, y), (w, d) = obstacle["centre"], obstacle["size"]
        about = turned(shapely.box(-w / 2, -d / 2, w / 2, d / 2), obstacle.get("rotation") or 0.0)
        shape = shapely.transform(about, lambda xy: xy + np.array([x, y]))
    return shape.buffer(clearance, quad_segs=32)


@dataclass(frozen=True)
class Zone:
    """A zone's field, or the rings along one line, in board axes: turned so that the boards run along x."""

    record: Record
    ground: Ground
    pieces: list[Record]
    members: list[Record]

    @property
    def direction(self) -> float:
        """Degrees from the site's +x to the boards."""
        return float(self.record["direction"])

    @cached_property
    def shapes(self) -> np.ndarray:
        """Pieces' polygons, (n,)."""
        return turned(np.array([area(p["polygon"]) for p in self.pieces], dtype=object), -self.direction)

    @cached_property
    def tree(self) -> STRtree:
        """Pieces by place."""
        return STRtree(self.shapes)

    @cached_property
    def number(self) -> dict[str, int]:
        """Each piece's position in `pieces`."""
        return {p["id"]: i for i, p in enumerate(self.pieces)}

    @cached_property
    def centre_lines(self) -> np.ndarray:
        """Members' centre lines in plan, (m,)."""
        lines = [LineString([m["from"][:2], m["to"][:2]]) for m in self.members]
        return turned(np.array(lines, dtype=object), -self.direction)

    @cached_property
    def footprints(self) -> np.ndarray:
        """Members' footprints: the centre line with half the breadth to each side, ends square, (m,)."""
        halves = [m["section"][0] / 2 for m in self.members]
        return shapely.buffer(self.centre_lines, np.array(halves, dtype=float), cap_style="flat")

    @cached_property
    def boardable(self) -> Any:
        """Where boards may lie."""
        return turned(self.ground.boardable, -self.direction)

    @cached_property
    def bare(self) -> Any:
        """Boardable ground with nothing laid on it, the gaps included."""
        bare = turned(self.ground.bare, -self.direction)
        shapely.prepare(bare)
        return bare

    def carries(self, m: int, i: int) -> bool:
        """Whether a piece may rest on a member: a panel's batten lifts out, so that only its own boards do."""
        return not is_batten(self.members[m]) or self.pieces[i]["kind"] == "hatch"

    def place(self, shape: Any) -> tuple[float, float]:
        """Site coordinates of a point of a shape given in board axes."""
        point = turned(shape.representative_point(), self.direction)
        return (round(point.x, 1), round(point.y, 1))


def is_batten(member: Record) -> bool:
    """Whether a member is one of a hatch's own battens."""
    return "-hatch-" in member["id"]


@dataclass(frozen=True)
class Reading:
    """A plan file with its parts by id and its zones in board axes."""

    plan: Record
    grounds: list[Ground]
    zones: list[Zone]
    strips: list[Zone]
    faults: list[Fault] = field(default_factory=list)

    @property
    def ground(self) -> Ground:
        """The site's own deck."""
        return self.grounds[0]

    @cached_property
    def deck_of(self) -> dict[str, int]:
        """Number of the deck of each zone."""
        return {z["id"]: z.get("deck", 0) for z in self.plan["zones"]}

    @cached_property
    def pieces(self) -> dict[str, Record]:
        """Pieces by id."""
        return {p["id"]: p for p in self.plan["pieces"]}

    @cached_property
    def members(self) -> dict[str, Record]:
        """Members by id."""
        return {m["id"]: m for m in self.plan["members"]}

    @cached_property
    def fixings_of(self) -> dict[str, list[Record]]:
        """Fixings by member."""
        found: dict[str, list[Record]] = defaultdict(list)
        for fixing in self.plan["fixings"]:
            found[fixing["member"]].append(fixing)
        return found

    @cached_property
    def named_in_checks(self) -> set[str]:
        """Every word of every check's message, so that an id is found whole and never as a part of another."""
        return {word for check in self.plan["checks"] for word in re.findall(r"[\w-]*\w", check["message"])}

    @cached_property
    def named_unsupported(self) -> set[str]:
        """Pieces of which a failing check says that they lack support, so that the builder is told where to add it."""
        texts = [c["message"] for c in self.plan["checks"] if not c["ok"] and "lacks support" in c["message"]]
        return {word for text in texts for word in re.findall(r"[\w-]*\w", text)}

    def excused(self, about: str, name: str) -> bool:
        """Whether a failing check of which the id says what it is about names a part that is not as it should be."""
        wanted = re.compile(rf"(?<![\w-]){re.escape(name)}(?![\w-])")
        rows = (c for c in self.plan["checks"] if not c["ok"] and re.search(about, c["id"]))
        return any(wanted.search(f"{c['id']} {c['message']}") for c in rows)

    @property
    def existing_frame(self) -> bool:
        """Whether the frame stands already and may not be moved."""
        return self.ground.site["frame"]["state"] == "existing"


def place_in_order(course: int) -> int:
    """Place of a course among its neighbours; those behind the start edge are numbered -1, -2, … away from it."""
    return course if course > 0 else course + 1


def parts(shape: Any) -> list[Polygon]:
    """Polygons of a shape, without what has no area."""
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    if isinstance(shape, MultiPolygon) or shape.geom_type == "GeometryCollection":
        return [p for p in shape.geoms if isinstance(p, Polygon)]
    return []

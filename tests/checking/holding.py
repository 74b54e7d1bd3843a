"""Rule 7: every piece is held on every joist that it crosses."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Point, STRtree

from .model import SUPPORTS, TOLERANCE, Fault, Reading, Record, Zone, is_batten, turned

LEAST_CHORD = 40.0
"""Width [mm] over a joist from which a piece crosses it; of a narrower piece, most of its width."""
LEAST_SEAT = 200.0
"""Shared area [mm2] from which an end lies on a joist at all, as for its bearing."""
LEAST_BEARING = 20.0
"""Bearing [mm] along the board from which an end lies on a joist whose centre line it does not reach; the contract."""
CLIP_REACH = 5.0
"""How far past the gap beside a board the point of its clip may lie [mm]: half a clip's width."""
ALONG_SLACK = 25.0
"""How far along the board from the joist's centre line a fixing of its may lie [mm]: about half a joist's breadth."""
PAST_THE_JOIST = 75.0
"""The same [mm] where the joist stops short of that side: the fixing is then in the timber that it butts on."""
STEEP = 30.0
"""Angle [degrees] to the boards from which an edge is an end and no long side: no clip holds there."""
ROOM_FOR_TWO = 60.0
"""Width [mm] of a board from which two screws stand beside each other in it: 20 mm from either edge and 20 apart."""
ON_TIMBER = 1.0
"""How far off a member's footprint a fixing on it may lie [mm]: none, but for rounding."""


@dataclass(frozen=True, slots=True)
class Crossing:
    """A piece over a joist: the line, from low to high across, at which it is held."""

    piece: int
    member: int
    low: tuple[float, float]
    high: tuple[float, float]
    reached: tuple[bool, bool]
    """Whether the joist runs on past the gap there; if not, the ledger, rim or next joist may hold the clip."""
    slack: float
    """How far along the board from the joist's centre line its fixing may lie [mm]: more, the flatter it passes."""


def pieces_are_held(zone: Zone, reading: Reading) -> Iterator[Fault]:
    """Rule 7, at each crossing: a fixing at either long side, or screws through the face.

    A side that is the piece's cut end, or lies against an obstacle (the flank of a notch), takes no clip;
    the other side then holds the piece, and where neither can, one fixing in its width must.
    """
    crossings = list(_crossings(zone, ("joist", "double")))
    if not crossings:
        return
    fixings = reading.plan["fixings"]
    points = turned(shapely.points([f["at"] for f in fixings]), -zone.direction) if fixings else np.array([])
    tree = STRtree(points)
    beside = max(zone.ground.gaps["course"], zone.ground.gaps["wall"]) + CLIP_REACH
    at_low, at_high, across = (_fixings_near(tree, crossings, end, beside) for end in ("low", "high", "both"))
    obstacles, timber = turned(reading.ground.obstacles, -zone.direction), STRtree(zone.footprints)
    for k, crossing in enumerate(crossings):
        piece, member = zone.pieces[crossing.piece], zone.members[crossing.member]
        if piece["kind"] != "board":
            continue
        if _lies_flat(zone, crossing.member):
            yield from _held_somewhere(zone, crossing, reading)
            continue
        own = [f for f in across[k] if fixings[f]["member"] == member["id"]]
        if any(fixings[f]["kind"] == "screw" and fixings[f]["piece"] == piece["id"] for f in own):
            continue
        clips = 0
        for end, near, reached in zip(
            (crossing.low, crossing.high), (at_low[k], at_high[k]), crossing.reached, strict=True
        ):
            clips += len(near)
            held = any(not reached or fixings[f]["member"] == member["id"] for f in near)
            carried = reached or len(timber.query(Point(end), predicate="dwithin", distance=ON_TIMBER))
            if not held and carried and _takes_a_clip(zone, crossing.piece, end, obstacles):
                message = f"is not held at a side on {member['id']}"
                yield Fault(7, (piece["id"], member["id"]), message, zone.place(Point(end)))
        if not clips and not own:
            message = f"is not held on {member['id']}"
            yield Fault(7, (piece["id"], member["id"]), message, zone.place(Point(crossing.low)))


def _fixings_near(tree: STRtree, crossings: list[Crossing], end: str, beside: float) -> dict[int, list[int]]:
    """Find the fixings at one end of each crossing, or anywhere over it, by position in `crossings`."""
    ends = [((c.low, c.high) if end == "both" else (getattr(c, end),)) for c in crossings]
    boxes = []
    for crossing, of in zip(crossings, ends, strict=True):
        reached = {"low": crossing.reached[0], "high": crossing.reached[1], "both": True}[end]
        slack = crossing.slack if reached else max(crossing.slack, PAST_THE_JOIST)
        (low_x, high_x), (low_y, high_y) = ((min(v), max(v)) for v in zip(*of, strict=True))
        boxes.append(shapely.box(low_x - slack, low_y - beside, high_x + slack, high_y + beside))
    near: dict[int, list[int]] = defaultdict(list)
    for k, f in tree.query(boxes, predicate="intersects").T:
        near[int(k)].append(int(f))
    return near


def _crossings(zone: Zone, roles: Collection[str]) -> Iterator[Crossing]:
    """Find where pieces cross joists: on the joist's centre line, or midway over the bearing of an end beside it."""
    numbers = [i for i, m in enumerate(zone.members) if m["role"] in roles]
    if not zone.pieces or not numbers:
        return
    found, over = STRtree(zone.footprints[numbers]).query(zone.shapes, predicate="intersects")
    over = np.array(numbers)[over]
    seats = shapely.intersection(zone.shapes[found], zone.footprints[over])
    chords = shapely.intersection(zone.shapes[found], zone.centre_lines[over])
    for i, m, chord, seat in zip(found, over, chords, seats, strict=True):
        x = chord.centroid.x if not chord.is_empty else seat.centroid.x if not seat.is_empty else math.nan
        if chord.is_empty and not (seat.area >= LEAST_SEAT and seat.bounds[2] - seat.bounds[0] >= LEAST_BEARING):
            continue
        yield from _over(zone, int(i), int(m), x, chord if not chord.is_empty else seat)


def _over(zone: Zone, i: int, m: int, x: float, under: Any) -> Iterator[Crossing]:
    """Draw the piece's whole width at a joist that lies under at least 40 mm of it."""
    low, high = zone.shapes[i].bounds[1] - 1.0, zone.shapes[i].bounds[3] + 1.0
    (x0, y0), (x1, y1) = sorted(zone.centre_lines[m].coords, key=lambda xy: xy[1])
    slope = (x1 - x0) / (y1 - y0) if y1 > y0 else 0.0
    middle = under.centroid.y
    line = LineString([(x + slope * (y - middle), y) for y in (low, high)]).intersection(zone.shapes[i])
    least = min(LEAST_CHORD, 0.6 * zone.pieces[i]["width"])
    for part in shapely.get_parts(line):
        if part.geom_type != "LineString" or part.is_empty:
            continue
        ends = sorted(part.coords, key=lambda xy: xy[1])
        covered = max(0.0, min(ends[-1][1], y1) - max(ends[0][1], y0))
        if covered >= least:
            past = zone.ground.gaps["course"]
            reached = (y0 <= ends[0][1] - past, y1 >= ends[-1][1] + past)
            yield Crossing(i, m, ends[0], ends[-1], reached, ALONG_SLACK * math.hypot(1.0, slope))


def _held_somewhere(zone: Zone, crossing: Crossing, reading: Reading) -> Iterator[Fault]:
    """Rule 7 where a joist passes under a piece at a flat angle: one fixing on it, beside the piece or through it."""
    member, shape = zone.members[crossing.member], zone.shapes[crossing.piece]
    seat = shape.intersection(zone.footprints[crossing.member])
    reach = max(zone.ground.gaps["course"], zone.ground.gaps["wall"]) + CLIP_REACH
    at = [f["at"] for f in reading.fixings_of[member["id"]]]
    near = turned(shapely.points(at), -zone.direction) if at else np.array([])
    if not np.any(shapely.distance(near, seat) <= reach):
        ids = (zone.pieces[crossing.piece]["id"], member["id"])
        yield Fault(7, ids, f"is not held on {member['id']}, which runs along under it", zone.place(seat))


def screwed_pieces_are_held(zone: Zone, reading: Reading) -> Iterator[Fault]:
    """Rule 7 for borders, nosings and hatches: two screws at each member that crosses them, or clips on both sides.

    A lift-out panel is screwed to its own battens and to nothing else.
    """
    screwed = [i for i, p in enumerate(zone.pieces) if p["kind"] != "board"]
    if not screwed:
        return
    own: dict[str, list[Record]] = defaultdict(list)
    for fixing in reading.plan["fixings"]:
        own[fixing["piece"]].append(fixing)
    for crossing in _crossings(zone, SUPPORTS):
        piece, member = zone.pieces[crossing.piece], zone.members[crossing.member]
        if (
            piece["kind"] == "board"
            or _lies_flat(zone, crossing.member)
            or not zone.carries(crossing.member, crossing.piece)
        ):
            continue
        if piece["kind"] == "hatch" and not is_batten(member):
            continue
        here = [f for f in own[piece["id"]] if f["member"] == member["id"]]
        screws = sum(f["kind"] == "screw" for f in here)
        wanted = 2 if math.dist(crossing.low, crossing.high) >= ROOM_FOR_TWO else 1
        if screws < wanted and len(here) - screws < 2:
            message = f"{screws} screws on {member['id']}, not {wanted}"
            yield Fault(7, (piece["id"], member["id"]), message, zone.place(Point(crossing.low)))
    for i in screwed:
        # Where no timber lies under a piece, there is nothing to screw it to: `checks` asks for some.
        if zone.pieces[i]["id"] not in reading.named_unsupported:
            yield from _screwed_all_along(zone, i, own[zone.pieces[i]["id"]])


def _screwed_all_along(zone: Zone, i: int, fixings: list[Record]) -> Iterator[Fault]:
    """Rule 7, also where nothing crosses a piece: no stretch of it longer than `max_centres` is loose."""
    piece, (low, _, high, _) = zone.pieces[i], zone.shapes[i].bounds
    at = [turned(Point(f["at"]), -zone.direction).x for f in fixings]
    frame = zone.ground.site["frame"]
    longest = max(b - a for a, b in pairwise(sorted([low, *at, high])))
    # A support's breadth, since a screw need not stand on its middle.
    if longest > frame["max_centres"] + frame["section"][0]:
        yield Fault(7, (piece["id"],), f"{longest:.0f} mm of it without a fixing", zone.place(zone.shapes[i]))


def _lies_flat(zone: Zone, m: int) -> bool:
    """Whether a member runs along the boards rather than across them."""
    (x0, y0), (x1, y1) = zone.centre_lines[m].coords
    return math.degrees(math.atan2(abs(y1 - y0), abs(x1 - x0))) < STEEP


def hatches_lift_out(reading: Reading) -> Iterator[Fault]:
    """Rule 7: no clip holds a hatch and the field together, and a hatch is fixed to its own battens alone."""
    reach = reading.ground.gaps["course"] + CLIP_REACH
    for ground in reading.grounds:
        hatch = np.array([p["kind"] == "hatch" for p in ground.laid])
        if not hatch.any():
            continue
        panel, field = STRtree(ground.shapes[hatch]), STRtree(ground.shapes[~hatch])
        here = {p["id"] for p in ground.laid}
        for fixing in reading.plan["fixings"]:
            if fixing["piece"] not in here:
                continue
            own = reading.pieces[fixing["piece"]]["kind"] == "hatch"
            batten = is_batten(reading.members[fixing["member"]]) if fixing["member"] in reading.members else own
            if own is not batten:
                message = f"is fixed to {fixing['member']}: a panel and the frame stay apart"
                yield Fault(7, (fixing["piece"],), message, tuple(fixing["at"]))
            point = Point(fixing["at"])
            near = [len(tree.query(point, predicate="dwithin", distance=reach)) for tree in (panel, field)]
            if fixing["kind"] == "clip" and all(near):
                yield Fault(7, (fixing["piece"],), "a clip that holds a hatch and the field", tuple(fixing["at"]))


def fixings_touch_their_parts(reading: Reading) -> Iterator[Fault]:
    """Rule 7, the other way round: each fixing lies on its member and beside or through its piece."""
    gaps = reading.ground.gaps
    reach = max(gaps["course"], gaps["wall"], gaps["butt"]) + CLIP_REACH
    for fixing in reading.plan["fixings"]:
        if fixing["piece"] not in reading.pieces or fixing["member"] not in reading.members:
            ids = (fixing["piece"], fixing["member"])
            yield Fault(7, ids, f"a {fixing['kind']} between parts that are not there", tuple(fixing["at"]))
    for zone in (*reading.zones, *reading.strips):
        numbers = {m["id"]: i for i, m in enumerate(zone.members)}
        rows = [f for f in reading.plan["fixings"] if f["piece"] in zone.number and f["member"] in numbers]
        if not rows:
            continue
        points = turned(shapely.points([f["at"] for f in rows]), -zone.direction)
        off_piece = shapely.distance(points, zone.shapes[[zone.number[f["piece"]] for f in rows]]) > reach
        inside = (
            shapely.distance(points, shapely.boundary(zone.shapes[[zone.number[f["piece"]] for f in rows]])) > reach
        )
        off_piece |= inside & np.array([f["kind"] != "screw" for f in rows])
        through = np.array([f["kind"] == "screw" for f in rows])
        off_piece |= through & (
            shapely.distance(points, zone.shapes[[zone.number[f["piece"]] for f in rows]]) > TOLERANCE
        )
        off_member = shapely.distance(points, zone.footprints[[numbers[f["member"]] for f in rows]]) > ON_TIMBER
        for k in np.flatnonzero(off_piece | off_member):
            part = rows[k]["piece"] if off_piece[k] else rows[k]["member"]
            yield Fault(7, (part,), f"a {rows[k]['kind']} that does not reach it", tuple(rows[k]["at"]))
    # The rings of a fascia lie one under the other: their screws share a place in plan.
    edgewise = {p["id"] for p in reading.plan["pieces"] if p["kind"] == "fascia"}
    spots = Counter(
        (f["member"], f["piece"] if f["piece"] in edgewise else "", round(f["at"][0]), round(f["at"][1]))
        for f in reading.plan["fixings"]
    )
    for (member, _, x, y), times in spots.items():
        if times > 1:
            yield Fault(7, (member,), f"{times} fixings in one spot", (x, y))


def _takes_a_clip(zone: Zone, piece: int, end: tuple[float, float], obstacles: Any) -> bool:
    point, shape = Point(end), zone.shapes[piece]
    if obstacles.distance(point) < 1.0:
        return False
    corners = np.concatenate([np.column_stack([r[:-1], r[1:]]) for r in _rings(shape)])
    edges = shapely.linestrings(corners.reshape(-1, 2, 2))
    x0, y0, x1, y1 = corners[int(np.argmin(shapely.distance(edges, point)))]
    slope = abs(math.degrees(math.atan2(y1 - y0, x1 - x0)))
    return min(slope, 180.0 - slope) <= STEEP


def _rings(piece: Any) -> list[np.ndarray]:
    return [shapely.get_coordinates(ring) for ring in (piece.exterior, *piece.interiors)]

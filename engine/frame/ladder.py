"""The frame under edge boards that joists do not cross: rim, a member along their inner side, noggings between.

Under a border along the boards joists run through to the rim and carry it. Along every other edge the joists stop
at a member under the seam of border and field, which bears the field's ends and the border's inner side.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..layout.axes import Axes, same_way
from ..layout.border import GENTLE, Mitre, depth_of
from ..layout.clip import areas
from ..layout.pieces import LaidPiece
from ..layout.sides import Side
from ..layout.trim import EdgeBoards, JointedStrip
from ..layout.zones import ZoneArea
from ..spec import Site
from .edges import Timber, along_lines
from .ground import Ground, strip_of
from .joists import SHORTEST_NOGGING
from .resting import Support, support
from .support import bearings, gaps, halves, rests

STEEPEST = math.radians(80.0)
"""At a corner that turns more than this the edge is as good as square to the ladder."""
DEEPEST = 1000.0
"""No ladder is deeper than this [mm]: four rings of the widest board."""
BEVELLED = 0.3
"""Share of a nogging that may be cut off where it meets its neighbours at a slant."""
LARGEST_BEVEL = 1200.0
"""No more is cut off [mm2]: about half the square of its breadth, as at a mitre of 45 degrees."""
LEAST_SEAT = 25.0
"""A nogging bears a board's end on no less of its width [mm]; common practice, no source."""
DOUBLED = 50.0
"""A nogging this near to a joint is one of the pair under it [mm]: its breadth, or a little more."""


def ladder_area(site: Site, zone: ZoneArea, sides: Sequence[Side], axes: Axes) -> BaseGeometry:
    """Where the frame of a zone is a ladder, in site axes: along trimmed edges that do not run along the boards."""
    bands: list[BaseGeometry] = []
    for before, side, after in zip((sides[-1], *sides[:-1]), sides, (*sides[1:], sides[0]), strict=True):
        if not side.rings or same_way(side.angle, axes.angle):
            continue
        deep = max(site.frame.section[0], depth_of(site, side))
        start, end = -_reach(deep, before, side, before), side.length + _reach(deep, side, after, after)
        at, along, inward = np.asarray(side.start), side.along, side.inward
        corners = ((start, 0.0), (end, 0.0), (end, deep), (start, deep))
        bands.append(Polygon([at + u * along + v * inward for u, v in corners]))
    if site.pattern.seam == "divider" and not zone.seams.is_empty:
        deep = max(site.frame.section[0], site.boards.width / 2)
        bands.append(zone.seams.buffer(deep, cap_style="flat", join_style="mitre"))
    return shapely.union_all(bands)


def _reach(deep: float, side: Side, following: Side, neighbour: Side) -> float:
    """How far a ladder reaches on past a corner: to the mitre of one that points into the deck, else to the edge."""
    turn = math.acos(max(-1.0, min(1.0, float(side.along @ following.along))))
    if float(side.inward @ following.along) < 0.0:
        return deep * math.tan(turn / 2) if neighbour.rings else 0.0
    straight_on = not neighbour.rings and turn < GENTLE
    return 0.0 if straight_on or turn > STEEPEST else deep * math.tan(turn)


def ladders(
    site: Site,
    axes: Axes,
    ground: Ground,
    rims: Sequence[Timber],
    edging: EdgeBoards,
) -> tuple[tuple[Timber, ...], tuple[Timber, ...]]:
    """Members under edge boards, in board axes.

    Returns
    -------
    members, diagonals : tuple of Timber
        Rims, inner members and noggings; and the pairs under mitres, which joists may still cut.
    """
    if ground.ladders.is_empty and not edging.pieces:
        return tuple(rims), ()
    breadth = ground.breadth
    rim = shapely.union_all([strip_of(t.start, t.end, breadth) for t in rims])
    inner = along_lines(ground, ground.inner_line, lambda a, b: "rim", taken=rim)
    solid = shapely.union_all([rim, *(strip_of(t.start, t.end, breadth) for t in inner)])
    within_rims = ground.deck.buffer(-breadth + 0.5, join_style="mitre", mitre_limit=20.0)
    room = areas(ground.whole.intersection(within_rims).difference(solid))
    diagonals = [t for mitre in edging.mitres for t in _under_mitre(axes, mitre, breadth, room)]
    under_mitres = shapely.union_all([strip_of(t.start, t.end, breadth) for t in diagonals])
    ladder = _Ladder(axes, breadth, areas(room.intersection(ground.ladders).difference(under_mitres)))
    for timber in (*rims, *inner, *diagonals):
        ladder.add(timber)
    # A divider lies on the rims of two zones from end to end.
    on_ladders = [item for item in edging.strips if not item.with_field and not item.strip.divides]
    half = breadth / 2
    doubled = [(item, place + side) for item in on_ladders for place in item.places for side in (-half, half)]
    ends = [(item, u) for item in on_ladders for u in (item.run.start + half, item.run.end - half)]
    spaced = [(item, u) for item in on_ladders for u in item.rungs]
    for item, u in doubled + ends + spaced:
        ladder.add_rung(item, u)
    for item in on_ladders:
        for place in item.places:
            rims = _spliced(axes, rims, item, place, ladder.rungs)
    own = {item.strip.name: item for item in on_ladders}
    for piece in edging.pieces:
        strip = own.get(piece.id.rpartition("-")[0])
        if strip is not None:
            _fill(site, piece, strip, ladder)
    return (*rims, *inner, *ladder.rungs), tuple(diagonals)


@dataclass(slots=True)
class _Ladder:
    """What lies under edge boards so far; noggings find their place in `room`."""

    axes: Axes
    breadth: float
    room: BaseGeometry
    footprints: list[Polygon] = field(default_factory=list)
    rungs: list[Timber] = field(default_factory=list)

    def add(self, timber: Timber) -> None:
        """Take the place of a member."""
        self.footprints.append(strip_of(timber.start, timber.end, self.breadth))

    def add_rung(self, item: JointedStrip, u: float) -> None:
        """Set a nogging square to an edge under all its rings, where none lies yet."""
        low, high = item.run.bottom - DEEPEST, item.run.top + DEEPEST
        line = self.axes.to_local(item.strip.axes.to_site(LineString(((u, low), (u, high)))))
        ring = self.axes.to_local(item.strip.axes.to_site(item.strip.polygon))
        for part in shapely.get_parts(line.intersection(self.room)):
            if part.length <= SHORTEST_NOGGING or not part.intersects(ring):
                continue
            footprint = strip_of(part.coords[0], part.coords[-1], self.breadth)
            in_the_way = float(shapely.area(shapely.intersection(np.array(self.footprints), footprint)).sum())
            if in_the_way < min(BEVELLED * footprint.area, LARGEST_BEVEL):
                self.rungs.append(Timber("nogging", part.coords[0], part.coords[-1]))
                self.footprints.append(footprint)

    def under(self, piece: LaidPiece) -> list[Support]:
        """Members under a piece, in its own axes."""
        shape = self.axes.to_local(piece.axes.to_site(piece.polygon))
        near = np.flatnonzero(shapely.intersects(np.array(self.footprints), shape))
        return [support(piece.axes.to_local(self.axes.to_site(self.footprints[i]))) for i in near]


def _spliced(
    axes: Axes, rims: Sequence[Timber], item: JointedStrip, place: float, rungs: Sequence[Timber]
) -> tuple[Timber, ...]:
    """Rims cut under a joint where the ladder is too narrow for noggings, so that each board end has its own."""
    own, run = item.strip.axes, item.run
    line = axes.to_local(own.to_site(LineString(((place, run.bottom), (place, run.top)))))
    ring = axes.to_local(own.to_site(item.strip.polygon))
    seats = [LineString((rung.start, rung.end)) for rung in rungs]
    borne = any(seat.distance(line) < DOUBLED and seat.intersection(ring).length >= LEAST_SEAT for seat in seats)
    if borne:
        return tuple(rims)
    cut: list[Timber] = []
    for rim in rims:
        meets = LineString((rim.start, rim.end)).intersection(line)
        if meets.is_empty:
            cut.append(rim)
        else:
            at = meets.centroid.coords[0]
            cut += [Timber(rim.role, rim.start, at), Timber(rim.role, at, rim.end)]
    return tuple(cut)


def _under_mitre(axes: Axes, mitre: Mitre, breadth: float, room: BaseGeometry) -> Iterable[Timber]:
    """Two noggings side by side under a mitre, one under each board's end."""
    line = axes.to_local(LineString((mitre.corner, mitre.inner)))
    for side in (-breadth / 2, breadth / 2):
        for part in shapely.get_parts(line.offset_curve(side).intersection(room)):
            if part.length > SHORTEST_NOGGING:
                yield Timber("nogging", part.coords[0], part.coords[-1])


def _fill(site: Site, piece: LaidPiece, item: JointedStrip, ladder: _Ladder) -> None:
    """Noggings where either half of an edge board's width still spans too far or reaches out too far."""
    breadth, clear = site.frame.section[0], site.frame.max_centres - site.frame.section[0]
    for half in halves(piece.bodies, ladder.under(piece)):
        borne = bearings([half])[0] if rests(half) else []
        start, _, end, _ = half.polygon.bounds
        for low, high in gaps(half, borne, clear):
            count = max(1, math.ceil((high - low) / (clear + breadth)))
            places = list(np.linspace(low, high, count + 2)[1:-1])
            places += [low + breadth / 2] * (low == start) + [high - breadth / 2] * (high == end)
            for u in places:
                ladder.add_rung(item, float(u))

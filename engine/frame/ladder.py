"""The frame under edge boards that joists do not cross: rim, a member along their inner side, noggings between.

Under a border along the boards joists run through to the rim and carry it. Along every other edge the joists stop
at a member under the seam of border and field, which bears the field's ends and the border's inner side.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..layout.axes import PARALLEL, Axes
from ..layout.border import GENTLE, Mitre, depth_of
from ..layout.clip import areas
from ..layout.pieces import LaidPiece
from ..layout.sides import Side
from ..layout.trim import EdgeBoards, JointedStrip
from ..layout.zones import ZoneArea
from ..spec import Site
from .edges import Timber, along_lines
from .ground import Ground, strip_of
from .support import bearings, bodies, gaps, rests, support

STEEPEST = math.radians(80.0)
"""At a corner that turns more than this the edge is as good as square to the ladder."""
DEEPEST = 1000.0
"""No ladder is deeper than this [mm]: four rings of the widest board."""
BEVELLED = 0.2
"""Share of a nogging that may be cut off where it meets its neighbours at a slant."""
LARGEST_BEVEL = 600.0
"""No more is cut off [mm2]: its breadth, at a quarter of a right angle."""
LEAST_SEAT = 25.0
"""A nogging bears a board's end on no less of its width [mm]; common practice, no source."""
DOUBLED = 50.0
"""A nogging this near to a joint is one of the pair under it [mm]: its breadth, or a little more."""
SHORTEST = 20.0
"""A shorter nogging is not set [mm]; common practice, no source."""


def ladder_area(site: Site, zone: ZoneArea, sides: Sequence[Side], direction: float) -> BaseGeometry:
    """Where the frame of a zone is a ladder, in site axes: along trimmed edges that do not run along the boards."""
    bands: list[BaseGeometry] = []
    for before, side, after in zip((sides[-1], *sides[:-1]), sides, (*sides[1:], sides[0]), strict=True):
        along_boards = abs((side.angle - direction + 90.0) % 180.0 - 90.0) < PARALLEL
        if not side.rings or along_boards:
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
    breadth = ground.breadth
    rim = shapely.union_all([strip_of(t.start, t.end, breadth) for t in rims])
    inner = along_lines(ground, ground.inner_line, lambda a, b: "rim", taken=rim)
    solid = shapely.union_all([rim, *(strip_of(t.start, t.end, breadth) for t in inner)])
    within_rims = ground.deck.buffer(-breadth + 0.5, join_style="mitre", mitre_limit=20.0)
    room = areas(ground.whole.intersection(within_rims).difference(solid))
    diagonals = [t for mitre in edging.mitres for t in _under_mitre(axes, mitre, breadth, room)]
    taken = shapely.union_all([solid, *(strip_of(t.start, t.end, breadth) for t in diagonals)])
    room = areas(room.intersection(ground.ladders))
    rungs: list[Timber] = []
    on_ladders = [item for item in edging.strips if not item.with_field]
    doubled = [
        (item, place + side) for item in on_ladders for place in item.places for side in (-breadth / 2, breadth / 2)
    ]
    ends = [
        (item, u) for item in on_ladders for u in (item.run.start + breadth / 2, item.run.end - breadth / 2)
    ]
    spaced = [(item, u) for item in on_ladders for u in item.rungs]
    for item, u in doubled + ends + spaced:
        taken = _add_rungs(axes, item, u, room, taken, rungs, breadth)
    for item in on_ladders:
        for place in item.places:
            rims = _spliced(axes, rims, item, place, rungs)
    own = {item.strip.name: item for item in on_ladders}
    for piece in edging.pieces:
        item = own.get(piece.id.rpartition("-")[0])
        if item is not None:
            taken = _fill(site, axes, piece, item, (*rims, *inner, *diagonals), room, taken, rungs)
    return (*rims, *inner, *rungs), tuple(diagonals)


def _spliced(
    axes: Axes, rims: Sequence[Timber], item: JointedStrip, place: float, rungs: Sequence[Timber]
) -> tuple[Timber, ...]:
    """Rims cut under a joint where the ladder is too narrow for noggings, so that each board end has its own."""
    own, run = item.strip.axes, item.run
    line = axes.to_local(own.to_site(LineString(((place, run.bottom), (place, run.top)))))
    ring = axes.to_local(own.to_site(item.strip.polygon))
    seats = [LineString((rung.start, rung.end)) for rung in rungs]
    borne = any(seat.distance(line) < DOUBLED and seat.intersection(ring).length >= LEAST_SEAT for seat in seats)
    cut: list[Timber] = []
    for rim in rims:
        meets = LineString((rim.start, rim.end)).intersection(line)
        if borne or item.strip.divides or meets.is_empty:
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
            if part.length > SHORTEST:
                yield Timber("nogging", part.coords[0], part.coords[-1])


def _add_rungs(
    axes: Axes,
    item: JointedStrip,
    u: float,
    room: BaseGeometry,
    taken: BaseGeometry,
    rungs: list[Timber],
    breadth: float,
) -> BaseGeometry:
    """Set a nogging square to an edge under all its rings, where none lies yet; returns what is taken then."""
    low, high = item.run.bottom - DEEPEST, item.run.top + DEEPEST
    line = axes.to_local(item.strip.axes.to_site(LineString(((u, low), (u, high)))))
    ring = axes.to_local(item.strip.axes.to_site(item.strip.polygon))
    for part in shapely.get_parts(line.intersection(room)):
        if part.length <= SHORTEST or not part.intersects(ring):
            continue
        footprint = strip_of(part.coords[0], part.coords[-1], breadth)
        if footprint.intersection(taken).area < min(BEVELLED * footprint.area, LARGEST_BEVEL):
            rungs.append(Timber("nogging", part.coords[0], part.coords[-1]))
            taken = shapely.union(taken, footprint)
    return taken


def _fill(
    site: Site,
    axes: Axes,
    piece: LaidPiece,
    item: JointedStrip,
    members: Sequence[Timber],
    room: BaseGeometry,
    taken: BaseGeometry,
    rungs: list[Timber],
) -> BaseGeometry:
    """Noggings where an edge board still spans too far or reaches out too far."""
    breadth, clear = site.frame.section[0], site.frame.max_centres - site.frame.section[0]
    for body in bodies(piece.polygon, piece.whole):
        supports = [
            support(piece.axes.to_local(axes.to_site(strip_of(t.start, t.end, breadth)))) for t in (*members, *rungs)
        ]
        borne = bearings(body, piece.whole, supports) if rests(body, piece.whole, supports) else []
        start, _, end, _ = body.bounds
        for low, high in gaps(body, borne, clear):
            count = max(1, math.ceil((high - low) / (clear + breadth)))
            places = np.linspace(low, high, count + 2)[1:-1]
            if low == start:
                places = np.append(places, low + breadth / 2)
            if high == end:
                places = np.append(places, high - breadth / 2)
            for u in places:
                taken = _add_rungs(axes, item, float(u), room, taken, rungs, breadth)
    return taken

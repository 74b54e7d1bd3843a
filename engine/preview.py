"""What a picture of the boards needs while a choice is being dragged: the boards and their joints, and no more.

Boards lie where `design` lays them. Their joints follow the pattern from its own beginning, where `design` also looks
for the beginning that saves most boards, so these may still move once the choice rests.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import split

from .cutplan.stock import as_squared
from .errors import SiteError
from .frame.ground import Ground, frame_ground
from .frame.ladder import ladder_area
from .lay import with_strips
from .layout.arrays import array_of
from .layout.axes import Axes
from .layout.border import Strip
from .layout.chords import chords_of_each
from .layout.clip import within
from .layout.courses import Field, lay_courses, solid_parts_of_each
from .layout.decks import deck_field, sites_of
from .layout.fascia import behind_fascias, fascias
from .layout.grid import Grid, grids
from .layout.hatch import Hatch, open_hatches, panel_course
from .layout.joints import BearingLines, JointedRun, place_joints, square_ends
from .layout.partings import parted_round_posts, parted_strips
from .layout.pieces import course_name
from .layout.sides import sides_of
from .layout.trim import edge_boards
from .layout.zones import ZoneArea, zones_of
from .spec import Boards, Look, Order, Prices, Site
from .takein.model import Floats, Ints


@dataclass(frozen=True, slots=True)
class Shown:
    """A board as it is shown: its course, its outline in its own axes, its top and how far it reaches down [mm]."""

    name: str
    axes: Axes
    outline: Polygon
    top: float
    height: float


@dataclass(frozen=True, slots=True, eq=False)
class FlatBoards:
    """Boards as plain slabs in one mesh.

    Attributes
    ----------
    vertices : ndarray
        (n, 3) [mm] in site axes.
    board_co : ndarray
        (n, 3) [mm] along the board from its end, across from its middle, up from its top.
    across : ndarray
        (boards, 3) the direction across each board, of length 1.
    corners : ndarray
        (sum of counts,) vertices of each face in turn.
    counts : ndarray
        (faces,) how many corners each face has.
    board : ndarray
        (faces,) place of its board.
    """

    vertices: Floats
    board_co: Floats
    across: Floats
    corners: Ints
    counts: Ints
    board: Ints


@dataclass(frozen=True, slots=True, eq=False)
class Preview:
    """The boards of every deck in one mesh, the name of each one's course, and where they are butted (k, 3) [mm]."""

    names: tuple[str, ...]
    boards: FlatBoards
    joints: Floats


def preview(site: Site) -> Preview:
    """Lay the boards of a site in as little time as may be.

    Raises
    ------
    SiteError
        If nothing of a deck can be boarded.
    """
    return Previews().of(site)


class Previews:
    """Previews of one site after another, as a choice is dragged: what two in a row share is laid once."""

    def __init__(self) -> None:
        self._shown: _Kept[Preview] = _Kept()
        self._bearing: _Kept[list[list[_Bearing]]] = _Kept()
        self._edged: _Kept[list[_Edged]] = _Kept()
        self._grounds: dict[tuple[int, str], _Kept[Ground]] = {}

    def of(self, site: Site) -> Preview:
        """Lay the boards of a site.

        Raises
        ------
        SiteError
            If nothing of a deck can be boarded.
        """
        parts = sites_of(as_squared(_laid_alike(site)))
        return self._shown.get(parts, lambda: self._lay(parts))

    def _lay(self, parts: Sequence[Site]) -> Preview:
        zones = list(_zones_of_each(parts))
        edged = self._edged.get([_turned_to(0.0, part) for part in parts], lambda: _edge_all(parts, zones))
        jointed_alike = [replace(part, pattern=replace(part.pattern, joints="half")) for part in parts]
        bearing = self._bearing.get(jointed_alike, lambda: self._ready_all(parts, zones, edged))
        shown: list[Shown] = []
        joints: list[Floats] = [np.zeros((0, 3))]
        for number, (part, edging, ready) in enumerate(zip(parts, edged, bearing, strict=True)):
            surface, thickness = part.deck.surface, part.boards.thickness
            boards: list[Board] = []
            for zone in ready:
                laid, butted = _lay_zone(part, zone)
                boards += laid
                joints.append(np.column_stack([butted, np.full(len(butted), surface)]))
            if not boards:
                raise SiteError(f"{deck_field(number)}.outline", "nothing of it can be boarded", "are `units` right?")
            shown += [Shown(name, axes, outline, surface, thickness) for name, axes, outline in boards]
            shown += edging.fascias
        return Preview(tuple(each.name for each in shown), slabs(shown), np.concatenate(joints))

    def _ready_all(
        self, parts: Sequence[Site], zones_of_each: Sequence[tuple[ZoneArea, ...]], edged: Sequence[_Edged]
    ) -> list[list[_Bearing]]:
        return [
            [
                _ready(
                    part, zone, strips, taken, edging.set_back, self._grounds.setdefault((number, zone.id), _Kept())
                )
                for zone, (strips, taken) in zip(zones, edging.strips, strict=True)
            ]
            for number, (part, zones, edging) in enumerate(zip(parts, zones_of_each, edged, strict=True))
        ]


T = TypeVar("T")


class _Kept(Generic[T]):
    """What was made last, and of what."""

    def __init__(self) -> None:
        self._made: tuple[object, T] | None = None

    def get(self, of: object, make: Callable[[], T]) -> T:
        """What was made if it was made of the same, else what is made now."""
        if self._made is None or self._made[0] != of:
            self._made = of, make()
        return self._made[1]


def lie_alike(site: Site, other: Site) -> bool:
    """Whether the boards of two sites lie in the same places, whatever they look like and cost."""
    return _laid_alike(site) == _laid_alike(other)


def _laid_alike(site: Site) -> Site:
    """A site without what no board's place hangs on: its looks and its prices."""
    boards = replace(site.boards, side="grain", colour=Boards().colour)
    return replace(site, boards=boards, look=Look(), prices=Prices(), order=Order(), house=None)


def _turned_to(direction: float, part: Site) -> Site:
    """A site with all its boards turned the same way, which changes nothing along its edges."""
    zones = tuple(replace(zone, direction=direction) for zone in part.zones)
    return replace(part, deck=replace(part.deck, direction=direction), zones=zones)


@dataclass(frozen=True, slots=True)
class _Edged:
    """Boards along the edges of a deck: of each zone its strips and what they take, and all fascias."""

    strips: tuple[tuple[tuple[Strip, ...], BaseGeometry], ...]
    fascias: tuple[Shown, ...]
    set_back: BaseGeometry


@dataclass(frozen=True, slots=True)
class _Bearing:
    """A zone before its joints are chosen; without a grid where there is nothing to be laid."""

    field: Field
    strips: Sequence[Strip] = ()
    hatches: Sequence[Hatch] = ()
    grid: Grid | None = None
    lines: BearingLines | None = None


def _zones_of_each(parts: Sequence[Site]) -> Iterator[tuple[ZoneArea, ...]]:
    count = 0
    for part in parts:
        zones = zones_of(part, count)
        count += len(zones)
        yield zones


def _edge_all(parts: Sequence[Site], zones_of_each: Sequence[tuple[ZoneArea, ...]]) -> list[_Edged]:
    edged: list[_Edged] = []
    for part, zones in zip(parts, zones_of_each, strict=True):
        strips = tuple((strips, taken) for _, strips, taken in with_strips(part, zones))
        boards = fascias(part, zones[0].id) if zones else ()
        surface = part.deck.surface
        shown = tuple(Shown(_course(b.id), b.axes, b.polygon, surface - b.drop, b.width) for b in boards)
        edged.append(_Edged(strips, shown, behind_fascias(part)))
    return edged


def _ready(
    site: Site,
    zone: ZoneArea,
    strips: Sequence[Strip],
    taken: BaseGeometry,
    set_back: BaseGeometry,
    kept: _Kept[Ground],
) -> _Bearing:
    """Courses of a zone, and the lines that they may be butted on."""
    field = parted_round_posts(site, lay_courses(site, zone, taken))
    strips, _ = parted_strips(site, strips)
    if not field.runs and not strips:
        return _Bearing(field)
    ladders = ladder_area(site, zone, sides_of(site), field.axes)
    # All that it hangs on: a gap between boards moves no ledger or rim.
    ground = kept.get(
        (zone, field.axes, ladders, set_back, site.frame.section, site.obstacles, site.gaps.obstacle),
        lambda: frame_ground(site, zone, field.axes, ladders, set_back),
    )
    grid = grids(site, field, ground)[0]
    field, hatches, _ = open_hatches(site, field, grid, ground)
    lines = BearingLines(site, field, grid, ground) if field.runs else None
    return _Bearing(field, strips, hatches, grid, lines)


Board = tuple[str, Axes, Polygon]
"""The name of a board's course, and its outline in its own axes."""


def _lay_zone(site: Site, zone: _Bearing) -> tuple[list[Board], Floats]:
    """The boards of a zone, and where they are butted, (k, 2) in site axes."""
    field, grid = zone.field, zone.grid
    if grid is None:
        return [], np.zeros((0, 2))
    jointed = place_joints(site, field, grid, zone.lines) if zone.lines is not None else ()
    names = {item.run.course: course_name(field.zone, item.run.course) for item in jointed}
    boards = [(names[course], field.axes, shape) for course, shape in _outlines(site, jointed)]
    boards += [
        (panel_course(field.zone, hatch, run), field.axes, run.polygon) for hatch in zone.hatches for run in hatch.runs
    ]
    edging = edge_boards(site, zone.strips, (), field, grid.lines, jointed)
    boards += [(_course(piece.id), piece.axes, piece.polygon) for piece in edging.pieces]
    return boards, np.stack(field.axes.points_to_site(*_meetings(jointed)), axis=1)


def _outlines(site: Site, jointed: Sequence[JointedRun]) -> list[tuple[int, Polygon]]:
    """Runs cut at their joint lines, as `cut_pieces` cuts them, without all that only saw and frame ask for."""
    half = site.gaps.butt / 2
    plain: list[tuple[float, ...]] = []
    clipped: list[BaseGeometry] = []
    courses: tuple[list[int], list[int]] = ([], [])
    found: list[tuple[int, Polygon]] = []
    sides = square_ends([item.run for item in jointed]).reshape(-1, 4).tolist()
    for item, (low0, low1, up0, up1) in zip(jointed, sides, strict=True):
        run = item.run
        starts, ends = [place + half for place in item.places], [place - half for place in item.places]
        # Four corners, and every cut between its slanted ends: so has every part of it.
        first, last = max(low0, up0), min(low1, up1)
        if low0 == low0 and all(first < place - half and place + half < last for place in item.places):
            for a, b, c, d in zip([low0, *starts], [*ends, low1], [*ends, up1], [up0, *starts], strict=True):
                plain.append((a, run.bottom, b, run.bottom, c, run.top, d, run.top))
            courses[0].extend([run.course] * (len(starts) + 1))
            continue
        if not item.places:
            found.append((run.course, run.polygon))
            continue
        for start, end in zip([run.start, *starts], [*ends, run.end], strict=True):
            courses[1].append(run.course)
            clipped.append(within(run.polygon, (start, run.bottom - 1.0, end, run.top + 1.0)))
    corners = np.array(plain, float).reshape(-1, 4, 2)
    found += zip(courses[0], shapely.polygons(corners), strict=True)
    for course, parts in zip(courses[1], solid_parts_of_each(clipped), strict=True):
        found += [(course, part) for part in parts]
    return found


def _meetings(jointed: Sequence[JointedRun]) -> tuple[Floats, Floats]:
    """Where runs are butted, along and across the boards: at the middle of the ends that meet."""
    butted = [item for item in jointed if item.places]
    owner = np.repeat(np.arange(len(butted)), [len(item.places) for item in butted])
    places = np.array([place for item in butted for place in item.places], float)
    sides = np.array([(item.run.bottom, item.run.top) for item in butted]).reshape(-1, 2)[owner]
    cut = np.array([not item.run.whole for item in butted], dtype=bool)
    at = np.flatnonzero(cut[owner])
    if len(at):
        numbers = np.cumsum(cut) - 1
        polygons = [item.run.polygon for item in butted if not item.run.whole]
        found = chords_of_each(polygons, places[at], numbers[owner[at]])
        sides[at[found.place]] = np.stack([found.low, found.high], axis=1)
    return places, sides.mean(axis=1)


def _course(piece: str) -> str:
    return piece.rsplit("-", 1)[0]


def slabs(shown: Sequence[Shown]) -> FlatBoards:
    """Mesh boards as slabs: a top that is one face, and upright sides."""
    outlines = array_of(each.outline for each in shown)
    holes = shapely.get_num_interior_rings(outlines).tolist()
    parts = [
        (number, part)
        for number, (each, count) in enumerate(zip(shown, holes, strict=True))
        for part in (_without_holes(each.outline) if count else [each.outline])
    ]
    owner = np.array([number for number, _ in parts], np.int64)
    rings = shapely.get_exterior_ring(array_of(part for _, part in parts))
    rings = np.where(shapely.is_ccw(rings), rings, shapely.reverse(rings))
    sizes = shapely.get_num_coordinates(rings) - 1  # the first corner comes again as the last
    points = shapely.get_coordinates(rings)
    last = np.cumsum(sizes + 1) - 1
    points = np.delete(points, last, axis=0)
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int64)
    of_point = np.repeat(owner, sizes)

    angles = np.radians([each.axes.angle for each in shown])
    tops = np.array([each.top for each in shown])
    boxes = shapely.bounds(outlines)
    cos, sin, top = np.cos(angles), np.sin(angles), tops[of_point]
    x = points[:, 0] * cos[of_point] - points[:, 1] * sin[of_point]
    y = points[:, 0] * sin[of_point] + points[:, 1] * cos[of_point]
    along = points[:, 0] - boxes[of_point, 0]
    across = points[:, 1] - (boxes[of_point, 1] + boxes[of_point, 3]) / 2
    deep = -np.array([each.height for each in shown])[of_point]
    vertices = np.concatenate([np.stack([x, y, top], axis=1), np.stack([x, y, top + deep], axis=1)])
    board_co = np.concatenate([np.stack([along, across, 0 * deep], axis=1), np.stack([along, across, deep], axis=1)])

    count = len(points)
    this = np.arange(count)
    following = this + 1
    following[starts + sizes - 1] = starts
    sides = np.stack([this, this + count, following + count, following], axis=1)
    return FlatBoards(
        vertices,
        board_co,
        np.stack([-sin, cos, 0 * sin], axis=1),
        np.concatenate([this, sides.ravel()]),
        np.concatenate([sizes, np.full(count, 4)]).astype(np.int64),
        np.concatenate([owner, of_point]),
    )


def _without_holes(shape: Polygon) -> list[Polygon]:
    """A piece in parts without holes: cut across through the middle of the first, and so on."""
    if not shape.interiors:
        return [shape]
    x = shape.interiors[0].centroid.x
    _, low, _, high = shape.bounds
    parts = split(shape, LineString([(x, low - 1.0), (x, high + 1.0)])).geoms
    return [part for half in parts for part in _without_holes(half)]

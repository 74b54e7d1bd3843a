"""What a picture of the boards needs while a choice is being dragged: the boards and their joints, and no more.

Boards lie where `design` lays them. Their joints follow the pattern from its own beginning, where `design` also looks
for the beginning that saves most boards, so these may still move once the choice rests.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import split

from .cutplan.stock import as_squared
from .errors import SiteError
from .frame.ground import frame_ground
from .frame.ladder import ladder_area
from .lay import with_strips
from .layout.axes import Axes
from .layout.border import Strip, mitres_of
from .layout.chords import chords_of_each
from .layout.clip import within
from .layout.courses import lay_courses, solid_parts_of_each
from .layout.decks import deck_field, sites_of
from .layout.fascia import behind_fascias, fascias
from .layout.grid import grids
from .layout.hatch import hatch_pieces, open_hatches
from .layout.joints import BearingLines, JointedRun, place_joints
from .layout.partings import parted_round_posts, parted_strips
from .layout.pieces import course_name
from .layout.sides import sides_of
from .layout.trim import edge_boards
from .layout.zones import ZoneArea, zones_of
from .spec import Site
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
    shown: list[Shown] = []
    joints: list[tuple[float, float, float]] = []
    count = 0
    for number, part in enumerate(sites_of(as_squared(site))):
        boards, butted, zones = _lay_deck(part, count)
        if not boards:
            raise SiteError(f"{deck_field(number)}.outline", "nothing of it can be boarded", "are `units` right?")
        shown += boards
        joints += butted
        count += zones
    return Preview(
        tuple(each.name for each in shown),
        slabs(shown),
        np.array(joints, float).reshape(-1, 3),
    )


def _lay_deck(site: Site, before: int) -> tuple[list[Shown], list[tuple[float, float, float]], int]:
    """Boards of one deck, where they are butted, and in how many zones they lie."""
    shown: list[Shown] = []
    joints: list[tuple[float, float, float]] = []
    surface, thickness = site.deck.surface, site.boards.thickness
    zones = zones_of(site, before)
    for zone, strips, taken in with_strips(site, zones):
        boards, butted = _lay_zone(site, zone, strips, taken)
        shown += [Shown(name, axes, outline, surface, thickness) for name, axes, outline in boards]
        joints += [(*place, surface) for place in butted]
    if shown:
        for each in fascias(site, zones[0].id):
            shown.append(Shown(_course(each.id), each.axes, each.polygon, surface - each.drop, each.width))
    return shown, joints, len(zones)


Board = tuple[str, Axes, Polygon]
"""The name of a board's course, and its outline in its own axes."""


def _lay_zone(
    site: Site, zone: ZoneArea, strips: Sequence[Strip], taken: shapely.Geometry
) -> tuple[list[Board], list[tuple[float, float]]]:
    """The boards of a zone, and where they are butted, in site axes."""
    sides = sides_of(site)
    field = parted_round_posts(site, lay_courses(site, zone, taken))
    strips, _ = parted_strips(site, strips)
    if not field.runs and not strips:
        return [], []
    ladders = ladder_area(site, zone, sides, field.axes)
    ground = frame_ground(site, zone, field.axes, ladders, behind_fascias(site))
    grid = grids(site, field, ground)[0]
    field, hatches, _ = open_hatches(site, field, grid, ground)
    jointed = place_joints(site, field, grid, BearingLines(site, field, grid, ground)) if field.runs else ()
    boards = [(course_name(zone.id, course), field.axes, shape) for course, shape in _outlines(site, jointed)]
    edging = edge_boards(site, strips, mitres_of(site, sides), field, grid.lines, jointed)
    boards += [
        (_course(piece.id), piece.axes, piece.polygon)
        for piece in (*hatch_pieces(site, field, hatches), *edging.pieces)
    ]
    at = [field.axes.point_to_site(*place) for place in _meetings(jointed)]
    return boards, at


def _outlines(site: Site, jointed: Sequence[JointedRun]) -> list[tuple[int, Polygon]]:
    """Runs cut at their joint lines, as `cut_pieces` cuts them, without all that only saw and frame ask for."""
    half = site.gaps.butt / 2
    plain: list[tuple[float, float, float, float]] = []
    clipped: list[BaseGeometry] = []
    courses: tuple[list[int], list[int]] = ([], [])
    for item in jointed:
        run = item.run
        starts, ends = [place + half for place in item.places], [place - half for place in item.places]
        for start, end in zip([run.start, *starts], [*ends, run.end], strict=True):
            courses[0 if run.whole else 1].append(run.course)
            if run.whole:
                plain.append((start, run.bottom, end, run.top))
            elif item.places:
                clipped.append(within(run.polygon, (start, run.bottom - 1.0, end, run.top + 1.0)))
            else:
                clipped.append(run.polygon)
    boxes = shapely.box(*np.array(plain, float).reshape(-1, 4).T)
    found = list(zip(courses[0], boxes, strict=True))
    for course, parts in zip(courses[1], solid_parts_of_each(clipped), strict=True):
        found += [(course, part) for part in parts]
    return found


def _meetings(jointed: Sequence[JointedRun]) -> list[tuple[float, float]]:
    """Where runs are butted, along and across the boards: at the middle of the ends that meet."""
    butted = [item for item in jointed if item.places]
    owner = np.repeat(np.arange(len(butted)), [len(item.places) for item in butted])
    places = np.array([place for item in butted for place in item.places])
    sides = np.array([(item.run.bottom, item.run.top) for item in butted]).reshape(-1, 2)[owner]
    cut = np.array([not item.run.whole for item in butted], dtype=bool)
    at = np.flatnonzero(cut[owner])
    if len(at):
        numbers = np.cumsum(cut) - 1
        polygons = [item.run.polygon for item in butted if not item.run.whole]
        found = chords_of_each(polygons, places[at], numbers[owner[at]])
        sides[at[found.place]] = np.stack([found.low, found.high], axis=1)
    return list(zip(places.tolist(), sides.mean(axis=1).tolist(), strict=True))


def _course(piece: str) -> str:
    return piece.rsplit("-", 1)[0]


def slabs(shown: Sequence[Shown]) -> FlatBoards:
    """Mesh boards as slabs: a top that is one face, and upright sides."""
    holes = shapely.get_num_interior_rings([each.outline for each in shown]).tolist()
    parts = [
        (number, part)
        for number, (each, count) in enumerate(zip(shown, holes, strict=True))
        for part in (_without_holes(each.outline) if count else [each.outline])
    ]
    owner = np.array([number for number, _ in parts], np.int64)
    rings = shapely.get_exterior_ring(np.array([part for _, part in parts], dtype=object))
    rings = np.where(shapely.is_ccw(rings), rings, shapely.reverse(rings))
    sizes = shapely.get_num_coordinates(rings) - 1  # the first corner comes again as the last
    points = shapely.get_coordinates(rings)
    last = np.cumsum(sizes + 1) - 1
    points = np.delete(points, last, axis=0)
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int64)
    of_point = np.repeat(owner, sizes)

    angles = np.radians([each.axes.angle for each in shown])
    tops = np.array([each.top for each in shown])
    boxes = shapely.bounds([each.outline for each in shown])
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

"""Courses: the field cut into strips of one board's width, from the start edge on.

Terminology
-----------
course  a row of boards. Course 1 lies at the start edge; where the deck reaches behind that edge,
        courses there are numbered -1, -2, … away from it.
run     an unbroken length of a course, between the deck's edges, openings and obstacles.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiLineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from ..spec import Site
from .arrays import array_of
from .axes import Axes, along_boards, board_axes
from .clip import NOTHING, within
from .region import boardable
from .rings import edge_of
from .start import Start, first_course
from .zones import ZoneArea

SLIVER = 20.0
"""Wood narrower than this breaks off under the saw or the foot, so it is not laid [mm]; common practice, no source."""
BOX_NOISE = 0.01
"""Corners this near to where they belong count as there [mm]."""
SHARPEST = 2e-3
"""A corner at which 1 + cos of the turn is less, sharper than 3.6 degrees, is not taken on trust."""


@dataclass(frozen=True, slots=True)
class Run:
    """An unbroken length of a course in board axes: from `start` to `end` along u."""

    course: int
    polygon: Polygon
    start: float
    end: float
    bottom: float
    top: float
    whole: bool
    """Whether it is a plain rectangle."""
    oversail: tuple[float, float]
    """What its first and last piece are cut longer by, for a trim in one cut [mm]."""


@dataclass(frozen=True, slots=True)
class Parting:
    """A place where a course is parted whatever its pattern says, with the butt gap over its middle.

    `hole` is what boards are cut away for round something that rises through them: from u, v to u, v. At the end of
    a lift-out panel there is none.
    """

    course: int
    at: float
    bottom: float
    top: float
    hole: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Field:
    """The courses of one zone, in board axes."""

    zone: str
    axes: Axes
    area: BaseGeometry
    """Where boards may lie."""
    first: float
    """Where the strip of course 1 begins across the boards, in front of its rip if it is ripped."""
    pitch: float
    runs: tuple[Run, ...]
    start: Start | None = None
    """What was chosen for course 1; None if there is none."""
    partings: tuple[Parting, ...] = ()
    butted_beside: tuple[tuple[float, float], ...] = ()
    """Joints of other zones laid the same way: along and across the boards."""
    doorways: tuple[BaseGeometry, ...] = ()
    """Where boards had better not be butted."""

    def strip(self, course: int) -> tuple[float, float]:
        """Bottom of a course's strip, and bottom of the next."""
        bottom = self.first + self.pitch * (course - 1 if course > 0 else course)
        return bottom, bottom + self.pitch


def lay_courses(site: Site, zone: ZoneArea, trim: BaseGeometry = NOTHING) -> Field:
    """Cut a zone, less what edge trim covers of it, into courses and each course into runs, if any board fits."""
    axes = board_axes(site, zone)
    # Cut in board axes, whose grid keeps an edge along the boards straight.
    kept_off = axes.to_local(trim)
    area = axes.to_local(boardable(site, zone.area, zone.seams)).difference(kept_off)
    if area.is_empty:
        return Field(zone.id, axes, area, 0.0, site.boards.width + site.gaps.course, ())
    width, pitch = site.boards.width, site.boards.width + site.gaps.course
    start = first_course(site, zone, axes, area, kept_off)
    first = start.at
    low, high = area.bounds[1], area.bounds[3]
    steps = np.arange(np.floor((low - first - width) / pitch) + 1, np.ceil((high - first) / pitch))
    bottoms = first + steps * pitch
    strips = shapely.box(area.bounds[0] - 1.0, bottoms, area.bounds[2] + 1.0, bottoms + width)
    pieces, owners = shapely.get_parts(shapely.intersection(strips, area), return_index=True)
    trims = _trim_lines(site, axes)
    parts: dict[int, list[Polygon]] = {}
    for step, solid in zip(steps[owners], solid_parts_of_each(pieces), strict=True):
        parts.setdefault(int(step) + 1 if step >= 0 else int(step), []).extend(solid)
    laid = [(course, part) for course, polygons in parts.items() for part in _apart(polygons, site.gaps.butt)]
    boxes = are_boxes(array_of(part for _, part in laid)).tolist()
    oversail = site.pattern.oversail
    runs = [_run(course, part, whole, trims, oversail) for (course, part), whole in zip(laid, boxes, strict=True)]
    runs.sort(key=lambda run: (run.bottom, run.start))
    return Field(zone.id, axes, area, first, pitch, tuple(runs), start)


def part_run(run: Run, cuts: Sequence[float], butt: float) -> list[Run]:
    """Part a run at places along it, with a butt gap over the middle of each."""
    runs = []
    starts, ends = [run.start, *(at + butt / 2 for at in cuts)], [*(at - butt / 2 for at in cuts), run.end]
    for start, end in zip(starts, ends, strict=True):
        if run.whole and run.start <= start and end <= run.end and end - start >= SLIVER:
            parts = [box(start, run.bottom, end, run.top)]
        else:
            parts = solid_parts(within(run.polygon, (start, run.bottom - 1.0, end, run.top + 1.0)))
        for polygon in parts:
            x0, y0, x1, y1 = polygon.bounds
            oversail = (
                run.oversail[0] if x0 - run.start < BOX_NOISE else 0.0,
                run.oversail[1] if run.end - x1 < BOX_NOISE else 0.0,
            )
            runs.append(Run(run.course, polygon, x0, x1, y0, y1, run.whole or is_box(polygon), oversail))
    return sorted(runs, key=lambda part: (part.start, part.bottom))


def solid_parts(shape: BaseGeometry) -> list[Polygon]:
    """The polygons of a shape, less slivers too narrow to be laid."""
    return solid_parts_of_each([shape])[0]


def solid_parts_of_each(shapes: Sequence[BaseGeometry]) -> list[list[Polygon]]:
    """For each shape its polygons, less slivers too narrow to be laid."""
    parts, shape_of = shapely.get_parts(array_of(shapes), return_index=True)
    kept = (shapely.get_type_id(parts) == shapely.GeometryType.POLYGON) & (shapely.area(parts) > SLIVER**2 / 2)
    parts, shape_of = parts[kept], shape_of[kept]
    x0, y0, x1, y1 = shapely.bounds(parts).reshape(-1, 4).T
    box = are_boxes(parts)
    whole = np.where(box, np.minimum(x1 - x0, y1 - y0) >= SLIVER, _keep_their_edges(parts, SLIVER / 2))
    doubtful = np.flatnonzero(~box & ~whole)
    found: list[list[Polygon]] = [[part] if is_whole else [] for part, is_whole in zip(parts, whole, strict=True)]
    for i, wide in zip(doubtful, _without_slivers(parts[doubtful]), strict=True):
        found[i] = wide
    solid: list[list[Polygon]] = [[] for _ in shapes]
    for shape, polygons in zip(shape_of.tolist(), found, strict=True):
        solid[shape] += polygons
    return solid


def _without_slivers(polygons: NDArray[np.object_]) -> list[list[Polygon]]:
    """What is left of each polygon where it is no narrower than a sliver; all of it if nothing is."""
    core = shapely.buffer(polygons, -SLIVER / 2, join_style="mitre", mitre_limit=50.0)
    grown = shapely.buffer(core, SLIVER / 2 + 1e-3, join_style="mitre", mitre_limit=50.0)
    grown = shapely.intersection(grown, polygons)
    left = []
    for polygon, wide, lost in zip(polygons, grown, shapely.area(polygons) - shapely.area(grown), strict=True):
        parts = [polygon] if lost < 1.0 else shapely.get_parts(shapely.set_precision(wide, 1e-3))
        left.append([part for part in parts if isinstance(part, Polygon) and (lost < 1.0 or part.area > SLIVER**2)])
    return left


def _keep_their_edges(polygons: NDArray[np.object_], inset: float) -> NDArray[np.bool_]:
    """Whether each polygon is convex and every edge of it is still there when all are moved in.

    Then moving them out again gives the polygon back, for no part of it is narrower than twice the inset. Where the
    answer is no, a part may be.
    """
    rings = shapely.get_exterior_ring(polygons)
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    if not len(corners):
        return np.zeros(len(polygons), dtype=bool)
    last = np.append(ring[1:] != ring[:-1], True)  # the first corner, come again
    corners, ring = corners[~last], ring[~last]
    first = np.searchsorted(ring, np.arange(len(polygons)))
    count = np.bincount(ring)
    following, before = np.arange(len(ring)) + 1, np.arange(len(ring)) - 1
    following[first + count - 1], before[first] = first, first + count - 1
    edges = corners[following] - corners
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    ahead = edges / np.maximum(lengths, BOX_NOISE)[:, None]
    behind = ahead[before]
    turn = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    turn *= np.where(shapely.is_ccw(rings), 1.0, -1.0)[ring]
    straight = 1.0 + (behind * ahead).sum(axis=1)
    shorter = inset * turn / np.maximum(straight, SHARPEST)
    left = lengths - shorter - shorter[following]
    keeps = (lengths >= BOX_NOISE) & (turn >= 0.0) & (straight >= SHARPEST) & (left > BOX_NOISE)
    kept: NDArray[np.bool_] = np.logical_and.reduceat(keeps, first) & (shapely.get_num_interior_rings(polygons) == 0)
    return kept


def _apart(parts: list[Polygon], gap: float) -> list[Polygon]:
    """The parts of a course, cut back where a neck broke off between them and left them nearer than a butt gap."""
    kept = sorted(parts, key=lambda part: -part.area) if len(parts) > 1 else parts
    for i in range(1, len(kept)):
        crowding = [other for other in kept[:i] if other.distance(kept[i]) < gap - 1e-3]
        if crowding:
            rest = kept[i].difference(shapely.union_all(crowding).buffer(max(gap, SLIVER), join_style="mitre"))
            kept[i] = max(shapely.get_parts(rest), key=lambda part: part.area, default=Polygon())
    return [part for part in kept if part.area > SLIVER**2]


def _run(course: int, polygon: Polygon, whole: bool, trims: BaseGeometry, oversail: float) -> Run:
    start, bottom, end, top = polygon.bounds
    extra = (0.0, 0.0)
    if not trims.is_empty:
        ends = shapely.linestrings([[(start, bottom), (start, top)], [(end, bottom), (end, top)]])
        at_trim = shapely.dwithin(ends, trims, 1.0)
        extra = (oversail if at_trim[0] else 0.0, oversail if at_trim[1] else 0.0)
    return Run(course, polygon, start, end, bottom, top, whole, extra)


def is_box(polygon: Polygon) -> bool:
    """Whether a polygon is a rectangle in board axes."""
    return bool(are_boxes(array_of([polygon]))[0])


def are_boxes(polygons: NDArray[np.object_]) -> NDArray[np.bool_]:
    """Whether each polygon is a rectangle: every corner of its bounds is one of its own, and no other."""
    bounds = shapely.bounds(polygons).reshape(-1, 4)
    length, depth = (bounds[:, 2:] - bounds[:, :2]).T
    corners, owner = shapely.get_coordinates(polygons, return_index=True)
    at_side = np.abs(corners[:, [0, 1, 0, 1]] - bounds[owner]) < BOX_NOISE
    at_corner = (at_side[:, 0] | at_side[:, 2]) & (at_side[:, 1] | at_side[:, 3])
    box: NDArray[np.bool_] = np.bincount(owner, ~at_corner, len(polygons)) == 0
    box &= length * depth - shapely.area(polygons) < 0.5 * np.minimum(length, depth) ** 2
    box &= shapely.get_num_interior_rings(polygons) == 0
    return box


def _trim_lines(site: Site, axes: Axes) -> BaseGeometry:
    """Trim edges that board ends run past, in board axes; one along the boards has no ends to trim."""
    ring, finish = site.deck.outline, site.deck.edge_finish
    lines = []
    for i in range(len(ring)):
        if finish.get(str(i), finish["default"]) == "trim" and i not in (site.deck.house_edges or ()):
            line = axes.to_local(edge_of(ring, i))
            if not along_boards(np.asarray(line.coords)):
                lines.append(line)
    return MultiLineString(lines)

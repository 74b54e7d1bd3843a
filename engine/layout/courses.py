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
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..spec import Site
from .axes import PARALLEL, Axes, board_axes
from .clip import within
from .region import boardable, open_area
from .rings import edge_of
from .wall import moved_out, surveyed_line
from .zones import ZoneArea

NOTHING = Polygon()
SLIVER = 20.0
"""Wood narrower than this breaks off under the saw or the foot, so it is not laid [mm]; common practice, no source."""
RIP_STEP = 1.0
"""How finely the first course is shifted in search of better rips [mm]."""
BOX_NOISE = 0.01
"""Corners this near to where they belong count as there [mm]."""
SHARPEST = 2e-3
"""A corner at which 1 + cos of the turn is less, sharper than 3.6 degrees, is not taken on trust."""
WIDEST_RIP_WANTED = 0.75
"""A rip is never asked to be wider than this share of a board."""


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
    first = _first_course(site, zone, axes, area, kept_off)
    low, high = area.bounds[1], area.bounds[3]
    steps = np.arange(np.floor((low - first - width) / pitch) + 1, np.ceil((high - first) / pitch))
    bottoms = first + steps * pitch
    strips = shapely.box(area.bounds[0] - 1.0, bottoms, area.bounds[2] + 1.0, bottoms + width)
    pieces, owners = shapely.get_parts(shapely.intersection(strips, area), return_index=True)
    trims = _trim_lines(site, axes)
    parts: dict[int, list[Polygon]] = {}
    for step, part in zip(steps[owners], pieces, strict=True):
        parts.setdefault(int(step) + 1 if step >= 0 else int(step), []).extend(solid_parts(part))
    runs = []
    for course, polygons in parts.items():
        for polygon in _apart(polygons, site.gaps.butt):
            runs.append(_run(course, polygon, trims, site.pattern.oversail))
    runs.sort(key=lambda run: (run.bottom, run.start))
    return Field(zone.id, axes, area, first, pitch, tuple(runs))


def part_run(run: Run, cuts: Sequence[float], butt: float) -> list[Run]:
    """Part a run at places along it, with a butt gap over the middle of each."""
    runs = []
    starts, ends = [run.start, *(at + butt / 2 for at in cuts)], [*(at - butt / 2 for at in cuts), run.end]
    for start, end in zip(starts, ends, strict=True):
        clipped = within(run.polygon, (start, run.bottom - 1.0, end, run.top + 1.0))
        for polygon in solid_parts(clipped):
            x0, y0, x1, y1 = polygon.bounds
            oversail = (
                run.oversail[0] if x0 - run.start < BOX_NOISE else 0.0,
                run.oversail[1] if run.end - x1 < BOX_NOISE else 0.0,
            )
            runs.append(Run(run.course, polygon, x0, x1, y0, y1, is_box(polygon), oversail))
    return sorted(runs, key=lambda part: (part.start, part.bottom))


def solid_parts(shape: BaseGeometry) -> list[Polygon]:
    """The polygons of a shape, less slivers too narrow to be laid."""
    polygons = [p for p in shapely.get_parts(shape) if isinstance(p, Polygon) and p.area > SLIVER**2 / 2]
    solid: list[Polygon] = []
    for polygon in polygons:
        if is_box(polygon):
            if min(_size(polygon)) >= SLIVER:
                solid.append(polygon)
            continue
        if _keeps_its_edges(polygon, SLIVER / 2):
            solid.append(polygon)
            continue
        core = polygon.buffer(-SLIVER / 2, join_style="mitre", mitre_limit=50.0)
        grown = core.buffer(SLIVER / 2 + 1e-3, join_style="mitre", mitre_limit=50.0).intersection(polygon)
        if polygon.area - grown.area < 1.0:
            solid.append(polygon)
        else:
            kept = shapely.get_parts(shapely.set_precision(grown, 1e-3))
            solid.extend(p for p in kept if isinstance(p, Polygon) and p.area > SLIVER**2)
    return solid


def _keeps_its_edges(polygon: Polygon, inset: float) -> bool:
    """Whether a polygon is convex and every edge of it is still there when all are moved in.

    Then moving them out again gives the polygon back, for no part of it is narrower than twice the inset. Where the
    answer is no, a part may be.
    """
    if polygon.interiors:
        return False
    corners = shapely.get_coordinates(polygon.exterior)[:-1]
    if not polygon.exterior.is_ccw:
        corners = corners[::-1]
    edges = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    if lengths.min() < BOX_NOISE:
        return False
    ahead = edges / lengths[:, None]
    behind = np.roll(ahead, 1, axis=0)
    turn = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    straight = 1.0 + (behind * ahead).sum(axis=1)
    if turn.min() < 0.0 or straight.min() < SHARPEST:
        return False
    shorter = inset * turn / straight
    return bool((lengths - shorter - np.roll(shorter, -1)).min() > BOX_NOISE)


def _apart(parts: list[Polygon], gap: float) -> list[Polygon]:
    """The parts of a course, cut back where a neck broke off between them and left them nearer than a butt gap."""
    kept = sorted(parts, key=lambda part: -part.area)
    for i in range(1, len(kept)):
        crowding = [other for other in kept[:i] if other.distance(kept[i]) < gap - 1e-3]
        if crowding:
            rest = kept[i].difference(shapely.union_all(crowding).buffer(max(gap, SLIVER), join_style="mitre"))
            kept[i] = max(shapely.get_parts(rest), key=lambda part: part.area, default=Polygon())
    return [part for part in kept if part.area > SLIVER**2]


def _run(course: int, polygon: Polygon, trims: BaseGeometry, oversail: float) -> Run:
    start, bottom, end, top = polygon.bounds
    ends = shapely.linestrings([[(start, bottom), (start, top)], [(end, bottom), (end, top)]])
    at_trim = shapely.dwithin(ends, trims, 1.0) if not trims.is_empty else (False, False)
    extra = (oversail if at_trim[0] else 0.0, oversail if at_trim[1] else 0.0)
    return Run(course, polygon, start, end, bottom, top, is_box(polygon), extra)


def is_box(polygon: Polygon) -> bool:
    """Whether a polygon is a rectangle in board axes: every corner of its bounds is one of its own, and no other."""
    if polygon.interiors:
        return False
    ring = shapely.get_coordinates(polygon.exterior)
    bounds = np.asarray(polygon.bounds)
    at_side = np.abs(ring[:, [0, 1, 0, 1]] - bounds) < BOX_NOISE
    at_corner = (at_side[:, 0] | at_side[:, 2]) & (at_side[:, 1] | at_side[:, 3])
    if not at_corner.all():
        return False
    length, depth = _size(polygon)
    return bool(length * depth - polygon.area < 0.5 * min(length, depth) ** 2)


def _size(polygon: Polygon) -> tuple[float, float]:
    x0, y0, x1, y1 = polygon.bounds
    return x1 - x0, y1 - y0


def _trim_lines(site: Site, axes: Axes) -> BaseGeometry:
    """Trim edges that board ends run past, in board axes; one along the boards has no ends to trim."""
    ring, finish = site.deck.outline, site.deck.edge_finish
    lines = []
    for i in range(len(ring)):
        if finish.get(str(i), finish["default"]) == "trim" and i not in (site.deck.house_edges or ()):
            line = axes.to_local(edge_of(ring, i))
            if not _along_boards(np.asarray(line.coords)):
                lines.append(line)
    return MultiLineString(lines)


def _along_boards(ends: NDArray[np.float64]) -> bool:
    across, along = abs(ends[1, 1] - ends[0, 1]), abs(ends[1, 0] - ends[0, 0])
    return bool(across <= along * np.tan(np.radians(PARALLEL)))


def _first_course(site: Site, zone: ZoneArea, axes: Axes, area: BaseGeometry, trim: BaseGeometry) -> float:
    """Where course 1 begins: at the start edge, shifted towards it as far as better rips ask for."""
    uncut = axes.to_local(open_area(site, zone.area, zone.seams)).difference(trim)
    lower, upper = _edges_along(uncut, site.boards.width)
    if zone.direction % 360.0 == 0.0:
        edge = axes.to_local(zone.start)
        at = edge.bounds[1] + _edge_gap(site, zone)
        if edge.intersection(trim).length > 0.5 * edge.length:
            at = min((v for v in lower if v > at), default=area.bounds[1])
    else:
        at = area.bounds[1]
    width, pitch = site.boards.width, site.boards.width + site.gaps.course
    # Over ledger or rim a ripped course should still lie with half its width on the joists, for its joints.
    need = max(site.pattern.min_rip, min(2 * site.frame.section[0], WIDEST_RIP_WANTED * width))
    shifts = np.arange(0.0, max(RIP_STEP, width - site.pattern.min_rip), RIP_STEP)
    narrowest = np.full(len(shifts), np.inf)
    for edge_at in lower:
        rip = width - np.mod(edge_at - (at - shifts), pitch)
        narrowest = np.minimum(narrowest, np.where(rip <= 0, width, rip))
    for edge_at in upper:
        rip = np.mod(edge_at - (at - shifts), pitch)
        narrowest = np.minimum(narrowest, np.where(rip < 0.01, width, np.minimum(rip, width)))
    if narrowest[0] >= need:
        return float(at)
    return float(at - shifts[int(np.argmax(narrowest))])


def _edge_gap(site: Site, zone: ZoneArea) -> float:
    """What the first course keeps off its start edge [mm]."""
    if zone.at_wall:
        bulging = surveyed_line(site)
        along = 0.0 if bulging is None else zone.start.intersection(bulging.buffer(1.0)).length
        return site.gaps.wall + (moved_out(site, site.wall_survey.edge) if site.wall_survey and along else 0.0)
    at_seam = zone.start.intersection(zone.seams.buffer(1.0)).length > 0.5 * zone.start.length
    return site.gaps.course / 2 if at_seam else 0.0


def _edges_along(area: BaseGeometry, shortest: float) -> tuple[list[float], list[float]]:
    """Where the field's edges run along the boards: those with the field above, and those with it below."""
    lower: list[float] = []
    upper: list[float] = []
    for polygon in shapely.get_parts(area):
        oriented = shapely.geometry.polygon.orient(polygon)  # field on the left of every edge
        for ring in (oriented.exterior, *oriented.interiors):
            coords = np.asarray(ring.coords)
            for a, b in pairwise(coords):
                if abs(b[0] - a[0]) > shortest and _along_boards(np.array((a, b))):
                    (lower if b[0] > a[0] else upper).append(float(max(a[1], b[1]) if b[0] > a[0] else min(a[1], b[1])))
    return lower, upper

"""The eaves and the hipped, slated roof over any ring of walls.

The roof is built as its courses are laid: the eaves' outline drawn in, course by course, each one a band of slope with
the tails of its slates standing proud of the course below. That holds for every outline, where a roof made of a few
large planes would have to know its valleys beforehand.
"""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, radians, tan

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..plan import Point2, Point3
from .mesh import Mesh, rings, triangles
from .model import Surface

OVERHANG = 300.0
FASCIA, FASCIA_DROP = 180.0, 20.0
GUTTER_DEPTH, GUTTER_WIDTH = 75.0, 112.0
"""Eaves [mm] (common practice, no source)."""
PITCH = radians(32.5)
"""(Common practice for slates, no source.)"""
SLATE_LENGTH, SLATE_WIDTH, HEAD_LAP, SLATE_THICKNESS = 500.0, 250.0, 100.0, 7.0
GAUGE = (SLATE_LENGTH - HEAD_LAP) / 2
"""Slates of 500 x 250 mm with a head lap of 100 mm show 200 mm of each: gauge is half of length less lap
(slating practice as in BS 5534, from memory)."""
STEP = GAUGE * cos(PITCH)
RIDGE_HALF, RIDGE_LENGTH, RIDGE_PROUD = 115.0, 450.0, 22.0
"""Ridge and hip tiles [mm] (common practice, no source)."""
EAVES_OVER = 45.0
"""How far the first course reaches out over the gutter [mm] (common practice: about 50, no source)."""
MITRE_LIMIT = 4.0
LEAST = 400.0
"""What is left of a course that is smaller is not worth a slope [mm2] (ours)."""


def eaves_outline(house: Polygon) -> Polygon:
    """Give the line of the fascia round a house [mm]."""
    return _offset(house, OVERHANG)


def gutter_line(house: Polygon) -> Polygon:
    """Give the middle line of the gutter round a house [mm]."""
    return _offset(house, OVERHANG + GUTTER_WIDTH / 2)


def roof(house: Polygon, eaves: float) -> list[Surface]:
    """Build soffit, fascia, gutter, slopes, hips and ridges.

    Parameters
    ----------
    house : Polygon
        Outer wall faces [mm].
    eaves : float
        Level of the soffit [mm above datum].
    """
    outline = eaves_outline(house)
    boards = Mesh()
    boards.floor(outline.difference(house), eaves, up=False)
    for ring in rings(outline):
        boards.skirt(ring, eaves - FASCIA_DROP, eaves + FASCIA)
        boards.skirt(ring[::-1], eaves - FASCIA_DROP, eaves)
    slates, tiles = _slopes(outline, eaves + FASCIA)
    return [
        boards.surface("fascia and soffit", "House", "fascia"),
        _gutter(house, eaves + FASCIA - 20.0).surface("gutter", "House", "gutter"),
        slates.surface("roof", "House", "roof"),
        tiles.surface("hips and ridges", "House", "ridge"),
    ]


def _gutter(house: Polygon, top: float) -> Mesh:
    """Hang a half-round gutter: its section drawn round the house point by point."""
    mesh = Mesh()
    radius = GUTTER_WIDTH / 2 - 1.0
    section = [
        (OVERHANG + 2.0 + radius * (1 - across), top - GUTTER_DEPTH * down)
        for across, down in (
            (1.0, 0.0),
            (0.94, 0.45),
            (0.60, 0.86),
            (0.0, 1.0),
            (-0.60, 0.86),
            (-0.94, 0.45),
            (-1.0, 0.0),
        )
    ]
    # A rounded front lip, then back inside.
    section += [(section[-1][0] - 5.0, top), (section[-2][0] - 5.0, section[-2][1] + 3.0), (OVERHANG + 8.0, top - 40.0)]
    lines = [(_offset(house, out), level) for out, level in section]
    for (inner, low), (outer, high) in pairwise(lines):
        for one, other in zip(rings(inner), rings(outer), strict=False):
            if len(one) != len(other):
                continue
            for i, j in pairwise([*range(len(one)), 0]):
                corners = [(*one[i], low), (*one[j], low), (*other[j], high), (*other[i], high)]
                mesh.face(corners)
    return mesh


def _slopes(outline: Polygon, eaves: float) -> tuple[Mesh, Mesh]:
    slates, tiles = Mesh(), Mesh()
    rise = tan(PITCH)
    lip = _offset(outline, EAVES_OVER)
    _band(slates, lip.difference(outline), _corners(outline), (eaves - EAVES_OVER * rise, eaves), -EAVES_OVER, 0)
    for ring in rings(lip):  # the thickness of two slates at the eaves
        slates.skirt(ring, eaves - EAVES_OVER * rise - SLATE_THICKNESS, eaves - EAVES_OVER * rise)
    band, drawn_in, course = outline, 0.0, 1
    while not band.is_empty:
        inner = _offset(outline, -(drawn_in + STEP))
        low, high = eaves + drawn_in * rise, eaves + (drawn_in + STEP) * rise
        ending = shapely.MultiPolygon(
            [part for part in _polygons(band.difference(_offset(inner, STEP + 0.5))) if part.area > LEAST]
        )
        sloping = band.difference(inner).difference(ending)
        _band(slates, sloping, _corners(inner), (low + SLATE_THICKNESS, high), drawn_in, course)
        for part in _polygons(band):
            for ring in rings(part):
                slates.skirt(ring, low, low + SLATE_THICKNESS)
        _hips(tiles, band, inner, (low, high))
        for part in ending.geoms:
            _top_out(slates, tiles, part, low, drawn_in, course)
        band, drawn_in, course = inner, drawn_in + STEP, course + 1
    return slates, tiles


def _top_out(slates: Mesh, tiles: Mesh, part: Polygon, low: float, drawn_in: float, course: int) -> None:
    """Close what is left of a course where its slopes meet: a ridge along its middle."""
    axis, width = _axis(part)
    high = low + width / 2 * tan(PITCH)
    seam = axis.buffer(0.5, cap_style="square").intersection(part)
    _band(slates, part.difference(seam), _corners(seam), (low + SLATE_THICKNESS, high), drawn_in, course)
    (x0, y0), (x1, y1) = axis.coords[0], axis.coords[-1]
    count = max(round(axis.length / RIDGE_LENGTH), 1)
    for i in range(count):
        ends = [(x0 + (x1 - x0) * share / count, y0 + (y1 - y0) * share / count, high) for share in (i, i + 1)]
        _ridge_tile(tiles, ends[0], ends[1], tan(PITCH))


def _axis(part: Polygon) -> tuple[LineString, float]:
    """Give the middle line of a narrow area, less half its width at either end, and the width [mm]."""
    box = shapely.minimum_rotated_rectangle(part)
    if box.geom_type != "Polygon":
        return LineString([part.centroid, part.centroid]), 0.0
    a, b, c, d = box.exterior.coords[:4]
    if hypot(b[0] - a[0], b[1] - a[1]) < hypot(c[0] - b[0], c[1] - b[1]):
        a, b, c, d = b, c, d, a
    width = hypot(c[0] - b[0], c[1] - b[1])
    start, end = ((a[0] + d[0]) / 2, (a[1] + d[1]) / 2), ((b[0] + c[0]) / 2, (b[1] + c[1]) / 2)
    line = LineString([start, end])
    keep = min(width / 2, line.length / 2 - 1.0)
    return LineString([line.interpolate(keep), line.interpolate(line.length - keep)]), min(width, 2 * STEP)


def _hips(tiles: Mesh, band: BaseGeometry, inner: BaseGeometry, levels: tuple[float, float]) -> None:
    """Lay a hip tile from every outer corner of a course to the same corner of the next."""
    upper = [point for part in _polygons(inner) for ring in rings(part) for point in ring]
    for part in _polygons(band):
        for ring in rings(part):
            for before, at, after in zip([ring[-1], *ring[:-1]], ring, [*ring[1:], ring[0]], strict=True):
                corner = _hip_from(before, at, after)
                if corner is None:
                    continue
                (x, y), half_cosine = corner
                to = min(upper, key=lambda point: hypot(point[0] - x, point[1] - y), default=None)
                if to is not None and hypot(to[0] - x, to[1] - y) < 2.0:
                    _ridge_tile(tiles, (*at, levels[0]), (*to, levels[1]), tan(PITCH) * half_cosine)


def _hip_from(before: Point2, at: Point2, after: Point2) -> tuple[Point2, float] | None:
    """Give where a corner comes to on the next course, and how the slopes fall from its hip; None if it is no hip."""
    (ax, ay), (bx, by) = (_way(before, at), _way(at, after))
    turn = ax * by - ay * bx
    if turn < 0.17:  # straight on within 10 degrees, or a valley
        return None
    # Inward normals of both sides; the corner moves so that it is a step from either.
    (mx, my), (nx, ny) = (-ay, ax), (-by, bx)
    share = STEP / (1 + mx * nx + my * ny)
    move = (share * (mx + nx), share * (my + ny))
    length = hypot(*move)
    cosine = (1 - (STEP / length) ** 2) ** 0.5 if length > STEP else 0.0
    return (at[0] + move[0], at[1] + move[1]), cosine


def _ridge_tile(tiles: Mesh, low: Point3, high: Point3, fall: float) -> None:
    """Lay an angled tile from one place to another, its wings falling to the slopes at either side."""
    run = hypot(high[0] - low[0], high[1] - low[1])
    if run < 1.0:
        return
    ux, uy = (high[0] - low[0]) / run, (high[1] - low[1]) / run
    drop = RIDGE_HALF * fall
    lift = 1.3 * RIDGE_PROUD  # the lower end lies on the tile below

    def section(at: Point3, proud: float) -> tuple[Point3, Point3, Point3, Point3, Point3]:
        x, y, z = at
        left, right = (x - uy * RIDGE_HALF, y + ux * RIDGE_HALF), (x + uy * RIDGE_HALF, y - ux * RIDGE_HALF)
        edge = z - drop + proud
        return (
            (*right, edge - RIDGE_PROUD),
            (*right, edge),
            (x, y, z + proud),
            (*left, edge),
            (*left, edge - RIDGE_PROUD),
        )

    near, far = section(low, lift), section(high, RIDGE_PROUD)
    for i in range(4):
        tiles.face([near[i], far[i], far[i + 1], near[i + 1]])
    tiles.face([near[0], near[1], near[2], near[3], near[4]])
    tiles.face([far[4], far[3], far[2], far[1], far[0]])


def _band(
    mesh: Mesh, area: BaseGeometry, upper: set[Point2], levels: tuple[float, float], drawn_in: float, course: int
) -> None:
    """Add the slope over an area: its corners in `upper` at the higher level, the others at the lower."""
    low, high = levels
    for triangle in triangles(area):
        corners = [(x, y, high if (x, y) in upper else low) for x, y in triangle]
        mesh.face(corners, _slope_uv(corners, drawn_in, levels), (float(course), 0.0, 0.0))


def _corners(area: BaseGeometry) -> set[Point2]:
    return {point for part in _polygons(area) for ring in rings(part) for point in ring}


def _polygons(area: BaseGeometry) -> list[Polygon]:
    return [part for part in shapely.get_parts(area) if part.geom_type == "Polygon" and not part.is_empty]


def _slope_uv(corners: list[Point3], drawn_in: float, levels: tuple[float, float]) -> list[Point2]:
    """Map u along the eaves and v up the slope [mm], v counted from the eaves all the way up."""
    low, high = levels
    (x0, y0, z0), (x1, y1, z1), (x2, y2, z2) = corners
    level = next(
        (
            (bx - ax, by - ay)
            for (ax, ay, az), (bx, by, bz) in (
                ((x0, y0, z0), (x1, y1, z1)),
                ((x1, y1, z1), (x2, y2, z2)),
                ((x2, y2, z2), (x0, y0, z0)),
            )
            if az == bz
        ),
        (1.0, 0.0),
    )
    size = max(hypot(*level), 1e-9)
    ux, uy = level[0] / size, level[1] / size
    # The level side of a triangle runs either along the eaves or, from the upper line, back.
    if (z0 + z1 + z2) / 3 > (low + high) / 2:
        ux, uy = -ux, -uy
    share = GAUGE / max(high - low, 1e-9)
    return [(x * ux + y * uy, drawn_in / cos(PITCH) + (z - low) * share) for x, y, z in corners]


def _way(start: Point2, end: Point2) -> Point2:
    size = max(hypot(end[0] - start[0], end[1] - start[1]), 1e-9)
    return (end[0] - start[0]) / size, (end[1] - start[1]) / size


def _offset(area: BaseGeometry, by: float) -> BaseGeometry:
    return area.buffer(by, join_style="mitre", mitre_limit=MITRE_LIMIT)

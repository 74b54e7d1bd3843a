"""The eaves and the hipped roof over any ring of walls.

The roof is built as its courses are laid: the eaves' outline drawn in, step by step, each step one band of slope.
That holds for every outline, where a roof made of a few large planes would have to know its valleys beforehand.
"""

from __future__ import annotations

from math import cos, radians, tan

import shapely
from shapely.geometry import Polygon

from .mesh import Mesh, rings, triangles
from .model import Surface

OVERHANG = 300.0
FASCIA = 180.0
GUTTER_DEPTH, GUTTER_WIDTH = 75.0, 112.0
"""Eaves [mm] (common practice, no source)."""
PITCH = radians(30.0)
"""(Common practice for tiles, no source.)"""
STEP = 350.0
"""How far the outline is drawn in from band to band [mm] (ours: fine enough that hips run straight)."""
MITRE_LIMIT = 4.0


def eaves_outline(house: Polygon) -> Polygon:
    """Give the line of the fascia round a house [mm]."""
    return _offset(house, OVERHANG)


def gutter_line(house: Polygon) -> Polygon:
    """Give the middle line of the gutter round a house [mm]."""
    return _offset(house, OVERHANG + GUTTER_WIDTH / 2)


def roof(house: Polygon, eaves: float) -> list[Surface]:
    """Build soffit, fascia, gutter and slopes.

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
        boards.skirt(ring, eaves - 20.0, eaves + FASCIA)
    return [
        boards.surface("fascia and soffit", "House", "fascia"),
        _gutter(house, eaves).surface("gutter", "House", "gutter"),
        _slopes(outline, eaves + FASCIA).surface("roof", "House", "roof"),
    ]


def _gutter(house: Polygon, eaves: float) -> Mesh:
    inner, outer = _offset(house, OVERHANG + 2.0), _offset(house, OVERHANG + GUTTER_WIDTH)
    mesh = Mesh()
    top = eaves + FASCIA - 20.0
    bottom = top - GUTTER_DEPTH
    mesh.floor(outer.difference(inner), bottom, up=False)
    mesh.floor(outer.difference(_offset(house, OVERHANG + GUTTER_WIDTH - 3.0)), top)
    mesh.floor(outer.difference(inner), bottom + 25.0)
    for ring in rings(outer):
        mesh.skirt(ring, bottom, top)
    return mesh


def _slopes(outline: Polygon, eaves: float) -> Mesh:
    mesh = Mesh()
    band, drawn_in = outline, 0.0
    # The first course reaches out over the gutter.
    lip = _offset(outline, 45.0)
    _band(mesh, lip, outline, (eaves - 45.0 * tan(PITCH), eaves), -45.0)
    while not band.is_empty:
        inner = _offset(outline, -(drawn_in + STEP))
        levels = (eaves + drawn_in * tan(PITCH), eaves + (drawn_in + STEP) * tan(PITCH))
        _band(mesh, band, inner, levels, drawn_in)
        band, drawn_in = inner, drawn_in + STEP
    return mesh


def _band(mesh: Mesh, outer: Polygon, inner: Polygon, levels: tuple[float, float], drawn_in: float) -> None:
    """Add the slope between two outlines; where the inner one has vanished, the ridge is left level."""
    low, high = levels
    upper = {point for part in shapely.get_parts(inner) for ring in rings(part) for point in ring}
    for triangle in triangles(outer.difference(inner)):
        corners = [(x, y, high if (x, y) in upper else low) for x, y in triangle]
        mesh.face(corners, _slope_uv(corners, drawn_in, low))


def _slope_uv(corners: list[tuple[float, float, float]], drawn_in: float, low: float) -> list[tuple[float, float]]:
    """Map u along the eaves and v up the slope [mm], v counted from the eaves all the way up."""
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
    size = max((level[0] ** 2 + level[1] ** 2) ** 0.5, 1e-9)
    ux, uy = level[0] / size, level[1] / size
    # The level side of a triangle runs either along the eaves or, from the upper line, back.
    if (z0 + z1 + z2) / 3 > low + STEP * tan(PITCH) / 2:
        ux, uy = -ux, -uy
    return [(x * ux + y * uy, (drawn_in + (z - low) / tan(PITCH)) / cos(PITCH)) for x, y, z in corners]


def _offset(area: Polygon, by: float) -> Polygon:
    return area.buffer(by, join_style="mitre", mitre_limit=MITRE_LIMIT)

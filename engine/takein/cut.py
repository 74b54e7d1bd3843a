"""Things cut at a level: the line that a level draws on a surface of triangles, and what lies between two levels."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from .lines import areas_within
from .model import Floats, Solid

OFF_CORNERS = 0.0137
"""How far a cut is moved off its level [mm], so that no corner of a model drawn in whole millimetres lies on it."""
CRUMB = 0.5
"""Spikes and cracks of a shadow no wider than twice this are none [mm] (ours)."""
LEAST_AREA = 25.0
"""A smaller shadow is no thing to cut boards round [mm2] (ours)."""


def lines_at(solid: Solid, level: float) -> Floats:
    """Where a thing's surface meets a level.

    Returns
    -------
    ndarray
        (k, 2, 2) [mm] ends of straight lines in plan, in no order.
    """
    corners = solid.vertices[solid.triangles]
    above = corners[..., 2] > level + OFF_CORNERS
    met = corners[above.any(axis=1) & ~above.all(axis=1)]
    if not len(met):
        return np.zeros((0, 2, 2))
    start, end = met, np.roll(met, -1, axis=1)
    level += OFF_CORNERS
    crosses = (start[..., 2] > level) != (end[..., 2] > level)  # two sides of each triangle
    start, end = start[crosses], end[crosses]
    share = (level - start[:, 2]) / (end[:, 2] - start[:, 2])
    points: Floats = start[:, :2] + share[:, None] * (end[:, :2] - start[:, :2])
    return points.reshape(-1, 2, 2)


def section_at(solid: Solid, level: float) -> BaseGeometry:
    """What a thing covers at a level, what is hollow counted with it [mm2]."""
    return areas_within(lines_at(solid, level))


def shadow_between(solid: Solid, low: float, high: float) -> BaseGeometry:
    """What a thing covers in plan between two levels: its sections, and all its surface that lies between them."""
    sections = [section_at(solid, level) for level in (low, (low + high) / 2, high - 2 * OFF_CORNERS)]
    shadows = []
    corners = solid.vertices[solid.triangles]
    heights = corners[..., 2]
    for triangle in corners[(heights.max(axis=1) >= low) & (heights.min(axis=1) <= high)]:
        part = _kept(_kept(triangle, low, 1.0), high, -1.0)
        if len(part) > 2:
            shadow = Polygon(part[:, :2])
            if shadow.area > 0:
                shadows.append(shadow.buffer(0))
    covered = _sound(shapely.union_all([*sections, *shadows]))
    parts = [Polygon(part.exterior) for part in shapely.get_parts(covered) if part.geom_type == "Polygon"]
    return shapely.union_all([part for part in parts if part.area > LEAST_AREA])


def _sound(area: BaseGeometry) -> BaseGeometry:
    """An area without spikes and cracks finer than `CRUMB`, which rounding leaves where shadows meet."""
    shrunk = area.buffer(-CRUMB, join_style="mitre")
    return shrunk.buffer(2 * CRUMB, join_style="mitre").buffer(-CRUMB, join_style="mitre")


def _kept(corners: Floats, level: float, side: float) -> Floats:
    """The part of a flat outline (n, 3) above a level, or below it with `side` -1."""
    kept = []
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        a, b = side * (start[2] - level), side * (end[2] - level)
        if a >= 0:
            kept.append(start)
        if (a > 0 > b) or (a < 0 < b):
            kept.append(start + a / (a - b) * (end - start))
    return np.array(kept).reshape(-1, 3)

"""Rings out of loose lines, and rings without the corners that are none."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from .model import Floats

Ring = tuple[tuple[float, float], ...]

GRID = 0.01
"""Ends of lines nearer than this are one point [mm]: single precision, as drawing programs keep, strays by less than
half of it up to 80 m from the origin."""
STRAIGHT = 0.5
"""A corner nearer than this to the line between its neighbours is none [mm] (ours)."""
DIGITS = 1
"""Places of a millimetre kept of what is taken in: finer than any tape (ours)."""


def areas_within(segments: Floats) -> BaseGeometry:
    """What lines enclose, holes filled.

    Parameters
    ----------
    segments : ndarray
        (k, 2, 2) [mm], in any order; where they cross, they are cut.
    """
    return shapely.union_all([Polygon(face.exterior) for face in _faces(segments)])


def ring_areas(segments: Floats) -> BaseGeometry:
    """As `areas_within`, but a ring within a ring is a hole, and one within that is filled again."""
    area: BaseGeometry = Polygon()
    for ring in sorted({Polygon(face.exterior) for face in _faces(segments)}, key=lambda ring: -ring.area):
        area = area.symmetric_difference(ring)
    return area


def _faces(segments: Floats) -> list[Polygon]:
    lines = shapely.set_precision(shapely.linestrings(segments), GRID)
    lines = lines[~shapely.is_empty(lines)]
    return [face for face in shapely.get_parts(shapely.polygonize([shapely.union_all(lines)])) if face.area > 1.0]


def loose_ends(segments: Floats) -> list[tuple[float, float]]:
    """Points at which lines end and none goes on."""
    points, counts = np.unique(np.round(segments.reshape(-1, 2) / GRID), axis=0, return_counts=True)
    return [(float(x) * GRID, float(y) * GRID) for x, y in points[counts == 1]]


def straightened(ring: Sequence[Sequence[float]], within: float = STRAIGHT) -> Ring:
    """A ring without corners at which it does not turn, rounded; closed or not, it comes back not closed."""
    points = [(float(x), float(y)) for x, y, *_ in ring]
    if len(points) > 1 and points[0] == points[-1]:
        points.pop()
    goes_on = True
    while goes_on and len(points) > 3:
        off = [_off_line(points[i - 1], points[i], points[(i + 1) % len(points)]) for i in range(len(points))]
        least = min(range(len(points)), key=off.__getitem__)
        goes_on = off[least] < within
        if goes_on:
            points.pop(least)
    return tuple(rounded(point) for point in points)


def rounded(point: tuple[float, float]) -> tuple[float, float]:
    """A point to the digits that are kept, without a minus before zero."""
    return round(point[0], DIGITS) + 0.0, round(point[1], DIGITS) + 0.0


def _off_line(before: tuple[float, float], at: tuple[float, float], after: tuple[float, float]) -> float:
    """How far a corner stands off the straight line between its neighbours [mm]."""
    dx, dy = after[0] - before[0], after[1] - before[1]
    length = math.hypot(dx, dy)
    if length < GRID:
        return math.dist(before, at)
    share = ((at[0] - before[0]) * dx + (at[1] - before[1]) * dy) / length**2
    near = min(max(share, 0.0), 1.0)
    return math.dist(at, (before[0] + near * dx, before[1] + near * dy))

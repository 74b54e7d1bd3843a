"""Bodies: the parts of a board that are wide enough to be stood on, and so need support of their own."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from .arrays import array_of
from .chords import Bools

STANDS = 40.0
"""Width of board from which a foot stands on it [mm], the plan's own measure of a bare spot."""
OVERHANG = 50.0
"""How far a board may reach past its last support [mm]; common practice, no source."""


def bodies_of_each(polygons: NDArray[np.object_], boxes: Bools) -> list[tuple[Polygon, ...]]:
    """The bodies of each of many pieces; a rectangle, which `boxes` tells, is its own.

    A notch beside a post may leave no more than a tongue between two bodies; it carries neither. A part that is no
    longer than an overhang is none.
    """
    found = [(polygon,) for polygon in polygons]
    cut = np.flatnonzero(~boxes)
    shapes = polygons[cut]
    _, bottom, _, top = shapely.bounds(shapes).reshape(-1, 4).T
    radius = np.minimum(STANDS, 0.9 * (top - bottom)) / 2
    opened = shapely.buffer(shapely.buffer(shapes, -radius, quad_segs=4), radius, quad_segs=4)
    parts, part_of = shapely.get_parts(shapely.intersection(opened, shapes), return_index=True)
    left, _, right, _ = shapely.bounds(parts).reshape(-1, 4).T
    kept = (shapely.get_type_id(parts) == shapely.GeometryType.POLYGON) & (right - left > OVERHANG)
    parts, part_of = parts[kept], part_of[kept]
    ends = np.searchsorted(part_of, np.arange(len(cut) + 1))
    for i, (first, beyond) in zip(cut.tolist(), pairwise(ends.tolist()), strict=True):
        if first < beyond:
            found[i] = tuple(parts[first:beyond])
    return found


def bodies_of(polygon: Polygon, box: bool) -> tuple[Polygon, ...]:
    """The bodies of one piece."""
    return (polygon,) if box else bodies_of_each(array_of([polygon]), np.array([False]))[0]

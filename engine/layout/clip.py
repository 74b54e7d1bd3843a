"""Cuts square to the board axes, and shapes without the lines and points that cuts leave behind."""

from __future__ import annotations

import shapely
from shapely.errors import GEOSException
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

NOTHING = Polygon()
"""An area of none."""
Box = tuple[float, float, float, float]
"""Bounds in board axes: u from, v from, u to, v to."""


def within(shape: BaseGeometry, bounds: Box) -> BaseGeometry:
    """What of a shape lies in a box. The quick way of clipping fails on a ring that touches the box in a sliver."""
    try:
        return shapely.clip_by_rect(shape, *bounds)
    except GEOSException:
        return shape.intersection(box(*bounds))


def areas(shape: BaseGeometry) -> BaseGeometry:
    """The polygons of a shape."""
    return shapely.union_all([part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"])

"""Where rules come from that no standard has, and how a place is written."""

from __future__ import annotations

import shapely

from ..layout.axes import Axes

SITE_RULE = "the site file"
PRACTICE = "common practice, no source"


def place_of(axes: Axes, shape: shapely.Geometry) -> str:
    """Where something in board axes lies on the site."""
    middle = shape.representative_point()
    return at_place(axes.point_to_site(middle.x, middle.y))


def at_place(point: tuple[float, float]) -> str:
    """A point of the site as messages write it [mm]."""
    return f"[{point[0]:.0f}, {point[1]:.0f}]"

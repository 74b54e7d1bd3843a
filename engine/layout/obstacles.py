"""The plan outlines of the things that boards go round."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from ..spec import Obstacle, Site

QUARTER_SEGMENTS = 8
"""Straight cuts to a quarter circle; on a 100 mm post they stray from the true circle by a quarter of a millimetre."""


def obstacle_polygon(obstacle: Obstacle) -> Polygon:
    """Outline of an obstacle without clearance [mm]; a circle becomes a polygon that encloses it."""
    if obstacle.outline is not None:
        return Polygon(obstacle.outline)
    assert obstacle.centre is not None  # the record refuses an obstacle that has neither
    if obstacle.diameter is not None:
        return _enclosing_circle(obstacle.centre, obstacle.diameter / 2)
    assert obstacle.size is not None
    (x, y), (width, depth) = obstacle.centre, obstacle.size
    shape: Polygon = box(x - width / 2, y - depth / 2, x + width / 2, y + depth / 2)
    return affinity.rotate(shape, obstacle.rotation, origin=obstacle.centre)


def clearance_of(obstacle: Obstacle, site: Site) -> float:
    """Gap that boards keep to this obstacle [mm]: its own, else the site's."""
    return site.gaps.obstacle if obstacle.clearance is None else obstacle.clearance


def kept_clear(site: Site) -> list[BaseGeometry]:
    """Obstacles grown by their clearance, which boards are cut round; hatches are boarded over."""
    return [grown(site, obstacle) for obstacle in site.obstacles if obstacle.treatment == "cut"]


def grown(site: Site, obstacle: Obstacle) -> Polygon:
    """An obstacle grown by its clearance."""
    return _grown(obstacle, clearance_of(obstacle, site))


@lru_cache(maxsize=4096)  # each stage asks again
def _grown(obstacle: Obstacle, clearance: float) -> Polygon:
    if obstacle.diameter is not None and obstacle.centre is not None:
        return _enclosing_circle(obstacle.centre, obstacle.diameter / 2 + clearance)
    shape: Polygon = obstacle_polygon(obstacle).buffer(clearance, join_style="mitre")
    return shape


def _enclosing_circle(centre: tuple[float, float], radius: float) -> Polygon:
    """Regular polygon about a circle, so that a cut along it never takes less than the circle."""
    turns = np.arange(4 * QUARTER_SEGMENTS) * (math.pi / 2 / QUARTER_SEGMENTS)
    reach = radius / math.cos(math.pi / 4 / QUARTER_SEGMENTS)
    return Polygon(np.stack((centre[0] + reach * np.cos(turns), centre[1] - reach * np.sin(turns)), axis=1))

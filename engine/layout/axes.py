"""Board axes: u along the boards, v across them, away from the first course."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.errors import GEOSException
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from ..spec import Site
from .chords import Floats
from .zones import ZoneArea

GRID = 1e-3
"""Board axes are kept on a grid of this [mm], so that an edge along the boards is straight."""
PARALLEL = 0.5
"""Edges this near to a direction count as parallel to it [degrees]: 9 mm in a metre, what a rip can follow."""


@dataclass(frozen=True, slots=True)
class Axes:
    """A turned frame: `angle` [degrees] from +x to u; the origin is the site's own."""

    angle: float

    def to_local(self, shape: BaseGeometry) -> BaseGeometry:
        """A site geometry in board axes, on a grid of a thousandth of a millimetre."""
        turned = affinity.rotate(shape, -self.angle, origin=(0, 0))
        try:
            return shapely.set_precision(turned, GRID)
        except GEOSException:  # corners nearer to each other than the grid, in a ring that touches itself
            return shapely.make_valid(shapely.set_precision(turned, GRID, mode="pointwise"))

    def to_site(self, shape: BaseGeometry) -> BaseGeometry:
        """A geometry in board axes as it lies on the site."""
        return affinity.rotate(shape, self.angle, origin=(0, 0))

    def point_to_site(self, u: float, v: float) -> tuple[float, float]:
        """One point in board axes as it lies on the site."""
        cos, sin = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
        return (u * cos - v * sin, u * sin + v * cos)

    def points_to_site(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """Many points in board axes, along and across the boards, as they lie on the site."""
        cos, sin = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
        return u * cos - v * sin, u * sin + v * cos


def parallel(one: Axes, other: Axes) -> bool:
    """Whether boards in two axes run the same way, or straight against each other."""
    return same_way(one.angle, other.angle)


def same_way(one: float, other: float) -> bool:
    """Whether two directions [degrees] are the same line's, either way along it."""
    return abs((one - other + 90.0) % 180.0 - 90.0) < PARALLEL


def board_axes(site: Site, zone: ZoneArea) -> Axes:
    """Axes of a zone.

    Boards along the start edge are laid away from it. In any other direction they are laid away from the
    side on which more house wall runs along them, so that the first course stands at a wall if one can.
    """
    angle = zone.heading + zone.direction
    if zone.direction % 360.0 != 0.0 and _wall_along(site, zone, angle + 180.0) > _wall_along(site, zone, angle):
        angle += 180.0
    return Axes(round(angle % 360.0, 9))


def _wall_along(site: Site, zone: ZoneArea, angle: float) -> float:
    """Length of house edge that runs along `angle` with the zone on its left [mm]."""
    ring = site.deck.outline
    turned = 0.0 if shapely.is_ccw(shapely.linearrings(ring)) else 180.0
    border = zone.area.boundary.buffer(1.0)
    total = 0.0
    for edge in site.deck.house_edges or ():
        (x0, y0), (x1, y1) = ring[edge], ring[(edge + 1) % len(ring)]
        heading = math.degrees(math.atan2(y1 - y0, x1 - x0)) + turned
        if abs((heading - angle + 180.0) % 360.0 - 180.0) < PARALLEL:
            total += LineString(((x0, y0), (x1, y1))).intersection(border).length
    return total


def along_boards(ends: NDArray[np.float64]) -> bool:
    """Whether a line, given by its ends (2, 2) in board axes, runs along the boards."""
    across, along = abs(ends[1, 1] - ends[0, 1]), abs(ends[1, 0] - ends[0, 0])
    return bool(across <= along * np.tan(np.radians(PARALLEL)))

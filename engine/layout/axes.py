"""Board axes: u along the boards, v across them, away from the first course."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from ..spec import Site

PARALLEL = 0.5
"""Edges this near to a direction count as parallel to it [degrees]: 9 mm in a metre, what a rip can follow."""


@dataclass(frozen=True, slots=True)
class Axes:
    """A turned frame: `angle` [degrees] from +x to u; the origin is the site's own."""

    angle: float

    def to_local(self, shape: BaseGeometry) -> BaseGeometry:
        """A site geometry in board axes, on a grid of a thousandth of a millimetre."""
        return shapely.set_precision(affinity.rotate(shape, -self.angle, origin=(0, 0)), 1e-3)

    def to_site(self, shape: BaseGeometry) -> BaseGeometry:
        """A geometry in board axes as it lies on the site."""
        return affinity.rotate(shape, self.angle, origin=(0, 0))

    def point_to_site(self, u: float, v: float) -> tuple[float, float]:
        """One point in board axes as it lies on the site."""
        cos, sin = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
        return (u * cos - v * sin, u * sin + v * cos)


def board_axes(site: Site) -> Axes:
    """Axes of the field.

    Boards along the start edge are laid away from it. In any other direction they are laid away from the
    side on which more house wall runs along them, so that the first course stands at a wall if one can.
    """
    outline, deck = site.deck.outline, site.deck
    anticlockwise = shapely.is_ccw(shapely.linearrings(outline))
    assert deck.start_edge is not None  # filled in when the site was read
    along = _heading(outline, deck.start_edge) + (0.0 if anticlockwise else 180.0)
    angle = along + deck.direction
    if deck.direction % 360.0 != 0.0 and _wall_along(site, angle + 180.0, anticlockwise) > _wall_along(
        site, angle, anticlockwise
    ):
        angle += 180.0
    return Axes(round(angle % 360.0, 9))


def _heading(ring: tuple[tuple[float, float], ...], edge: int) -> float:
    (x0, y0), (x1, y1) = ring[edge], ring[(edge + 1) % len(ring)]
    return math.degrees(math.atan2(y1 - y0, x1 - x0))


def _wall_along(site: Site, angle: float, anticlockwise: bool) -> float:
    """Length of house edge that runs along `angle` with the deck on its left [mm]."""
    total = 0.0
    for edge in site.deck.house_edges or ():
        heading = _heading(site.deck.outline, edge) + (0.0 if anticlockwise else 180.0)
        if abs((heading - angle + 180.0) % 360.0 - 180.0) < PARALLEL:
            ring = site.deck.outline
            total += LineString((ring[edge], ring[(edge + 1) % len(ring)])).length
    return total

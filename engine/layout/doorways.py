"""The deck in front of the house's doors, where everyone steps out and sees the boards first."""

from __future__ import annotations

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ..spec import Opening, Ring, Site
from .rings import edge_of

DEPTH = 1000.0
"""How deep a doorway reaches into the deck [mm]; common practice, no source."""


def doorways(site: Site) -> tuple[BaseGeometry, ...]:
    """A strip before each door of the house, as wide as the door; windows have none."""
    if site.house is None:
        return ()
    return tuple(_before(site.house.walls, o) for o in site.house.openings if o.kind != "window")


def _before(walls: Ring, opening: Opening) -> Polygon:
    (x0, y0), (x1, y1) = edge_of(walls, opening.wall).coords
    length = float(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5)
    along = ((x1 - x0) / length, (y1 - y0) / length)
    outwards = 1.0 if shapely.is_ccw(shapely.linearrings(walls)) else -1.0
    out = (along[1] * outwards, -along[0] * outwards)

    def place(u: float, depth: float) -> tuple[float, float]:
        return (x0 + along[0] * u + out[0] * depth, y0 + along[1] * u + out[1] * depth)

    near, far = opening.offset, opening.offset + opening.width
    return Polygon((place(near, 0.0), place(far, 0.0), place(far, DEPTH), place(near, DEPTH)))

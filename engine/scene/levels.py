"""The decks of a site as the scene sees them: where each lies, how high, and how deep the ground under it is dug."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..layout.decks import decks_of, sites_of
from ..layout.rings import edge_of
from ..layout.sides import sides_of
from ..plan import Point2
from ..spec import House, Site
from .model import Block
from .walls import DOORS

SUBSTRATE = 60.0
"""Room under the joists down to the soil [mm] (ours)."""


@dataclass(frozen=True, slots=True)
class Level:
    """A deck: its outline with openings, the top of its boards and the soil under it [mm above datum].

    `fascias` and `flush` are the lines of its free edges: those with a fascia down to the ground, and the others.
    """

    area: BaseGeometry
    surface: float
    soil: float
    fascias: BaseGeometry
    flush: BaseGeometry

    @property
    def filled(self) -> BaseGeometry:
        """Its outline without openings."""
        return shapely.union_all([Polygon(part.exterior) for part in shapely.get_parts(self.area)])


def levels_of(site: Site, blocks: Sequence[Block]) -> tuple[Level, ...]:
    """Every deck of a site, the soil under each below its own frame.

    Parameters
    ----------
    site : Site
    blocks : sequence of Block
        The frames of all decks.
    """
    decks = decks_of(site)
    sites = sites_of(site)
    areas = [shapely.make_valid(Polygon(deck.outline, deck.openings)) for deck in decks]
    middles = [Point((b.start[0] + b.end[0]) / 2, (b.start[1] + b.end[1]) / 2) for b in blocks]
    owners = [int(np.argmin(shapely.distance(areas, middle))) for middle in middles]
    levels = []
    for number, (deck, area) in enumerate(zip(decks, areas, strict=True)):
        feet = [
            min(block.start[2], block.end[2]) - block.section[1] / 2
            for block, owner in zip(blocks, owners, strict=True)
            if owner == number
        ]
        fascias, flush = _free_edges(sites[number])
        levels.append(Level(area, deck.surface, min(feet, default=0.0) - SUBSTRATE, fascias, flush))
    return tuple(levels)


def _free_edges(site: Site) -> tuple[BaseGeometry, BaseGeometry]:
    """Give the lines of a deck's edges that stand against no wall: those with a fascia, and the others."""
    free = [side for side in sides_of(site) if not side.at_wall]
    return tuple(
        shapely.union_all([LineString([side.start, side.end]) for side in free if side.fascia == fascia])
        for fascia in (True, False)
    )


def nearest(levels: Sequence[Level], at: Point2) -> Level:
    """The deck that lies nearest to a place."""
    return min(levels, key=lambda level: level.area.distance(Point(at)))


def doors_on_decks(house: House, levels: Sequence[Level]) -> House:
    """The same house with no door lower than the deck before it: nobody builds a door that the deck would block."""
    openings = []
    for opening in house.openings:
        if opening.kind in DOORS:
            middle = edge_of(house.walls, opening.wall).interpolate(opening.offset + opening.width / 2)
            floor = nearest(levels, (middle.x, middle.y)).surface
            opening = replace(opening, sill=max(opening.sill, floor))
        openings.append(opening)
    return replace(house, openings=tuple(openings))

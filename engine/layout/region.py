"""Where boards may lie."""

from __future__ import annotations

import shapely
from shapely.geometry import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import linemerge

from ..spec import Site
from .obstacles import kept_clear


def deck_area(site: Site) -> Polygon:
    """The finished deck: outline less its openings."""
    return Polygon(site.deck.outline, site.deck.openings)


def boardable(site: Site) -> BaseGeometry:
    """The deck less obstacles with their clearance and less the gap along house edges."""
    return open_deck(site).difference(shapely.union_all(kept_clear(site)))


def open_deck(site: Site) -> BaseGeometry:
    """The deck less the gap along house edges, as if no obstacle stood on it."""
    lines = house_lines(site)
    if site.gaps.wall == 0 or lines.is_empty:
        return deck_area(site)
    # Square ends and mitred corners enclose the round strip, so the gap is kept at corners as well.
    return deck_area(site).difference(lines.buffer(site.gaps.wall, cap_style="square", join_style="mitre"))


def house_lines(site: Site) -> BaseGeometry:
    """The house edges, joined where they follow each other."""
    ring = site.deck.outline
    lines = [LineString((ring[i], ring[(i + 1) % len(ring)])) for i in site.deck.house_edges or ()]
    return linemerge(lines) if len(lines) > 1 else MultiLineString(lines)

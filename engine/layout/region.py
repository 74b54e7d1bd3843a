"""Where boards may lie."""

from __future__ import annotations

from functools import lru_cache

import shapely
from shapely.geometry import MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import linemerge

from ..spec import Ring, Site
from .obstacles import kept_clear
from .rings import edge_of
from .wall import moved_out, surveyed_line


def deck_area(site: Site) -> Polygon:
    """The finished deck: outline less its openings."""
    return Polygon(site.deck.outline, site.deck.openings)


def boardable(site: Site, area: BaseGeometry, seams: BaseGeometry) -> BaseGeometry:
    """An area less obstacles with their clearance and the gaps along house edges and seams."""
    return open_area(site, area, seams).difference(shapely.union_all(kept_clear(site)))


def open_area(site: Site, area: BaseGeometry, seams: BaseGeometry, off_seam: float | None = None) -> BaseGeometry:
    """An area less the gaps along house edges and seams, as if no obstacle stood on it."""
    off_seam = site.gaps.course / 2 if off_seam is None else off_seam
    # Square ends and mitred corners enclose the round strip, so the gap is kept at corners as well.
    for lines, gap in ((house_lines(site), site.gaps.wall), (seams, off_seam)):
        if gap > 0 and not lines.is_empty:
            area = area.difference(lines.buffer(gap, cap_style="square", join_style="mitre"))
    bulging = surveyed_line(site)
    off = moved_out(site, site.wall_survey.edge) if site.wall_survey else 0.0
    if bulging is not None and off > 0:
        area = area.difference(bulging.buffer(site.gaps.wall + off, cap_style="flat"))
    return area


def house_lines(site: Site) -> BaseGeometry:
    """The house edges, joined where they follow each other."""
    return _joined(site.deck.outline, tuple(site.deck.house_edges or ()))


@lru_cache(maxsize=64)  # each stage asks again
def _joined(ring: Ring, edges: tuple[int, ...]) -> BaseGeometry:
    lines = [edge_of(ring, i) for i in edges]
    return linemerge(lines) if len(lines) > 1 else MultiLineString(lines)

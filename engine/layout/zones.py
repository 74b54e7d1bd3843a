"""Zones: the parts of a deck that are laid in one direction each.

What the site's own zones leave of the deck is the first zone, laid as `[deck]` says.
Where two zones meet, each keeps half a course gap and has a rim of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from string import ascii_uppercase

import numpy as np
import shapely
from shapely.geometry import LineString, MultiLineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..spec import Ring, Site
from .clip import NOTHING
from .region import deck_area, house_lines
from .rings import edge_of, edges_of

SLIGHTEST = math.radians(15.0)
"""A seam that meets an edge at less runs on into it."""
STRAIGHT = 1.0
"""A seam that strays less than this from a line is straight [mm]."""
LEAST_AREA = 2500.0
"""What the zones leave of the deck counts as a zone from here on [mm2]: a spot on which a foot stands."""
DRAWN = 0.01
"""Zones that stand no further apart than this are drawn as meeting [mm]: coordinates in a file are rounded."""
SHORTEST_SEAM = 1.0
"""Where zones meet for less than this, they meet at a corner alone [mm]."""


@dataclass(frozen=True, slots=True)
class ZoneArea:
    """A part of the deck: its area, the edge along which course 1 lies, and how the boards turn from it [degrees].

    `heading` is the start edge's own [degrees from +x], the zone lying on its left.
    """

    id: str
    area: BaseGeometry
    start: LineString
    heading: float
    at_wall: bool
    direction: float
    seams: BaseGeometry
    """Where it meets other zones."""
    own_seams: BaseGeometry
    """Those of them whose divider is counted with this zone: where it meets earlier ones."""


def zones_of(site: Site, before: int = 0) -> tuple[ZoneArea, ...]:
    """The zones of a deck: what the site's zones leave first, then those, in the order written.

    Their letters go on from those of the zones `before`, on other decks.
    """
    deck = deck_area(site)
    own = [_drawn(deck.intersection(Polygon(zone.outline))) for zone in site.zones]
    rest = _drawn(deck.difference(shapely.union_all(own))) if own else deck
    laid: list[tuple[Polygon, Ring, int, float]] = []
    for part in _parts(rest):
        laid.append((part, site.deck.outline, _start_of_rest(site, part), site.deck.direction))
    for zone, area in zip(site.zones, own, strict=True):
        laid += [(part, zone.outline, zone.start_edge, zone.direction) for part in _parts(area)]
    areas = [area for area, *_ in laid]
    return tuple(
        _zone(site, zone_name(before + i), areas, i, ring, edge, direction)
        for i, (_, ring, edge, direction) in enumerate(laid)
    )


def _drawn(area: BaseGeometry) -> BaseGeometry:
    """An area on a grid of a thousandth of a millimetre, without the spikes that cutting leaves along its edges."""
    return shapely.set_precision(area, 1e-3)


def _parts(area: BaseGeometry) -> list[Polygon]:
    return [part for part in shapely.get_parts(area) if isinstance(part, Polygon) and part.area > LEAST_AREA]


def zone_name(index: int) -> str:
    """Name of a zone: A, B, … Z, AA, AB and so on."""
    head, tail = divmod(index, len(ascii_uppercase))
    return (zone_name(head - 1) if head else "") + ascii_uppercase[tail]


def _zone(site: Site, name: str, areas: list[Polygon], index: int, ring: Ring, edge: int, direction: float) -> ZoneArea:
    (x0, y0), (x1, y1) = ring[edge], ring[(edge + 1) % len(ring)]
    turned = 0.0 if shapely.is_ccw(shapely.linearrings(ring)) else 180.0
    line = LineString(((x0, y0), (x1, y1)))
    walls = house_lines(site)
    at_wall = not walls.is_empty and line.intersection(walls.buffer(1.0)).length > 0.5 * line.length
    heading = math.degrees(math.atan2(y1 - y0, x1 - x0)) + turned
    area, before, after = areas[index], areas[:index], areas[index + 1 :]
    own = _seams(site, area, before)
    seams = shapely.union_all([own, _seams(site, area, after)])
    return ZoneArea(name, area, line, heading, at_wall, direction, seams, own)


def _start_of_rest(site: Site, rest: BaseGeometry) -> int:
    """The deck's start edge, or where a zone has taken that, the house edge or else the edge that runs on longest."""
    ring, start = site.deck.outline, site.deck.start_edge
    border = rest.boundary.buffer(0.5)
    if start is not None and edge_of(ring, start).intersection(border).length > 0.0:
        return start
    left = [edge.intersection(border).length for edge in edges_of(ring)]
    candidates = [i for i in site.deck.house_edges or () if left[i] > 0.0] or range(len(ring))
    return max(candidates, key=lambda i: (round(left[i], 3), -i))


def _seams(site: Site, area: BaseGeometry, others: Sequence[BaseGeometry]) -> BaseGeometry:
    """Lines shared with other areas; a divider's run on over the deck's edge, which may cross it at a slant."""
    seams = _shared(area, others)
    if site.pattern.seam == "mitre" or seams.is_empty:
        return seams
    merged = [shapely.simplify(line, STRAIGHT) for line in shapely.get_parts(shapely.line_merge(seams))]
    return MultiLineString([_run_on(line, site.deck.outline, site.boards.width / 2) for line in merged])


def _shared(area: BaseGeometry, others: Sequence[BaseGeometry]) -> BaseGeometry:
    """The parts of a zone's border at which another begins; drawn lines meet as nearly as a file writes them."""
    if not others:
        return NOTHING
    near = shapely.union_all(others).buffer(DRAWN)
    edges = [LineString(ends) for ring in shapely.get_parts(area.boundary) for ends in pairwise(ring.coords)]
    shared = shapely.get_parts(shapely.intersection(edges, near))
    lines = shapely.line_merge(shapely.union_all(shared[shapely.length(shared) > SHORTEST_SEAM]))
    return shapely.union_all(shapely.get_parts(lines))


def _run_on(line: BaseGeometry, outline: Ring, half: float) -> LineString:
    """A line with its ends carried on over the edges that they lie on, until a strip `half` to either side is over.

    Where an edge runs on in the line itself, as a wall does that a zone continues, the line ends there; and at a corner
    that points into the deck, if the line would run on into the deck.
    """
    deck, edges = Polygon(outline), edges_of(outline)
    corners = [np.asarray(corner) for corner in line.coords]
    for end, inner in ((0, 1), (-1, -2)):
        way = (corners[end] - corners[inner]) / np.hypot(*(corners[end] - corners[inner]))
        beyond = 0.0
        for edge in edges if not deck.contains(Point(corners[end] + way * 2 * STRAIGHT)) else ():
            if edge.distance(Point(corners[end])) > STRAIGHT:
                continue
            for far in edge.coords:
                away = np.asarray(far) - corners[end]
                if np.hypot(*away) > STRAIGHT:
                    turn = math.acos(max(-1.0, min(1.0, float(away @ way) / float(np.hypot(*away)))))
                    if SLIGHTEST < turn < math.pi / 2:
                        beyond = max(beyond, half / math.tan(turn))
        corners[end] = corners[end] + way * beyond
    return LineString(corners)

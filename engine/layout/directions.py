"""Zones for a deck that turns round its house: each wall's boards lie along it, and meet at the corners' bisectors."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import polygonize

from ..errors import SiteError
from ..spec import Site, Zone
from .axes import PARALLEL
from .bisectors import TOUCHES, Cut, corner_cuts
from .decks import deck_name, sites_of
from .followed import Contour, Place, Wall, chains_of, contour_of, wall_of

NARROWEST = 600.0
"""A part of the deck in which no circle of this diameter fits is not laid in a direction of its own [mm]: four boards
(common practice, no source)."""


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of the deck between cuts, and the wall that its boards follow."""

    shape: Polygon
    wall: Wall | None


def propose_zones(site: Site) -> Site:
    """Choose zones so that the boards follow each wall of the house in turn.

    Parameters
    ----------
    site : Site
        Complete, as `read_site` returns it, with no zones of its own.

    Returns
    -------
    Site
        The same site with the zones, as if the file had given them; unchanged where no corner turns the boards.

    Raises
    ------
    SiteError
        If the site has zones already, or a frame that stands and so says how the boards lie.
    """
    if site.zones:
        wanted = "leave them out to have them proposed, or plan with those that are written"
        raise SiteError("zones", f"{len(site.zones)} in the file already", wanted)
    if site.frame.state == "existing":
        raise SiteError("zones", "cannot be proposed on a standing frame", "its joists say which way the boards lie")
    zones: tuple[Zone, ...] = ()
    for number, part in enumerate(sites_of(site)):
        on = f" of {deck_name(site, number)}" if site.decks else ""
        zones += tuple(replace(zone, name=zone.name + on) for zone in _zones(part))
    return replace(site, zones=zones)


def _zones(site: Site) -> tuple[Zone, ...]:
    """The zones of one deck; none if all of it is laid in one direction."""
    contour = contour_of(site)
    chains = chains_of(contour)
    walls = [wall for chain in chains for wall in chain.walls]
    parts = _worth_laying(site, contour, walls, list(corner_cuts(contour, chains)))
    if len(parts) < 2:
        return ()
    zones = [_zone(site, contour, part) for part in parts]
    return tuple(zone for _, zone in sorted(zones, key=lambda item: item[0]))


def _worth_laying(site: Site, contour: Contour, walls: Sequence[Wall], cuts: list[Cut]) -> list[_Part]:
    """The parts of the deck, those that want no direction of their own thrown together with a neighbour."""
    openings = shapely.union_all([Polygon(ring) for ring in site.deck.openings])
    cuts = [piece for cut in cuts for piece in _split(cut, [end for other in cuts for end in other])]
    while True:
        ends = [end for cut in cuts for end in cut]
        ring = [piece for i in range(len(contour.corners)) for piece in _split(contour.edge(i), ends)]
        shapes = list(polygonize([LineString(piece) for piece in [*ring, *cuts]]))
        parts = [_Part(shape, _followed(contour, walls, shape)) for shape in shapes]
        needless = _needless(parts, cuts, openings)
        if not needless:
            return parts
        cuts = [cut for cut in cuts if cut not in needless]


def _split(line: Cut, places: Sequence[Place]) -> Iterator[Cut]:
    """A straight line in pieces, cut at the places that lie on it."""
    whole = LineString(line)
    on = [p for p in places if whole.distance(Point(p)) < TOUCHES and min(math.dist(p, end) for end in line) > TOUCHES]
    between = sorted(set(on), key=lambda place: math.dist(place, line[0]))
    return pairwise([line[0], *between, line[1]])


def _followed(contour: Contour, walls: Sequence[Wall], shape: Polygon) -> Wall | None:
    """The wall that lies longest beside a part."""
    beside = {wall: sum(_contact(contour, edge, shape) for edge in wall.edges) for wall in walls}
    wall = max(walls, key=lambda wall: round(beside[wall], 1), default=None)
    return wall if wall is not None and beside[wall] > 0.0 else None


def _contact(contour: Contour, edge: int, shape: Polygon) -> float:
    """How far an edge lies beside a part [mm]; nothing where it only touches its corner."""
    length = LineString(contour.edge(edge)).intersection(shape.exterior.buffer(TOUCHES)).length
    return float(length) if length > 1.0 else 0.0


def _needless(parts: Sequence[_Part], cuts: Sequence[Cut], openings: shapely.Geometry) -> list[Cut]:
    """The cuts to leave out next: between parts laid alike, or else round a part too small for its own direction."""
    seams: dict[tuple[int, int], list[Cut]] = {}
    for cut in cuts:
        middle = Point((cut[0][0] + cut[1][0]) / 2, (cut[0][1] + cut[1][1]) / 2)
        sides = [i for i, part in enumerate(parts) if part.shape.distance(middle) < TOUCHES]
        if len(sides) < 2:
            return [cut]
        seams.setdefault((sides[0], sides[1]), []).append(cut)
    for (i, j), seam in seams.items():
        one, two = parts[i].wall, parts[j].wall
        if one is not None and two is not None and one.parallel(two):
            return seam
    small = [i for i, p in enumerate(parts) if p.wall is None or _narrow(p.shape.difference(openings))]
    if not small or not seams:
        return []
    least = min(small, key=lambda i: parts[i].shape.area)
    around = [seam for sides, seam in seams.items() if least in sides]
    return max(around, key=lambda seam: sum(math.dist(*cut) for cut in seam))


def _narrow(shape: shapely.Geometry) -> bool:
    return bool(shape.buffer(-NARROWEST / 2).is_empty)


def _zone(site: Site, contour: Contour, part: _Part) -> tuple[int, Zone]:
    """A zone laid from an edge of its wall, and that edge's number in the outline of the deck."""
    edge = _start(site, contour, part)
    ring = tuple((float(x), float(y)) for x, y in part.shape.exterior.coords[:-1])
    beside = LineString(contour.edge(edge)).buffer(TOUCHES)
    lengths = [LineString((a, b)).intersection(beside).length for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
    start, number = max(range(len(ring)), key=lambda i: round(lengths[i], 1)), contour.numbers[edge]
    return number, Zone(name=f"along edge {number}", outline=ring, direction=site.deck.direction, start_edge=start)


def _start(site: Site, contour: Contour, part: _Part) -> int:
    """The edge that a part is laid from: the deck's own start edge if it will do, else the wall's longest.

    Of a curve it is the edge that runs most nearly as the whole.
    """
    wall = part.wall
    assert wall is not None  # a part without one was thrown together with a neighbour
    if site.deck.start_edge is not None:
        own = contour.numbers.index(site.deck.start_edge)
        if contour.house[own] and wall_of(contour, [own]).parallel(wall) and _contact(contour, own, part.shape) > 0.0:
            return own
    off = {i: max(0.0, abs(wall_of(contour, [i]).bend(wall)) - PARALLEL) for i in wall.edges}
    return min(wall.edges, key=lambda i: (round(off[i], 3), -round(_contact(contour, i, part.shape), 1)))

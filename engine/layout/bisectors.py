"""Cuts from the corners of a house across the deck, each along the bisector of the two walls that it parts.

Where two cuts meet that take in one wall between them, that wall's boards end; the walls on both sides of it go on
against each other, along the bisector of their own lines, or as one field if they are parallel.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from .followed import Chain, Contour, Place, Wall, path

TOUCHES = 0.01
"""Places nearer to each other than this are one [mm]."""
DIGITS = 3
"""Places of a millimetre to which the ends of cuts are rounded, so that they can be written and read again."""
TO_CORNER = 20.0
"""A cut that begins or ends this near to a corner of the deck does so in the corner [mm]: no narrower end of board is
laid."""
FACING = 135.0
"""Two walls that turn from each other by more than this face each other: with an edge of the deck between them they
have no corner in common [degrees] (ours)."""

Cut = tuple[Place, Place]


@dataclass(frozen=True, slots=True)
class _Ray:
    """A cut under way: between two walls, from `start` to where it leaves the deck."""

    before: Wall
    after: Wall
    start: Place
    end: Place


def corner_cuts(contour: Contour, chains: Sequence[Chain]) -> tuple[Cut, ...]:
    """The cuts that part a deck at the corners between its walls; they may touch, but do not cross.

    Parameters
    ----------
    contour : Contour
    chains : sequence of Chain
        The walls that boards follow.

    Returns
    -------
    tuple of Cut
        From its start at a corner, or where other cuts meet, to its end.
    """
    deck = Polygon(contour.corners)
    cuts: list[Cut] = []
    for chain in chains:
        cuts += _meeting(deck, _rays(contour, deck, chain), closed=chain.closed)
    return _uncrossed(cuts)


def _rays(contour: Contour, deck: Polygon, chain: Chain) -> list[_Ray]:
    """A cut from each corner of a chain."""
    walls = chain.walls + chain.walls[: 1 if chain.closed else 0]
    rays = []
    for one, two in pairwise(walls):
        between = path(contour, one, two)
        if not one.parallel(two) and (len(between) == 1 or abs(one.bend(two)) < FACING):
            rays.append(_ray(deck, one, two, _at_corner(deck, _foot(one, two, between), TO_CORNER)))
    return [ray for ray in rays if ray is not None]


def _direction(one: Wall, two: Wall) -> Place:
    """Unit vector along the bisector of two walls, into the deck."""
    x, y = (a + b for a, b in zip(one.inwards, two.inwards, strict=True))
    return (x / math.hypot(x, y), y / math.hypot(x, y))


def _foot(one: Wall, two: Wall, between: Sequence[Place]) -> Place:
    """Where the bisector of two walls leaves the house: at their corner, or on the small edges that lie there."""
    if len(between) == 1:
        return between[0]
    line = LineString(between)
    corner, (dx, dy) = _crossing(one, two), _direction(one, two)
    reach = line.length + line.distance(Point(corner))
    bisector = LineString(
        ((corner[0] - dx * reach, corner[1] - dy * reach), (corner[0] + dx * reach, corner[1] + dy * reach))
    )
    met = bisector.intersection(line)
    if met.is_empty:
        return min(between, key=lambda place: bisector.distance(Point(place)))
    x, y = max(shapely.get_coordinates(met).tolist(), key=lambda p: p[0] * dx + p[1] * dy)
    return (x, y)


def _crossing(one: Wall, two: Wall) -> Place:
    """Where the lines of two walls meet."""
    (nx, ny), (mx, my) = one.inwards, two.inwards
    c, d = nx * one.start[0] + ny * one.start[1], mx * two.start[0] + my * two.start[1]
    det = nx * my - ny * mx
    return ((c * my - d * ny) / det, (nx * d - mx * c) / det)


def _ray(deck: Polygon, one: Wall, two: Wall, start: Place) -> _Ray | None:
    """A cut from a place to the deck's far side; none if no deck lies that way."""
    x0, y0, x1, y1 = deck.bounds
    far, (dx, dy) = math.hypot(x1 - x0, y1 - y0), _direction(one, two)
    line = LineString((start, (start[0] + far * dx, start[1] + far * dy)))
    parts = [p for p in shapely.get_parts(deck.intersection(line)) if p.distance(Point(start)) < TOUCHES]
    longest = max(parts, key=lambda part: part.length, default=None)
    if longest is None or longest.length <= TO_CORNER:
        return None
    end = max(longest.coords, key=lambda place: math.dist(place, start))
    return _Ray(one, two, start, _at_corner(deck, end, TO_CORNER))


def _at_corner(deck: Polygon, place: Place, reach: float) -> Place:
    """The corner of the deck within reach of a place, or else the place as a file can hold it."""
    corner: Place = min(deck.exterior.coords, key=lambda other: math.dist(other, place))
    return corner if math.dist(corner, place) < reach else _rounded(place)


def _meeting(deck: Polygon, rays: list[_Ray], *, closed: bool) -> list[Cut]:
    """Let neighbouring cuts end where they meet, and go on as one; earliest first, as seen from the wall between."""
    done: list[Cut] = []
    while True:
        pairs = list(pairwise(range(len(rays)))) + ([(len(rays) - 1, 0)] if closed and len(rays) > 2 else [])
        meetings = [(_met(deck, rays[i], rays[j]), i, j) for i, j in pairs]
        found = [(*met, i, j) for met, i, j in meetings if met is not None]
        if not found:
            return done + [(ray.start, ray.end) for ray in rays]
        _, place, i, j = min(found)
        one, two = rays[i], rays[j]
        done += [(ray.start, place) for ray in (one, two)]
        going_on = None if one.before.parallel(two.after) else _ray(deck, one.before, two.after, place)
        rays[i : i + 1] = [] if going_on is None else [going_on]
        rays.remove(two)


def _met(deck: Polygon, one: _Ray, two: _Ray) -> tuple[float, Place] | None:
    """Where two cuts meet, and how far that lies from the wall between them [mm]."""
    place = LineString((one.start, one.end)).intersection(LineString((two.start, two.end)))
    if not isinstance(place, Point) or place.is_empty or math.dist(one.start, two.start) < TOUCHES:
        return None
    nx, ny = two.before.inwards
    off = (place.x - two.before.start[0]) * nx + (place.y - two.before.start[1]) * ny
    return off, _at_corner(deck, (place.x, place.y), TOUCHES)


def _uncrossed(cuts: Sequence[Cut]) -> tuple[Cut, ...]:
    """Cuts ended where they run into a shorter one."""
    kept: list[Cut] = []
    for start, end in sorted(cuts, key=lambda cut: math.dist(*cut)):
        line: BaseGeometry = LineString((start, end))
        met = [line.intersection(LineString(other)) for other in kept]
        places = [_rounded(p) for shape in met for p in shapely.get_coordinates(shape).tolist()]
        ahead = [place for place in places if math.dist(place, start) > TOUCHES]
        kept.append((start, min(ahead, key=lambda place: math.dist(place, start), default=end)))
    return tuple(kept)


def _rounded(place: Sequence[float]) -> Place:
    return (round(place[0], DIGITS) + 0.0, round(place[1], DIGITS) + 0.0)

"""Which walls the boards of a deck follow.

Terminology
-----------
contour  the deck's outline, anticlockwise: the deck lies on the left of every edge.
wall     house edges that run on in one line, further than the deck is deep before them. A shorter line, such as the
         side of a chimney breast, does not turn the boards.
facet    a part of a curve of short edges that boards follow as one wall.
chain    walls that follow each other along the house, with no wide gap between.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Point, Polygon

from ..spec import Site
from .axes import PARALLEL, same_way

Place = tuple[float, float]

CURVE_TURN = 25.0
"""Short edges that turn from each other by less than this, all one way, are a curve [degrees]: a 15-gon (ours)."""
CURVE_EDGES = 3
"""Fewer edges are no curve (ours)."""
FACET = 45.0
"""A curve may turn as far as this before the boards turn with it [degrees]: an octagon's corner (ours)."""
DEPTHS = 9
"""Places along an edge at which the deck's depth is measured (ours)."""
DEPTH_THERE = 0.25
"""The depth that counts is one that this share of the places keeps within (ours): beside an inner corner the view runs
on along the other wall, and that is not how deep the deck is."""
LONGER = 1.0
"""A wall is longer than the deck is deep only if it is so by more than this [mm]: what a tape is out by."""


@dataclass(frozen=True, slots=True)
class Contour:
    """The corners of the deck's outline anticlockwise, and of each edge its number in the site file."""

    corners: tuple[Place, ...]
    numbers: tuple[int, ...]
    house: tuple[bool, ...]
    """Whether an edge stands against a wall."""

    def edge(self, index: int) -> tuple[Place, Place]:
        """Ends of an edge, in order."""
        return self.corners[index], self.corners[(index + 1) % len(self.corners)]


@dataclass(frozen=True, slots=True)
class Wall:
    """Edges of the contour that boards follow as one, from `start` to `end`, the deck on their left."""

    edges: tuple[int, ...]
    start: Place
    end: Place

    @property
    def length(self) -> float:
        """From end to end [mm]."""
        return math.dist(self.start, self.end)

    @property
    def heading(self) -> float:
        """Direction from start to end [degrees from +x]."""
        return math.degrees(math.atan2(self.end[1] - self.start[1], self.end[0] - self.start[0]))

    @property
    def inwards(self) -> Place:
        """Unit normal on the deck's side."""
        return (-(self.end[1] - self.start[1]) / self.length, (self.end[0] - self.start[0]) / self.length)

    def bend(self, following: Wall) -> float:
        """How far another wall turns from this one, leftwards [degrees]."""
        return (following.heading - self.heading + 180.0) % 360.0 - 180.0

    def parallel(self, other: Wall) -> bool:
        """Whether boards along one wall lie along the other as well."""
        return same_way(self.heading, other.heading)


@dataclass(frozen=True, slots=True)
class Chain:
    """Walls in order along the house; a closed chain goes on from the last to the first."""

    walls: tuple[Wall, ...]
    closed: bool = False


def contour_of(site: Site) -> Contour:
    """The outline of a deck, anticlockwise."""
    ring, count = site.deck.outline, len(site.deck.outline)
    numbers = tuple(range(count))
    if not shapely.is_ccw(shapely.linearrings(ring)):
        ring = ring[::-1]
        numbers = tuple((count - 2 - i) % count for i in range(count))
    walls = set(site.deck.house_edges or ())
    return Contour(ring, numbers, tuple(number in walls for number in numbers))


def chains_of(contour: Contour) -> tuple[Chain, ...]:
    """The walls that the boards follow, chain by chain."""
    depths = _depths(contour)
    walls = sorted(
        (wall for run in _house_runs(contour) for wall in _walls(contour, depths, run)), key=lambda w: w.edges[0]
    )
    chains: list[list[Wall]] = [[]]
    for wall, following in zip(walls, walls[1:] + walls[:1], strict=True):
        chains[-1].append(wall)
        near = min(_depth(contour, depths, wall), _depth(contour, depths, following))
        if _bare_between(contour, wall, following) > near:
            chains.append([])
    if chains[-1] and len(chains) > 1:  # the last wall goes on into the first
        chains[0] = chains.pop() + chains[0]
        return tuple(Chain(tuple(chain)) for chain in chains)
    return tuple(Chain(tuple(chain), closed=len(chains) == 1 and len(chain) > 1) for chain in chains if chain)


def wall_of(contour: Contour, edges: Sequence[int]) -> Wall:
    """The wall of edges that follow each other."""
    return Wall(tuple(edges), contour.edge(edges[0])[0], contour.edge(edges[-1])[1])


def path(contour: Contour, wall: Wall, following: Wall) -> tuple[Place, ...]:
    """The contour from the end of one wall to the start of the next."""
    count = len(contour.corners)
    first, last = wall.edges[-1] + 1, following.edges[0]
    return tuple(contour.corners[(first + k) % count] for k in range((last - first) % count + 1))


def _bare_between(contour: Contour, wall: Wall, following: Wall) -> float:
    """Length of the free edges between two walls [mm]."""
    count = len(contour.corners)
    first, last = wall.edges[-1] + 1, following.edges[0]
    between = ((first + k) % count for k in range((last - first) % count))
    return sum(math.dist(*contour.edge(i)) for i in between if not contour.house[i])


def _house_runs(contour: Contour) -> list[list[int]]:
    """House edges that follow each other without a break."""
    count = len(contour.corners)
    if all(contour.house):
        sharpest = max(range(count), key=lambda i: abs(wall_of(contour, [i - 1]).bend(wall_of(contour, [i]))))
        return [[(sharpest + k) % count for k in range(count)]]
    free = contour.house.index(False)
    order = ((free + k) % count for k in range(count))
    return [list(run) for house, run in groupby(order, key=lambda i: contour.house[i]) if house]


def _walls(contour: Contour, depths: NDArray[np.float64], run: Sequence[int]) -> Iterator[Wall]:
    """The walls of a run of house edges: its long lines, and the facets of its curves."""
    lines: list[Wall] = []
    for edge in run:
        line = wall_of(contour, [edge])
        if lines and abs(lines[-1].bend(line)) < PARALLEL:
            lines[-1] = wall_of(contour, [*lines[-1].edges, edge])
        else:
            lines.append(line)
    for counts, group in groupby(lines, key=lambda line: _counts(contour, depths, line)):
        if counts:
            yield from group
            continue
        for curve in _curves(list(group)):
            yield from (facet for facet in _facets(contour, curve) if _counts(contour, depths, facet))


def _curves(lines: Sequence[Wall]) -> list[list[Wall]]:
    """Short lines that turn a little from each other, and always one way."""
    curves: list[list[Wall]] = [[lines[0]]]
    before = 0.0
    for one, two in pairwise(lines):
        bend = one.bend(two)
        if abs(bend) < CURVE_TURN and before * bend >= 0.0:
            curves[-1].append(two)
            before = bend
        else:
            curves.append([two])
            before = 0.0
    return [curve for curve in curves if len(curve) >= CURVE_EDGES]


def _facets(contour: Contour, curve: Sequence[Wall]) -> list[Wall]:
    """A curve shared out among walls of as much turn each, none of which turns far within itself."""
    turned = np.cumsum([0.0] + [abs(one.bend(two)) for one, two in pairwise(curve)])
    count = max(1, math.ceil(turned[-1] / FACET))
    share = np.minimum((turned / turned[-1] * count).astype(int), count - 1)
    parts = (list(part) for _, part in groupby(zip(share, curve, strict=True), key=lambda item: item[0]))
    return [wall_of(contour, [edge for _, line in part for edge in line.edges]) for part in parts]


def _counts(contour: Contour, depths: NDArray[np.float64], wall: Wall) -> bool:
    return wall.length > _depth(contour, depths, wall) + LONGER


def _depth(contour: Contour, depths: NDArray[np.float64], wall: Wall) -> float:
    """How deep the deck is before a wall [mm]."""
    lengths = [math.dist(*contour.edge(i)) for i in wall.edges]
    return float(np.average(depths[list(wall.edges)], weights=lengths))


def _depths(contour: Contour) -> NDArray[np.float64]:
    """How deep the deck is before each edge, (n,) [mm]; zero before a free edge."""
    outline = Polygon(contour.corners)
    shapely.prepare(outline)
    x0, y0, x1, y1 = outline.bounds
    far = math.hypot(x1 - x0, y1 - y0)
    depths = np.zeros(len(contour.corners))
    for i in np.flatnonzero(contour.house):
        edge = wall_of(contour, [int(i)])
        (nx, ny), reaches = edge.inwards, []
        for share in (np.arange(DEPTHS) + 0.5) / DEPTHS:
            x, y = np.array(edge.start) * (1 - share) + np.array(edge.end) * share
            ray = outline.intersection(LineString(((x + nx, y + ny), (x + far * nx, y + far * ny))))
            reaches.append(
                max((p.length for p in shapely.get_parts(ray) if p.distance(Point(x, y)) < 2.0), default=0.0)
            )
        depths[i] = np.quantile(reaches, DEPTH_THERE)
    return depths

"""Ledger and rim: the members along the deck's edge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import translate
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from ..layout.axes import Axes
from ..layout.region import house_lines
from ..plan import Role
from ..spec import Site
from .ground import Ground, strip_of

Corner = NDArray[np.float64]
SHORTEST = 20.0
"""A shorter end of ledger or rim is not set [mm]; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Timber:
    """A member in board axes, before it is cut to stock lengths."""

    role: Role
    start: tuple[float, float]
    end: tuple[float, float]


def edge_members(site: Site, axes: Axes, ground: Ground) -> tuple[Timber, ...]:
    """Ledger along every house edge, rim along every other edge and round openings.

    At each corner one member runs through and the next butts against it; at an obstacle both stop.
    """
    walls = axes.to_local(house_lines(site))
    beside = walls.buffer(ground.breadth / 2 + 1.0, cap_style="flat", join_style="mitre")

    def role(a: Corner, b: Corner) -> Role:
        line = LineString((a, b))
        return "ledger" if line.intersection(beside).length > 0.5 * line.length else "rim"

    return along_lines(ground, ground.edge_line, role)


def along_lines(
    ground: Ground, lines: BaseGeometry, role: Callable[[Corner, Corner], Role], taken: BaseGeometry | None = None
) -> tuple[Timber, ...]:
    """Members along lines, corner by corner: each runs through at its end, and stops at obstacles and what is taken."""
    half = ground.breadth / 2
    members = []
    for ring in _rings(lines):
        for a, b in pairwise(np.asarray(ring.coords)):
            length = float(np.hypot(*(b - a)))
            if length <= SHORTEST:
                continue
            along = (b - a) / length
            aside = np.array((-along[1], along[0])) * half
            free = LineString((a + along * half, b + along * half))
            if not ground.deck.covers(strip_of(tuple(a), tuple(b + along * half), 2 * half - 1.0)):  # a sharp corner
                within = translate(ground.deck, *aside).intersection(translate(ground.deck, *-aside))
                free = free.intersection(within.buffer(0.5, join_style="mitre"))
            in_the_way = _in_the_way(ground, free, (aside[0], aside[1]))
            if in_the_way:
                free = free.difference(shapely.union_all(in_the_way))
            if taken is not None:
                free = free.difference(taken)
            for part in shapely.get_parts(free):
                if part.length > SHORTEST:
                    members.append(Timber(role(a, b), part.coords[0], part.coords[-1]))
    return tuple(members)


def let_in(edge: tuple[Timber, ...], joists: BaseGeometry) -> tuple[Timber, ...]:
    """Ledger and rims cut where joists run through them."""
    parts = []
    shapely.prepare(joists)
    for timber in edge:
        if not joists.intersects(LineString((timber.start, timber.end))):
            parts.append(timber)
            continue
        for part in shapely.get_parts(LineString((timber.start, timber.end)).difference(joists)):
            if part.length > SHORTEST:
                parts.append(Timber(timber.role, part.coords[0], part.coords[-1]))
    return tuple(parts)


def _in_the_way(ground: Ground, line: BaseGeometry, aside: tuple[float, float]) -> list[BaseGeometry]:
    """Obstacles near a line, spread aside so that a centre line clear of them is clear by half a member's breadth."""
    near = [block.shape for block in ground.blocks if block.shape.distance(line) <= 2 * ground.breadth]
    return [
        shapely.union(translate(shape, *aside), translate(shape, -aside[0], -aside[1])).convex_hull for shape in near
    ]


def _rings(lines: BaseGeometry) -> list[BaseGeometry]:
    return [shapely.set_precision(line, 1e-3) for line in shapely.get_parts(shapely.line_merge(lines))]

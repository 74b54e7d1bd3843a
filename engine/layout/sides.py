"""Sides of a deck: its edges in order with the deck on the left, and what boards trim each of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from ..plan import PieceKind
from ..spec import Site

IN_LINE = 1.0
"""A corner this near to the line between its neighbours bends nothing, so the two edges are one side [mm]."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side: `edge` numbers its first edge in the site file; `rings` are the kinds of its trim, outermost first."""

    edge: int
    start: tuple[float, float]
    end: tuple[float, float]
    at_wall: bool
    rings: tuple[PieceKind, ...]
    fascia: bool

    @property
    def along(self) -> NDArray[np.float64]:
        """Unit vector from start to end, shape (2,)."""
        way: NDArray[np.float64] = np.subtract(self.end, self.start) / self.length
        return way

    @property
    def inward(self) -> NDArray[np.float64]:
        """Unit vector into the deck, shape (2,)."""
        x, y = self.along
        return np.array((-y, x))

    @property
    def length(self) -> float:
        """Length [mm]."""
        return float(np.hypot(*np.subtract(self.end, self.start)))

    @property
    def angle(self) -> float:
        """Way it runs [degrees from +x]."""
        x, y = self.along
        return float(round(np.degrees(np.arctan2(y, x)) % 360.0, 9))


def sides_of(site: Site) -> tuple[Side, ...]:
    """The sides of a deck's outline, anticlockwise; edges that run on in one line with the same trim are one side."""
    ring = site.deck.outline
    count = len(ring)
    if shapely.is_ccw(shapely.linearrings(ring)):
        edges = [(i, ring[i], ring[(i + 1) % count]) for i in range(count)]
    else:
        edges = [(i, ring[(i + 1) % count], ring[i]) for i in reversed(range(count))]
    sides = [
        Side(i, a, b, i in (site.deck.house_edges or ()), _rings(site, i), _finish(site, i) in ("step", "fascia"))
        for i, a, b in edges
    ]
    # Begin at a true corner, so that no side runs on over the start of the list.
    first = next((k for k in range(count) if not _run_on(sides[k - 1], sides[k])), 0)
    joined: list[Side] = []
    for side in sides[first:] + sides[:first]:
        if joined and _run_on(joined[-1], side):
            last = joined[-1]
            joined[-1] = Side(last.edge, last.start, side.end, last.at_wall, last.rings, last.fascia)
        else:
            joined.append(side)
    return tuple(joined)


def _run_on(a: Side, b: Side) -> bool:
    """Whether b runs on in a's line with a's trim."""
    if (a.at_wall, a.rings, a.fascia) != (b.at_wall, b.rings, b.fascia):
        return False
    (x0, y0), (x1, y1), (x2, y2) = a.start, a.end, b.end
    if (x1 - x0) * (x2 - b.start[0]) + (y1 - y0) * (y2 - b.start[1]) <= 0.0:
        return False
    off = (x2 - x0) * (y1 - y0) - (y2 - y0) * (x1 - x0)
    return abs(off) < IN_LINE * math.hypot(x2 - x0, y2 - y0)


def _finish(site: Site, edge: int) -> str:
    finish = site.deck.edge_finish
    at_wall = edge in (site.deck.house_edges or ())
    return "flush" if at_wall else finish.get(str(edge), finish["default"])


def _rings(site: Site, edge: int) -> tuple[PieceKind, ...]:
    """Border boards, the outermost of them a nosing on a step; a step without a border has its nosing alone."""
    border, at_wall = site.pattern.border, edge in (site.deck.house_edges or ())
    bordered = edge in border.edges if border.edges else not at_wall
    rings: list[PieceKind] = ["border"] * (border.courses if bordered else 0)
    if _finish(site, edge) == "step":
        rings[:1] = ["nosing"]
    return tuple(rings)

"""A deck's outline as its borders and fascias follow it: sides, their numbers, rings, strips and corners."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from shapely import Polygon

from .model import Ground

LEAST_STRIP = 100.0
"""Length [mm] of a ring along an edge from which it must be there, and its corners be as they should."""

FACET = 1.5
"""How far the corners of a curve's facets may lie off a straight board that follows them [mm]."""


@dataclass(frozen=True)
class Rim:
    """The outline of a deck, side by side, with the number of rings that each side is to carry.

    A side is an edge, or several that a straight board follows: where no piece is named for an edge, and the corner at
    its start lies nearly on a straight line, it belongs to the side before it, as facets of a curve do.
    """

    ground: Ground

    @cached_property
    def edges(self) -> list[int]:
        """Number of the first edge of each side."""
        points = np.array(self.ground.deck["outline"], dtype=float)
        count, kept = len(points), []
        for k in range(count):
            if kept and k not in self.ground.lines and self._goes_on(kept[-1], k, points):
                continue
            kept.append(k)
        return kept

    def _goes_on(self, start: int, k: int, points: np.ndarray) -> bool:
        # A trimmed edge is flush once it is cut.
        here, before = (finish(self.ground, edge).replace("trim", "flush") for edge in (k, start))
        if self._rings_of(k) != self._rings_of(start) or here != before:
            return False
        a, b = points[start], points[(k + 1) % len(points)]
        along = (b - a) / np.linalg.norm(b - a)
        between = points[start + 1 : k + 1] - a
        return bool(np.all(np.abs(between @ np.array([-along[1], along[0]])) <= FACET))

    def side(self, edge: int) -> int:
        """Side on which an edge lies."""
        return max(i for i, first in enumerate(self.edges) if first <= edge)

    def direction(self, edge: int) -> float:
        """Degrees from +x along the side on which an edge lies."""
        x, y = self.along[self.side(edge)]
        return math.degrees(math.atan2(y, x))

    @cached_property
    def house(self) -> set[int]:
        """Sides against a wall."""
        house = set(self.ground.deck["house_edges"] or ())
        return {i for i, edge in enumerate(self.edges) if edge in house}

    @cached_property
    def ring(self) -> np.ndarray:
        """Corners of the sides in the order written, (n, 2)."""
        return np.array(self.ground.deck["outline"], dtype=float)[self.edges]

    @cached_property
    def along(self) -> np.ndarray:
        """Unit vectors along the edges, (n, 2)."""
        steps = np.roll(self.ring, -1, axis=0) - self.ring
        return steps / np.linalg.norm(steps, axis=1)[:, None]

    @cached_property
    def inward(self) -> np.ndarray:
        """Unit vectors from the edges into the deck, (n, 2)."""
        left = np.column_stack([-self.along[:, 1], self.along[:, 0]])
        return left if Polygon(self.ring).exterior.is_ccw else -left

    @cached_property
    def lengths(self) -> np.ndarray:
        """Lengths of the edges, (n,)."""
        return np.linalg.norm(np.roll(self.ring, -1, axis=0) - self.ring, axis=1)

    def _rings_of(self, edge: int) -> int:
        deck, border = self.ground.deck, self.ground.site["pattern"].get("border") or {"courses": 0}
        house = set(deck["house_edges"] or ())
        chosen = set(border.get("edges") or ()) if self.ground.number == 0 else set()
        bordered = edge in chosen if chosen else edge not in house
        return max(border["courses"] if bordered else 0, edge not in house and finish(self.ground, edge) == "step")

    @cached_property
    def depth(self) -> list[int]:
        """Rings on each side: the border's, and the nosing of a step."""
        return [self._rings_of(edge) for edge in self.edges]

    @property
    def pitch(self) -> float:
        """From one ring to the next [mm]."""
        return float(self.ground.site["boards"]["width"] + self.ground.gaps["course"])

    def strip(self, i: int, ring: int) -> tuple[float, float]:
        """Where a ring lies: from and to [mm] behind its edge."""
        start = (ring - 1) * self.pitch + (
            self.ground.gaps["wall"] if i in (self.ground.deck["house_edges"] or ()) else 0
        )
        return start, start + self.ground.site["boards"]["width"]

    def half_angle(self, corner: int) -> float:
        """Half the inner angle [radians] at a corner: above a quarter turn where the outline turns back."""
        before, after = self.along[corner - 1], self.along[corner]
        turn = math.atan2(before[0] * after[1] - before[1] * after[0], float(before @ after))
        if not Polygon(self.ring).exterior.is_ccw:
            turn = -turn
        return (math.pi - turn) / 2

    def bisector(self, corner: int, deep: float) -> np.ndarray:
        """Point on the bisector of a corner at a depth behind both its edges."""
        one, two = self.inward[corner - 1], self.inward[corner]
        return self.ring[corner] + deep * (one + two) / (1.0 + float(one @ two))

    def trapezoid(self, i: int, near: float, far: float) -> Polygon | None:
        """Strip behind an edge between the bisectors of its ends; None where it has closed up."""
        after = (i + 1) % len(self.ring)
        # Where the outline turns back, the strip ends square: whether it runs on is the neighbour's matter.
        ends = [max(0.0, 1 / math.tan(self.half_angle(k))) for k in (i, after)]
        if self.lengths[i] - far * sum(ends) < LEAST_STRIP or self.lengths[i] - near * sum(ends) < LEAST_STRIP:
            return None
        a, b = self.ring[i], self.ring[after]
        corners = []
        for deep, forth in ((near, True), (far, False)):
            inner = deep * self.inward[i]
            line = [a + inner + deep * ends[0] * self.along[i], b + inner - deep * ends[1] * self.along[i]]
            corners += line if forth else line[::-1]
        return Polygon(corners)


def finish(ground: Ground, edge: int) -> str:
    """How an edge of a deck is finished: at a wall there is no step and no fascia, whatever the default."""
    if edge in (ground.deck["house_edges"] or ()):
        return "flush"
    finishes = ground.deck.get("edge_finish") or {}
    return str(finishes.get(str(edge), finishes.get("default", "flush")))

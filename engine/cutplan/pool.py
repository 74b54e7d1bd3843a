"""Offcuts at hand while lines are tried, and the way along a run that takes least of them and of new boards.

This is done thousands of times for a plan, so it is written to be quick.
"""

from __future__ import annotations

import math
from bisect import bisect_left, insort
from collections.abc import Sequence

SALVAGES = (0.85, 0.9, 0.95, 0.8)
"""What a millimetre of offcut may be worth, against one of board, while lines are tried (ours): the first, or on a deck
of many runs the best of them, which depends on the lengths."""
SCRAP = 0.18
"""An offcut shorter than this share of a board is worth nothing then (ours)."""
SHORT = 0.3
"""What a piece weighs, in boards, for each bay that it is shorter than the bays that it must bear on (ours): at an edge
the last bay may be narrow."""
TOO_FEW = 20.0
"""What a piece on too few bays weighs, in boards (ours): no board or joist that is saved outweighs a rule."""


def shortness(length: float, bay: float, fewest: int) -> float:
    """What a piece weighs, in boards, that is shorter than `fewest` bays; it and a bay in mm."""
    too_few = length < (fewest - 1 + 1e-6) * bay
    return SHORT * (fewest - length / bay) + (TOO_FEW if too_few else 0.0)


class Pool:
    """Offcuts of the boards cut so far, the shortest first, and no more of them than may be kept.

    Parameters
    ----------
    stock : sequence of float
        Lengths that are sold [mm].
    kerf : float
        What a cut takes [mm].
    kept : int
        Offcuts that may be kept.
    bay : float
        Joist spacing [mm].
    fewest : int
        Bays that a piece must span.
    salvage : float
        What a millimetre of offcut is worth, against one of board.
    """

    def __init__(
        self, stock: Sequence[float], kerf: float, kept: int, bay: float, fewest: int, salvage: float = SALVAGES[0]
    ) -> None:
        self.stock, self.kerf, self.kept, self.salvage = sorted(stock), kerf, kept, salvage
        self.longest = self.stock[-1]
        self.bay, self.fewest = bay, fewest
        self.offcuts: list[float] = []

    def cheapest(
        self, begins: Sequence[float], ends: Sequence[float], tolls: Sequence[float]
    ) -> tuple[float, list[int]] | None:
        """What a run weighs, in boards, and from where each stop is best reached, by dynamic programming; None if none.

        Parameters
        ----------
        begins, ends : sequences of float
            Where a piece begins at the start and past each line, and where it ends at each line and at the end [mm].
        tolls : sequence of float
            What the joint at each line weighs, and, nothing, the end.
        """
        offcuts, stock, kerf, longest = self.offcuts, self.stock, self.kerf, self.longest
        count, most, single = len(offcuts), longest + 1e-6, len(stock) == 1
        value, scrap = self.salvage / longest, SCRAP * longest
        short = (self.fewest - 1e-6) * self.bay
        cost, came = [0.0], [0]
        for stop, end in enumerate(ends, start=1):
            best, best_from = math.inf, 0
            for i in range(stop - 1, -1, -1):
                length = end - begins[i]
                if length > most:
                    break
                total = cost[i]
                if total >= best:
                    continue
                need = length + kerf
                fresh = longest if single else stock[min(bisect_left(stock, length), len(stock) - 1)]
                left = fresh - need
                price = fresh / longest - (value * left if left >= scrap else 0.0)
                at = bisect_left(offcuts, length)
                if at < count:
                    offcut = offcuts[at]
                    left = offcut - need
                    lost = (value * offcut if offcut >= scrap else 0.0) - (value * left if left >= scrap else 0.0)
                    if lost < price:
                        price = lost
                total += price
                if length < short:
                    total += shortness(length, self.bay, self.fewest)
                if total < best:
                    best, best_from = total, i
            cost.append(best + tolls[stop - 1])
            came.append(best_from)
        return None if math.isinf(cost[-1]) else (cost[-1], came)

    def take(self, length: float) -> None:
        """Cut a piece from what is cheaper, an offcut or a new board, and keep what is left."""
        offcuts, value, scrap = self.offcuts, self.salvage / self.longest, SCRAP * self.longest
        fresh = self.stock[min(bisect_left(self.stock, length), len(self.stock) - 1)]
        left = fresh - length - self.kerf
        price = fresh / self.longest - (value * left if left >= scrap else 0.0)
        at = bisect_left(offcuts, length)
        if at < len(offcuts):
            after = offcuts[at] - length - self.kerf
            worth = value * offcuts[at] if offcuts[at] >= scrap else 0.0
            if worth - (value * after if after >= scrap else 0.0) < price:
                del offcuts[at]
                left = after
        if left > 0.0:
            insort(offcuts, left)
            if len(offcuts) > self.kept:
                del offcuts[0]

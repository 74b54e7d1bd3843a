"""A list of pieces to saw and the stock to saw them from, in whole thousandths of a millimetre.

Whole numbers, so that what is proved is proved, and a plan is the same on every machine. A piece takes its length
and one kerf; a stock length gives its own, less what is squared off its ends, and one kerf more, since its last piece
needs no cut of its own. With that, pieces fit where their sizes add up to no more than the room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

STEP = 1000
"""Parts of a millimetre that are told apart."""


@dataclass(frozen=True, slots=True)
class Stock:
    """One stock length [mm]: its room, what one costs (any unit, none for what is on hand), and how many there are.

    `count` is None for what can be bought in any number.
    """

    length: float
    room: int
    cost: int
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be cut: the size of every piece, and the stock, in the order in which it was written."""

    sizes: tuple[int, ...]
    stock: tuple[Stock, ...]

    @property
    def bought(self) -> list[int]:
        """Places in `stock` of what can be bought, shortest first."""
        places = [j for j, stock in enumerate(self.stock) if stock.count is None]
        return sorted(places, key=lambda j: (self.stock[j].room, self.stock[j].cost, j))

    @property
    def on_hand(self) -> list[int]:
        """Places in `stock` of what there already is, shortest first."""
        places = [j for j, stock in enumerate(self.stock) if stock.count is not None]
        return sorted(places, key=lambda j: (self.stock[j].room, j))


@dataclass(frozen=True, slots=True)
class Cut:
    """One stock length and the pieces cut from it, both by their place in the job."""

    stock: int
    pieces: tuple[int, ...]


Packing = tuple[Cut, ...]
Merit = tuple[int, int, int, int]


def in_steps(length: float) -> int:
    """Length [mm] in whole steps."""
    return round(length * STEP)


def room_of(length: float, kerf: float, square_up: float = 0.0) -> int:
    """Room of a stock length [mm] that loses `square_up` at each end."""
    return in_steps(length) - 2 * in_steps(square_up) + in_steps(kerf)


def left_over(job: Job, cut: Cut) -> int:
    """Room that a cut leaves."""
    return job.stock[cut.stock].room - sum(job.sizes[i] for i in cut.pieces)


def cost_of(job: Job, packing: Sequence[Cut]) -> int:
    """What the stock bought costs."""
    return sum(job.stock[cut.stock].cost for cut in packing)


def merit(job: Job, packing: Sequence[Cut]) -> Merit:
    """What is compared, least first: cost, stock bought, stock used, and (negative) the largest offcut."""
    bought = sum(job.stock[cut.stock].count is None for cut in packing)
    return cost_of(job, packing), bought, len(packing), -max((left_over(job, cut) for cut in packing), default=0)

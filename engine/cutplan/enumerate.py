"""All patterns that a better packing could use: those whose waste of value is no more than what is left to gain."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from .columns import UNIT, Column, Demand, dearest
from .job import Job
from .knapsack import Whole

MOST_KINDS = 500
"""Of more kinds of piece the patterns are too many to be worth a try."""
STEPS = 40
"""Steps taken for each pattern that may be found, before the search is given up."""


def patterns_within(job: Job, demand: Demand, values: Whole, gap: Fraction, most: int) -> list[Column] | None:
    """Patterns whose cost passes the worth of their pieces by no more than the gap; None if there are more than `most`.

    A packing that costs at most the bound and the gap uses no other: by then its patterns' costs and worths differ by
    the gap at the most in all. A maximal pattern stands for all that it holds.

    Parameters
    ----------
    values : ndarray of int64, shape (kinds,)
        Values of the kinds, with which the bound was proved.
    gap : Fraction
        Units of the job's costs.
    """
    if job.on_hand or len(demand.sizes) > MOST_KINDS:  # what stock on hand saves is left out of account here
        return None
    unit = dearest(job)
    slack = int(gap * UNIT / unit) + 2 * len(demand.sizes) + 1
    sizes, wanted, worth = demand.sizes.tolist(), demand.wanted.tolist(), values.tolist()
    order = sorted(range(len(sizes)), key=lambda k: (-worth[k] / sizes[k], k))
    kinds = [(sizes[k], wanted[k], worth[k]) for k in order]
    search = _Search(kinds, most, STEPS * most)
    found = []
    for j, stock in enumerate(job.stock):
        search.found = []
        if not search.fill(0, stock.room, stock.cost * UNIT // unit - slack):
            return None
        for counts in search.found:
            by_kind = dict(zip(order, counts, strict=True))
            found.append(Column(j, tuple(by_kind[k] for k in range(len(sizes)))))
        search.most -= len(search.found)
    return found


@dataclass
class _Search:
    """Kinds as size, number wanted and worth, the best worth for its size first; and what was found of counts."""

    kinds: list[tuple[int, int, int]]
    most: int
    steps: int
    found: list[tuple[int, ...]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.counts = [0] * len(self.kinds)
        self.smallest = [min(size for size, _, _ in self.kinds[place:]) for place in range(len(self.kinds))]

    def fill(self, place: int, room: int, lacking: int) -> bool:
        """Fill the room that is left with kinds from a place on; false if the search was given up."""
        self.steps -= 1
        if self.steps < 0:
            return False
        if place == len(self.kinds) or room < self.smallest[place]:
            if lacking <= 0:
                self.found.append(tuple(self.counts))
            return len(self.found) <= self.most
        size, wanted, worth = self.kinds[place]
        if lacking > 0 and room * worth < lacking * size:
            return True
        for count in range(min(wanted, room // size), -1, -1):
            self.counts[place] = count
            if not self.fill(place + 1, room - count * size, lacking - count * worth):
                return False
        return True

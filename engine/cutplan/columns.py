"""Column generation: the linear programme over all ways to cut one stock length, and the bound that it proves.

P. C. Gilmore and R. E. Gomory, A linear programming approach to the cutting-stock problem, Operations Research
9 (1961) 849-859 and 11 (1963) 863-888; here with several stock lengths, some of them few in number.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from .job import Job, Packing
from .knapsack import Patterns, Whole, best_patterns
from .solver import Model

UNIT = 1 << 30
"""The dearest stock length's cost in the whole numbers in which values are reckoned."""
NOUGHT = 128
"""A pattern that passes its cost by no more than this, of `UNIT`, is the solver's rounding and improves nothing."""
AT_ONCE = 12
"""Patterns added for one stock length at a time."""


@dataclass(frozen=True, slots=True)
class Column:
    """A pattern: a stock length by its place in the job, and how many of each kind are cut from it."""

    stock: int
    counts: tuple[int, ...]


@dataclass
class Demand:
    """Pieces of one size are of one kind: sizes, how many are wanted, and the pieces themselves."""

    sizes: Whole
    wanted: Whole
    pieces: list[list[int]]

    @classmethod
    def of(cls, job: Job) -> Demand:
        """Kinds of a job, the longest first."""
        by_size: dict[int, list[int]] = {}
        for i, size in enumerate(job.sizes):
            by_size.setdefault(size, []).append(i)
        sizes = sorted(by_size, reverse=True)
        pieces = [by_size[size] for size in sizes]
        return cls(np.array(sizes, np.int64), np.array([len(own) for own in pieces], np.int64), pieces)

    def columns(self, job: Job, packing: Packing) -> list[Column]:
        """The patterns of a packing, each once."""
        kind = {size: k for k, size in enumerate(self.sizes.tolist())}
        found: dict[Column, None] = {}
        for cut in packing:
            counted = Counter(kind[job.sizes[i]] for i in cut.pieces)
            found[Column(cut.stock, tuple(counted[k] for k in range(len(self.sizes))))] = None
        return list(found)


@dataclass
class Relaxed:
    """What column generation found: patterns, their shares, the values of the kinds, and a bound on the cost."""

    columns: list[Column]
    shares: list[float] = field(default_factory=list)
    values: Whole = field(default_factory=lambda: np.zeros(0, np.int64))
    bound: Fraction = Fraction(0)
    converged: bool = False


def dearest(job: Job) -> int:
    """Cost of the dearest stock length, which is one unit of a programme's costs; at least 1."""
    return max(1, *(stock.cost for stock in job.stock))


def entries(job: Job, column: Column) -> tuple[float, NDArray[np.int32], NDArray[np.float64]]:
    """Cost of a pattern in a programme, and the rows and values of its column: its kinds, then stock on hand."""
    rows = [k for k, count in enumerate(column.counts) if count]
    values = [float(column.counts[k]) for k in rows]
    if column.stock in job.on_hand:
        rows.append(len(column.counts) + job.on_hand.index(column.stock))
        values.append(1.0)
    return job.stock[column.stock].cost / dearest(job), np.array(rows, np.int32), np.array(values)


class Master:
    """The linear programme over the patterns known so far."""

    def __init__(self, job: Job, sizes: Whole, wanted: Whole) -> None:
        self.job, self.sizes, self.wanted = job, sizes, wanted
        self.dearest = dearest(job)
        self.few = job.on_hand
        self.columns: list[Column] = []
        self._known: set[Column] = set()
        counts = [float(job.stock[j].count or 0) for j in self.few]
        none = [float("-inf")] * len(counts)
        self._model = Model([*map(float, wanted.tolist()), *none], [float("inf")] * len(wanted) + counts)

    def add(self, columns: Sequence[Column]) -> int:
        """Add patterns that are new; how many were."""
        before = len(self.columns)
        for column in columns:
            if column in self._known:
                continue
            self._known.add(column)
            self.columns.append(column)
            self._model.add_column(*entries(self.job, column))
        return len(self.columns) - before

    def want(self, wanted: Whole, counts: Sequence[int]) -> None:
        """Change how many of each kind, and of each stock length on hand, there are."""
        self.wanted = wanted
        for k, count in enumerate(wanted.tolist()):
            self._model.bounds(k, float(count), float("inf"))
        for row, count in enumerate(counts, len(wanted)):
            self._model.bounds(row, float("-inf"), float(count))

    def generate(self, rounds: int, deadline: float) -> Relaxed:
        """Solve, price, add the best patterns found, and so on until none improves or the rounds are over."""
        bound = Fraction(0)
        values = np.zeros(len(self.wanted), np.int64)
        shares: list[float] = []
        for _ in range(rounds):
            if time.thread_time() > deadline or not self._model.solve(deadline - time.thread_time()):
                break
            if not self._model.solved():
                break
            duals = self._model.duals()
            shares = self._model.values().tolist()
            values = np.floor(np.maximum(duals[: len(self.wanted)], 0.0) * UNIT).astype(np.int64)
            owed = np.ceil(np.maximum(-duals[len(self.wanted) :], 0.0) * UNIT).astype(np.int64).tolist()
            fines = dict(zip(self.few, owed, strict=True))
            priced = self._price(values, fines)
            complete = all(patterns.complete for _, patterns in priced)
            if complete:
                bound = max(bound, self._bound(values, priced, fines))
            new = [
                Column(j, tuple(counts))
                for j, patterns in priced
                for counts, value in zip(patterns.counts.tolist(), patterns.values.tolist(), strict=True)
                if value > self._limit(j, fines) + NOUGHT
            ]
            if not self.add(new):
                return Relaxed(self.columns, shares, values, bound, complete)
        return Relaxed(self.columns, shares, values, bound, False)

    def _limit(self, j: int, fines: dict[int, int]) -> int:
        """What a pattern of a stock length may be worth: its cost, and what one more on hand would save."""
        return self.job.stock[j].cost * UNIT // self.dearest + fines.get(j, 0)

    def _price(self, values: Whole, fines: dict[int, int]) -> list[tuple[int, Patterns]]:
        found = []
        for j, stock in enumerate(self.job.stock):
            most = np.minimum(self.wanted, stock.room // self.sizes)
            patterns = best_patterns(self.sizes, values, most, stock.room, self._limit(j, fines), AT_ONCE)
            found.append((j, patterns))
        return found

    def _bound(self, values: Whole, priced: list[tuple[int, Patterns]], fines: dict[int, int]) -> Fraction:
        """Least cost that the values prove, in units of the job's costs, in exact arithmetic.

        With values that no pattern passes its cost by, all pieces' values together are a bound; where some pattern
        does pass it, all values are lowered in proportion: A. A. Farley, Operations Research 38 (1990) 922-923 (from
        memory).
        """
        worth = int((values * self.wanted).sum())
        share = Fraction(1)
        for j, patterns in priced:
            limit, best = self._limit(j, fines), int(patterns.values[0]) if len(patterns.values) else 0
            if self.job.stock[j].count is not None:
                worth -= (self.job.stock[j].count or 0) * max(limit, best)
            elif best > limit:
                share = min(share, Fraction(limit, best))
        return max(Fraction(0), share * worth * self.dearest / UNIT)

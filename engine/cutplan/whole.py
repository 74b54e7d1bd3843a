"""Whole numbers of patterns: from the linear programme's shares to a packing of every piece once."""

from __future__ import annotations

import time
from collections.abc import Sequence

import numpy as np

from .columns import Column, Demand, Master, dearest, entries
from .job import Cut, Job, Packing, merit
from .knapsack import Whole
from .quick import quick, tidied
from .solver import Model

NEARLY = 1e-6


def filled(job: Job, demand: Demand, uses: Sequence[tuple[Column, int]]) -> Packing:
    """Pieces cut by patterns used so often; what they give beyond what is wanted is not cut, what they lack is added.

    Raises
    ------
    ValueError
        If what they lack is longer than all stock.
    """
    waiting = [list(pieces) for pieces in demand.pieces]
    cuts: list[Cut] = []
    left = {j: job.stock[j].count or 0 for j in job.on_hand}
    for column, times in uses:
        for _ in range(times):
            if column.stock in left and left[column.stock] == 0:
                break
            pieces = [waiting[k].pop(0) for k, count in enumerate(column.counts) for _ in range(count) if waiting[k]]
            if pieces:
                cuts.append(Cut(column.stock, tuple(pieces)))
                if column.stock in left:
                    left[column.stock] -= 1
    rest = [i for pieces in waiting for i in pieces]
    if rest:
        stock = tuple(
            s if s.count is None else type(s)(s.length, s.room, s.cost, left[j]) for j, s in enumerate(job.stock)
        )
        residual = quick(Job(tuple(job.sizes[i] for i in rest), stock))
        cuts += [Cut(cut.stock, tuple(rest[i] for i in cut.pieces)) for cut in residual]
    return tidied(job, cuts)


def chosen(
    job: Job, demand: Demand, columns: Sequence[Column], enough: float, nodes: int, deadline: float
) -> Packing | None:
    """The best packing that uses the given patterns alone: a mixed-integer programme, capped by its nodes."""
    few = job.on_hand
    counts = [float(job.stock[j].count or 0) for j in few]
    lower = [*map(float, demand.wanted.tolist()), *[float("-inf")] * len(few)]
    model = Model(lower, [float("inf")] * len(demand.wanted) + counts)
    for column in columns:
        model.add_column(*entries(job, column), whole=True)
    if not model.solve(deadline - time.thread_time(), nodes, enough / dearest(job) + NEARLY):
        return None
    uses = [(column, round(x)) for column, x in zip(columns, model.values().tolist(), strict=True) if x > 0.5]
    return filled(job, demand, uses)


def dive(
    job: Job, demand: Demand, known: Sequence[Column], rounds: int, deadline: float, start: int = 0
) -> tuple[Packing | None, list[Column]]:
    """Fix the pattern with the greatest share, generate again for what is left, and so on down.

    `start` skips so many patterns the first time, so that other dives go other ways. Returns the packing and the
    patterns generated on the way.
    """
    master = Master(job, demand.sizes, demand.wanted)
    master.add(known)
    wanted = demand.wanted.copy()
    left = [job.stock[j].count or 0 for j in job.on_hand]
    uses: list[tuple[Column, int]] = []
    while wanted.any() and time.thread_time() < deadline:
        found = master.generate(rounds, deadline)
        if not found.shares:
            break
        order = sorted(range(len(found.shares)), key=lambda c: (-found.shares[c], c))
        fixed = [(c, int(found.shares[c] + NEARLY)) for c in order if found.shares[c] >= 1 - NEARLY]
        fixed = fixed or [(order[min(start, len(order) - 1)], 1)]
        start = 0
        for c, times in fixed:
            column = master.columns[c]
            times = min(times, _times(column, wanted))
            if times == 0:  # it would cut more than is wanted: cut what is
                trimmed = Column(column.stock, tuple(np.minimum(column.counts, wanted).tolist()))
                column, times = trimmed, 1
            if not any(column.counts):
                continue
            wanted = np.maximum(wanted - times * np.array(column.counts), 0)
            uses.append((column, times))
            if column.stock in job.on_hand:
                place = job.on_hand.index(column.stock)
                left[place] = max(0, left[place] - times)
        master.want(wanted, left)
    return filled(job, demand, uses), master.columns


def _times(column: Column, wanted: Whole) -> int:
    return min(int(wanted[k]) // count for k, count in enumerate(column.counts) if count)


def better(job: Job, a: Packing, b: Packing | None) -> Packing:
    """The better of two packings; the first of equals."""
    return a if b is None or merit(job, a) <= merit(job, b) else b

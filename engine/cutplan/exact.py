"""Cutting with proof: column generation for the bound, then whole numbers of patterns, until the two meet.

What ends each part is a number of rounds or nodes, which is the same on every machine. Seconds, of this thread's own
work, are a guard: only a machine that is many times slower than ours reaches them, and then a plan may differ.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass

from ..effort import Effort
from .columns import Demand, Master
from .enumerate import patterns_within
from .job import Job, Packing, cost_of
from .quick import quick
from .simple import least_bought, least_cost
from .solver import library
from .whole import better, chosen, dive


@dataclass(frozen=True, slots=True)
class Limits:
    """How far an effort goes."""

    seconds: float
    rounds: int
    nodes: int
    dives: int
    patterns: tuple[int, ...]


LIMITS: dict[Effort, Limits] = {
    "normal": Limits(seconds=4.0, rounds=250, nodes=200, dives=2, patterns=(4_000,)),
    "thorough": Limits(seconds=60.0, rounds=2_000, nodes=20_000, dives=12, patterns=(4_000, 60_000)),
}
LARGEST_ROOM = 1 << 29
"""Rooms beyond this, half a kilometre, are left to the quick way: whole numbers would not hold their values."""


@dataclass(frozen=True, slots=True)
class Solution:
    """A packing, the least cost and the fewest stock lengths to buy, and how these were found.

    `proved` tells that the exact method ran to its end; where it did not, the bounds hold too, but higher ones may.
    """

    packing: Packing
    cost_bound: int
    count_bound: int
    proved: bool
    method: str


def cut_up(job: Job, effort: Effort, relaxed: Job | None = None) -> Solution:
    """Cut all pieces of a job as cheaply as the effort allows; never worse than the quick way.

    Parameters
    ----------
    relaxed : Job, optional
        A job that costs no more than this one, for the bound; default: this one.

    Raises
    ------
    ValueError
        If a piece is longer than all stock.
    """
    packing = quick(job)
    bound_job = relaxed or job
    by_length = Solution(packing, least_cost(bound_job), least_bought(bound_job), False, BY_LENGTH)
    rooms = max((stock.room for stock in job.stock), default=0)
    if effort == "quick" or library() is None or not job.sizes or rooms > LARGEST_ROOM:
        return by_length
    if cost_of(job, packing) <= by_length.cost_bound:
        return Solution(packing, by_length.cost_bound, by_length.count_bound, True, BY_LENGTH)
    limits = LIMITS[effort]
    deadline = time.thread_time() + limits.seconds
    cost_bound, converged = by_length.cost_bound, False
    if relaxed is not None:
        demand = Demand.of(relaxed)
        master = Master(relaxed, demand.sizes, demand.wanted)
        master.add(demand.columns(relaxed, quick(relaxed)))
        found = master.generate(limits.rounds, deadline)
        cost_bound, converged = max(cost_bound, _next_cost(relaxed, math.ceil(found.bound))), found.converged
    demand = Demand.of(job)
    master = Master(job, demand.sizes, demand.wanted)
    master.add(demand.columns(job, packing))
    found = master.generate(limits.rounds, deadline)
    own_bound = _next_cost(job, max(least_cost(job), math.ceil(found.bound)))
    if relaxed is None:
        cost_bound, converged = max(cost_bound, own_bound), found.converged
    method = BY_PATTERNS if converged else UNFINISHED

    def done() -> bool:
        return cost_of(job, packing) <= own_bound or time.thread_time() > deadline

    pool = list(master.columns)

    def try_all(most: int) -> None:
        """All patterns that a packing at the bound could use, where they are not too many."""
        nonlocal packing, pool
        if not done() and found.converged:
            within = patterns_within(job, demand, found.values, own_bound - found.bound, most)
            if within is not None:
                pool = list(dict.fromkeys([*pool, *within]))
                packing = better(job, packing, chosen(job, demand, within, own_bound, limits.nodes, deadline))

    try_all(limits.patterns[0])
    for start in range(limits.dives):
        if done():
            break
        dived, more = dive(job, demand, pool, limits.rounds, deadline, start)
        packing = better(job, packing, dived)
        pool = list(dict.fromkeys([*pool, *more]))
    if not done():
        packing = better(job, packing, chosen(job, demand, pool, own_bound, limits.nodes, deadline))
    for most in limits.patterns[1:]:
        try_all(most)
    count_bound = by_length.count_bound
    if len(job.bought) == 1:
        each = job.stock[job.bought[0]].cost
        count_bound = max(count_bound, -(-cost_bound // each))
    return Solution(packing, cost_bound, count_bound, converged, method)


BY_LENGTH = "cutting alone: total length with kerfs, and pieces over half a stock length; joints taken as laid"
BY_PATTERNS = (
    "cutting alone: column generation over all ways to cut a stock length, converged, bound in exact arithmetic; "
    "joints taken as laid"
)
UNFINISHED = "cutting alone: column generation, ended before it converged; joints taken as laid"


def _next_cost(job: Job, cost: int) -> int:
    """The least sum of costs that is no less: a multiple of what all of them are multiples of."""
    step = math.gcd(*(job.stock[j].cost for j in job.bought))
    return -(-cost // step) * step

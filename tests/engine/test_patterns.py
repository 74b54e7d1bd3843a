"""Patterns: the best for given values, and all that a better packing could use, against every pattern there is."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from courseline.engine.cutplan.columns import UNIT, Demand
from courseline.engine.cutplan.enumerate import patterns_within
from courseline.engine.cutplan.knapsack import best_patterns
from jobs import job_of


@pytest.mark.parametrize("number", range(60))
def test_best_pattern_is_the_best_of_all(number: int) -> None:
    chance = random.Random(number)
    kinds = chance.randint(1, 5)
    sizes = np.array([chance.randint(5, 60) for _ in range(kinds)])
    values = np.array([chance.randint(0, 40) for _ in range(kinds)])
    most = np.array([chance.randint(1, 4) for _ in range(kinds)])
    room, threshold = 100, chance.randint(0, 60)
    every = [c for c in product(*(range(m + 1) for m in most)) if (sizes * c).sum() <= room]
    best = max(int((values * c).sum()) for c in every)
    found = best_patterns(sizes, values, most, room, threshold, 5)
    assert found.complete
    assert len(found.values) > 0 if best > threshold else len(found.values) == 0
    if best > threshold:
        assert found.values[0] == best
    for counts, value in zip(found.counts, found.values, strict=True):
        assert (counts <= most).all() and (counts * sizes).sum() <= room and (counts * values).sum() == value


@pytest.mark.parametrize("number", range(40))
def test_patterns_within_a_gap_are_all_there(number: int) -> None:
    chance = random.Random(number)
    lengths = [chance.randint(15, 60) for _ in range(7)]
    job = job_of(lengths, [100], costs=[1])
    demand = Demand.of(job)
    values = np.array([chance.randint(0, UNIT // 2) for _ in demand.sizes])
    gap = Fraction(chance.randint(0, 4), 10)
    found = patterns_within(job, demand, values, gap, 10_000)
    assert found is not None
    held = {column.counts for column in found}
    for counts in product(*(range(n + 1) for n in demand.wanted.tolist())):
        fits = int((demand.sizes * counts).sum()) <= job.stock[0].room
        if fits and UNIT - int((values * counts).sum()) <= gap * UNIT:
            assert any(all(a <= b for a, b in zip(counts, more, strict=True)) for more in held)
    for counts in held:
        assert int((demand.sizes * counts).sum()) <= job.stock[0].room


def test_patterns_are_given_up_where_they_are_too_many() -> None:
    job = job_of(list(range(10, 40)), [100], costs=[1])
    assert patterns_within(job, Demand.of(job), np.zeros(30, np.int64), Fraction(1), 100) is None

"""Cutting pieces from stock: by hand, against an exhaustive search of our own, and on published instances."""

from __future__ import annotations

import json
import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from courseline.engine.cutplan.job import STEP, Cut, Job, left_over
from courseline.engine.cutplan.quick import boards_for, quick
from courseline.engine.cutplan.simple import least_bought
from jobs import check_packing, job_of
from rectangles import BOARD, rectangle

KERF = 3.0
PUBLISHED = json.loads((Path(__file__).parents[1] / "reference" / "bin_packing.json").read_text(encoding="utf-8"))
"""Falkenauer's u120_00, u250_12, t60_00 and t120_00 with their published optima: OR-Library, J. E. Beasley."""


def fewest(lengths: Sequence[float], stock: Sequence[float], kerf: float) -> int:
    """A number of stock lengths below which no cutting can go."""
    return least_bought(job_of(lengths, stock, kerf))


def lengths_cut(cut: Cut, lengths: Sequence[float]) -> list[float]:
    return [lengths[i] for i in cut.pieces]


def offcut(job: Job, cut: Cut) -> float:
    """What is left of a board after the last cut [mm]."""
    return left_over(job, cut) / STEP


def fewest_by_search(lengths: Sequence[float], room: float, kerf: float) -> int:
    """Least number of stock lengths, by trying every place of every piece; for short lists only."""
    order = sorted(lengths, reverse=True)
    best = len(order)

    def place(index: int, free: list[float]) -> None:
        nonlocal best
        if len(free) >= best:
            return
        if index == len(order):
            best = len(free)
            return
        tried = set()
        for k, left in enumerate(free):
            if left >= order[index] and left not in tried:
                tried.add(left)
                place(index + 1, [*free[:k], left - order[index] - kerf, *free[k + 1 :]])
        place(index + 1, [*free, room - order[index] - kerf])

    place(0, [])
    return best


# By hand


def test_pieces_that_fill_a_board_with_their_kerf_come_from_one() -> None:
    # 1800 + 3 + 2197 = 4000
    job = job_of([1800, 2197], [4000], KERF)
    (cut,) = quick(job)
    assert offcut(job, cut) == 0.0


def test_kerf_can_cost_a_board() -> None:
    # 2000 + 3 + 2000 = 4003; without a kerf they would fit.
    assert len(quick(job_of([2000, 2000], [4000], KERF))) == 2
    assert len(quick(job_of([2000, 2000], [4000], 0.0))) == 1


def test_last_cut_takes_its_kerf_from_the_offcut() -> None:
    # 4000 - 1000 - 3 - 1000 - 3, and the kerf that a further cut would take
    job = job_of([1000, 1000], [4000], KERF)
    (cut,) = quick(job)
    assert offcut(job, cut) == 1994.0 + KERF


def test_offcut_of_a_long_piece_gives_a_short_one() -> None:
    # 3600 leaves 397; 2800 leaves 1197, the best fit for 1000 and not for 390.
    lengths = [390, 1000, 2800, 3600]
    assert {frozenset(lengths_cut(c, lengths)) for c in quick(job_of(lengths, [4000], KERF))} == {
        frozenset({3600, 390}),
        frozenset({2800, 1000}),
    }


def test_shortest_stock_that_still_does_is_bought() -> None:
    # 2 x 1700 + 3 = 3403 come from 3600, a lone 4000 from 4200.
    job = job_of([1700, 1700, 4000], [3600, 4200, 4800], KERF)
    assert sorted(job.stock[c.stock].length for c in quick(job)) == [3600, 4200]
    assert sorted(boards_for([1700, 1700, 4000], [3600, 4200, 4800], KERF, 12)) == [3600, 4200]


def test_boards_are_counted_as_laid_where_few_offcuts_may_be_kept() -> None:
    # 1000 from the offcut of the first 3000, or, that thrown away for the second one's, from a third board.
    lengths = [3000.0, 3000.0, 990.0, 990.0]
    assert [len(boards_for(lengths, [4000], KERF, kept)) for kept in (12, 2, 1, 0)] == [2, 2, 3, 4]


def test_nothing_to_cut_wants_no_stock() -> None:
    assert quick(job_of([], [4000], KERF)) == ()
    assert boards_for([], [4000], KERF, 12) == []
    assert fewest([], [4000], KERF) == 0


def test_piece_longer_than_all_stock_is_refused() -> None:
    with pytest.raises(ValueError, match="4004000 is longer than the longest stock, 4000 mm"):
        quick(job_of([4001], [3000, 4000], KERF))
    with pytest.raises(ValueError, match="longer than the longest stock, 4000 mm"):
        boards_for([4001], [3000, 4000], KERF, 12)


def test_bound_counts_pieces_over_half_a_board() -> None:
    # Three pieces of 2100 and three of 100: by length 2 boards would do, but no two of 2100 share one.
    assert fewest([2100] * 3 + [100] * 3, [4000], KERF) == 3


def test_bound_counts_kerfs() -> None:
    # 4 x 1000 fill a board of 4000 without a kerf; with 3 x 3 mm of kerf they do not.
    assert fewest([1000] * 4, [4000], 0.0) == 1
    assert fewest([1000] * 4, [4000], KERF) == 2


def test_bound_counts_one_kerf_fewer_than_pieces() -> None:
    # 1998.5 + 3 + 1998.5 = 4000: the second piece needs no cut of its own.
    assert len(quick(job_of([1998.5] * 2, [4000], KERF))) == fewest([1998.5] * 2, [4000], KERF) == 1


# Against an exhaustive search


@pytest.mark.parametrize("number", range(60))
def test_short_lists_are_cut_from_one_board_too_many_at_worst(number: int) -> None:
    chance = random.Random(number)
    lengths = [float(chance.randint(200, 3600)) for _ in range(chance.randint(1, 9))]
    kerf = chance.choice([0.0, 3.0, 4.0])
    job = job_of(lengths, [4000.0], kerf)
    cuttings = quick(job)
    check_packing(job, cuttings)
    least = fewest_by_search(lengths, 4000.0, kerf)
    assert fewest(lengths, [4000.0], kerf) <= least <= len(cuttings) <= least + 1


@pytest.mark.parametrize("number", range(20))
def test_mixed_stock_is_cut_soundly(number: int) -> None:
    chance = random.Random(1000 + number)
    lengths = [chance.uniform(100, 4800) for _ in range(60)]
    stock = [3600.0, 4200.0, 4800.0]
    job = job_of(lengths, stock, KERF)
    cuttings = quick(job)
    check_packing(job, cuttings)
    assert fewest(lengths, stock, KERF) <= len(cuttings)


# Published instances


@pytest.mark.parametrize("instance", PUBLISHED, ids=lambda instance: instance["name"])
def test_published_instance_is_within_the_rule_s_bound(instance: dict[str, Any]) -> None:
    # Best-fit decreasing needs at most 11/9 of the optimum and 4 more: D. S. Johnson et al., SIAM J. Comput. 3 (1974),
    # from memory.
    optimum, items, room = instance["optimum"], instance["items"], instance["capacity"]
    job = job_of(items, [room])
    cuttings = quick(job)
    check_packing(job, cuttings)
    assert optimum <= len(cuttings) <= 11 / 9 * optimum + 4


@pytest.mark.parametrize("instance", PUBLISHED, ids=lambda instance: instance["name"])
def test_bound_never_passes_the_published_optimum(instance: dict[str, Any]) -> None:
    items, room = instance["items"], instance["capacity"]
    assert -(-sum(items) // room) <= fewest(items, [room], 0.0) <= instance["optimum"]


# In a plan


def test_plan_states_stock_used_and_what_could_be_proved() -> None:
    plan = rectangle(6004, 1453, at_wall=True)
    boards = [item for item in plan.stock if item.product == "plain-140"]
    # Ten courses of 6004 - 8 = 5996 mm: 14.99 boards.
    assert plan.bounds[0].lower_bound >= 15
    assert plan.bounds[0].stock_used == len(boards) == plan.takeoff[0].order


def test_mixed_board_lengths_are_priced_by_their_length() -> None:
    # One course of 3000: from a board of 3000, at 3000 / 4000 of the price of the longest, 30.00.
    plan = rectangle(3000, 140, boards={"lengths": [3000, BOARD]})
    assert (plan.takeoff[0].item, plan.takeoff[0].order, str(plan.takeoff[0].price)) == ("board-3000", 1, "22.50")

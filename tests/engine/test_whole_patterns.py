"""From patterns to a packing of every piece once, and which of two packings is better: by hand."""

from __future__ import annotations

from courseline.engine.cutplan.columns import Column, Demand
from courseline.engine.cutplan.job import Cut, Job, left_over
from courseline.engine.cutplan.quick import tidied
from courseline.engine.cutplan.whole import better, filled
from jobs import check_packing, job_of


def cut_sizes(job: Job, packing: tuple[Cut, ...]) -> list[tuple[int, ...]]:
    """Room taken by each piece, in whole units, board by board."""
    return sorted(tuple(sorted(job.sizes[i] // 1000 for i in cut.pieces)) for cut in packing)


def test_what_patterns_give_beyond_what_is_wanted_is_not_cut() -> None:
    # Kinds are 60 and 40; two patterns of one each give a 40 too many.
    job = job_of([60, 60, 40], [100])
    packing = filled(job, Demand.of(job), [(Column(0, (1, 1)), 2)])
    check_packing(job, packing)
    assert cut_sizes(job, packing) == [(40, 60), (60,)]


def test_what_patterns_lack_is_cut_as_well() -> None:
    job = job_of([60, 60, 40], [100])
    packing = filled(job, Demand.of(job), [(Column(0, (1, 0)), 1)])
    check_packing(job, packing)
    assert len(packing) == 2


def test_patterns_take_no_more_from_hand_than_there_is() -> None:
    # One of 60 is there; a second use of its pattern is cut from what is bought.
    job = job_of([60, 60], [100], on_hand=[(60, 1)])
    packing = filled(job, Demand.of(job), [(Column(1, (1,)), 2)])
    check_packing(job, packing)
    assert sorted(cut.stock for cut in packing) == [0, 1]


def test_short_pieces_leave_the_board_with_most_left() -> None:
    # 3500 leaves 500 and 2000 with 300 leaves 1700: the 300 goes to the first, so that 2000 stay in one.
    job = job_of([3500, 300, 2000], [4000])
    packing = tidied(job, [Cut(0, (0,)), Cut(0, (1, 2))])
    assert cut_sizes(job, packing) == [(300, 3500), (2000,)]
    assert max(left_over(job, cut) for cut in packing) == 2_000_000


def test_a_board_that_can_be_emptied_is_not_bought() -> None:
    job = job_of([3500, 300], [4000])
    assert cut_sizes(job, tidied(job, [Cut(0, (0,)), Cut(0, (1,))])) == [(300, 3500)]


def test_cheapest_stock_that_gives_a_board_s_pieces_is_bought() -> None:
    # 1000 fits in both; the long one costs less here.
    job = job_of([1000], [2000, 3000], costs=[50, 40])
    assert tidied(job, [Cut(0, (0,))]) == (Cut(1, (0,)),)


def test_the_cheaper_packing_is_better_and_then_the_one_of_fewer_boards() -> None:
    job = job_of([60, 40], [100, 60], costs=[20, 10])
    one, two = (Cut(0, (0, 1)),), (Cut(1, (0,)), Cut(1, (1,)))
    assert better(job, two, one) == better(job, one, two) == one
    dear = job_of([60, 40], [100, 60], costs=[21, 10])
    assert better(dear, two, one) == better(dear, one, two) == two
    assert better(job, one, None) == one

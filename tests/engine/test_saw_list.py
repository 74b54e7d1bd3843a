"""The saw list in laying order, pieces exchanged between boards, and rips side by side: by hand and at random."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from courseline.engine.cutplan.in_order import cut_in_order
from courseline.engine.cutplan.job import Cut, Job, cost_of, left_over
from courseline.engine.cutplan.limited import parted, within_limit
from courseline.engine.cutplan.nearer import nearer
from courseline.engine.cutplan.quick import quick
from courseline.engine.cutplan.rips import Wanted, areas, stretches
from courseline.engine.cutplan.saw_list import SawList, saw_list
from jobs import check_packing, job_of


def kept_at_once(listed: SawList, order: list[int]) -> int:
    """Most boards that are begun and not done with, counted anew piece by piece."""
    times = [[order.index(i) for i in cut.pieces] for cut in listed.cuts]
    return max(sum(min(own) <= at < max(own) for own in times) for at in range(len(order)))


def burden(cuts: tuple[Cut, ...], order: list[int], limit: int) -> int:
    """Squares of the offcuts kept beyond the limit, summed over the pieces."""
    times = [[order.index(i) for i in cut.pieces] for cut in cuts]
    kept = [sum(min(own) <= at < max(own) for own in times) for at in range(len(order))]
    return sum(max(0, count - limit) ** 2 for count in kept)


def patterns(job: Job, cuts: tuple[Cut, ...]) -> Counter[tuple[int, tuple[int, ...]]]:
    return Counter((cut.stock, tuple(sorted(job.sizes[i] for i in cut.pieces))) for cut in cuts)


# Laying order


def test_boards_are_opened_as_they_are_laid() -> None:
    # 3000 + 900 twice: as laid, each 900 comes from the board opened last before it.
    job = job_of([3000, 900, 3000, 900], [4000])
    listed = saw_list(job, (Cut(0, (0, 3)), Cut(0, (2, 1))), range(4))
    assert [cut.pieces for cut in listed.cuts] == [(0, 1), (2, 3)]
    assert listed.kept == 1


def test_offcut_is_kept_until_its_piece_is_laid() -> None:
    # Both 3000 are laid before either 900.
    job = job_of([3000, 3000, 900, 900], [4000])
    listed = saw_list(job, (Cut(0, (0, 2)), Cut(0, (1, 3))), range(4))
    assert (listed.cuts, listed.kept) == ((Cut(0, (0, 2)), Cut(0, (1, 3))), 2)


def test_pattern_that_is_done_with_soonest_is_opened_first() -> None:
    # 2000 is laid first; its board may give the 1000 laid next or the 1500 laid last.
    job = job_of([2000, 1000, 2000, 1500], [4000])
    listed = saw_list(job, (Cut(0, (0, 3)), Cut(0, (2, 1))), range(4))
    assert [cut.pieces for cut in listed.cuts] == [(0, 1), (2, 3)]


@pytest.mark.parametrize("number", range(40))
def test_saw_list_keeps_the_packing_and_cuts_in_laying_order(number: int) -> None:
    chance = random.Random(number)
    lengths = [chance.choice([500, 780, 1200, 1660, 2400, 3100]) for _ in range(50)]
    job = job_of(lengths, [3660, 4200], 4)
    order = chance.sample(range(50), 50)
    packing = quick(job)
    listed = saw_list(job, packing, order)
    check_packing(job, listed.cuts)
    assert patterns(job, listed.cuts) == patterns(job, packing)
    assert listed.kept == kept_at_once(listed, order)
    firsts = [order.index(cut.pieces[0]) for cut in listed.cuts]
    assert firsts == sorted(firsts)
    assert all([*map(order.index, cut.pieces)] == sorted(map(order.index, cut.pieces)) for cut in listed.cuts)


# Exchanges


def test_pieces_that_fit_either_board_are_exchanged_so_that_nothing_is_kept() -> None:
    # 3000 + 950 and 900 + 3010: as packed each waits for the other's place.
    job = job_of([3000, 900, 3010, 950], [4000])
    cuts = (Cut(0, (0, 3)), Cut(0, (1, 2)))
    assert set(nearer(job, cuts, range(4), 1, 1000)) == {Cut(0, (0, 1)), Cut(0, (2, 3))}


def test_nothing_is_exchanged_while_few_offcuts_are_kept() -> None:
    job = job_of([3000, 900, 3010, 950], [4000])
    cuts = (Cut(0, (0, 3)), Cut(0, (1, 2)))
    assert nearer(job, cuts, range(4), 2, 1000) == cuts


@pytest.mark.parametrize("number", range(30))
def test_exchanges_keep_the_stock_and_never_more_offcuts(number: int) -> None:
    chance = random.Random(number)
    job = job_of([chance.randint(400, 3000) for _ in range(60)], [3660, 4200], 4, on_hand=[(1800, 3)])
    order = list(range(60))
    listed = saw_list(job, quick(job), order)
    exchanged = nearer(job, listed.cuts, order, 3, 50_000)
    check_packing(job, exchanged)
    assert Counter(cut.stock for cut in exchanged) == Counter(cut.stock for cut in listed.cuts)
    assert all(left_over(job, cut) >= 0 for cut in exchanged)
    before = burden(listed.cuts, order, 3)
    assert all(burden(nearer(job, listed.cuts, order, 3, tries), order, 3) <= before for tries in (100, 2_000))
    assert burden(exchanged, order, 3) < before


@pytest.mark.parametrize("number", range(20))
@pytest.mark.parametrize("limit", [0, 1, 2, 4])
def test_a_limit_is_kept_whatever_it_costs(number: int, limit: int) -> None:
    chance = random.Random(number)
    hand = [(1800.0, 3)] if number % 2 else []
    job = job_of([chance.randint(400, 3000) for _ in range(40)], [3660, 4200], 4, on_hand=hand)
    order = chance.sample(range(40), 40)
    packing = quick(job)
    listed = within_limit(job, packing, order, limit, "quick")
    check_packing(job, listed.cuts)
    assert listed.kept == kept_at_once(listed, order) <= limit
    for way in (parted(job, packing, order, limit), cut_in_order(job, order, limit, "quick")):
        check_packing(job, way)
        assert cost_of(job, listed.cuts) <= cost_of(job, way)
    if limit == 0:
        assert len(listed.cuts) == 40


def test_a_board_more_is_cut_where_an_offcut_would_wait() -> None:
    # 3000 + 900 twice, both 3000 before either 900: two boards, two offcuts kept; with room for one, three boards.
    job = job_of([3000, 3000, 900, 890], [4000])
    assert [len(within_limit(job, quick(job), range(4), limit, "quick").cuts) for limit in (2, 1, 0)] == [2, 3, 4]


def test_cut_in_order_sees_which_offcut_a_later_piece_wants() -> None:
    # 600 may come from what is left of 3000 or of 2400; the 1550 to come fits only where it does not.
    job = job_of([3000, 2400, 600, 1550], [4000])
    assert len(cut_in_order(job, range(4), 2, "quick")) == 2


@pytest.mark.slow
def test_exchanges_help() -> None:
    saved = 0
    for number in range(10):
        chance = random.Random(number)
        job = job_of([chance.randint(400, 3000) for _ in range(60)], [4000], 4)
        listed = saw_list(job, quick(job), range(60))
        saved += listed.kept - saw_list(job, nearer(job, listed.cuts, range(60), 3, 50_000), range(60)).kept
    assert saved >= 20


# Rips


def rip(name: str, length: float, width: float) -> Wanted:
    return Wanted(name, length, width, ripped=True)


def test_two_rips_that_fit_the_width_with_a_kerf_lie_side_by_side() -> None:
    # 68 + 4 + 68 = 140
    assert stretches([rip("a", 2000, 68), rip("b", 2400, 68)], 140, 4) == [((1,), (0,))]


def test_a_kerf_too_much_keeps_rips_apart() -> None:
    assert stretches([rip("a", 2000, 68), rip("b", 2400, 68.5)], 140, 4) == [((0,),), ((1,),)]


def test_a_narrow_piece_that_is_no_rip_shares_no_board() -> None:
    assert stretches([Wanted("a", 2000, 60), rip("b", 2400, 60)], 140, 4) == [((0,),), ((1,),)]


def test_several_short_rips_lie_beside_a_long_one() -> None:
    # 1000 + 4 + 996 fill a stretch of 2000; the fourth finds no room.
    pieces = [rip("a", 2000, 60), rip("b", 1000, 60), rip("c", 996, 60), rip("d", 500, 60)]
    assert stretches(pieces, 140, 4) == [((0,), (1, 2)), ((3,),)]


@pytest.mark.parametrize("number", range(40))
def test_areas_bound_what_stretches_take(number: int) -> None:
    chance = random.Random(number)
    pieces = [
        Wanted(str(i), chance.randint(300, 3000), chance.choice([40, 60, 66, 80, 140]), chance.random() < 0.8)
        for i in range(30)
    ]
    along = stretches(pieces, 140, 4)
    assert sorted(i for strips in along for strip in strips for i in strip) == list(range(30))
    taken = sum(1000 * (pieces[strips[0][0]].length + 4) for strips in along)
    assert sum(areas(pieces, 140, 4)) <= taken
    for strips in along:
        widths = [max(pieces[i].width for i in strip) for strip in strips]
        assert sum(widths) + 4 * (len(strips) - 1) <= 140
        lengths = [sum(pieces[i].length for i in strip) + 4 * (len(strip) - 1) for strip in strips]
        assert max(lengths) == lengths[0]


def test_areas_by_hand() -> None:
    # (2000 + 4) x (68 + 4) / (140 + 4): half of it; the wide rip and the whole board count in full.
    pieces = [rip("a", 2000, 68), rip("b", 2000, 68), rip("c", 2000, 100), Wanted("d", 2000, 140)]
    assert areas(pieces, 140, 4) == [1_002_000, 1_002_000, 2_004_000, 2_004_000]

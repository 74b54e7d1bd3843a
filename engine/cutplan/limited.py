"""No more offcuts kept at once than the site has room for.

A plan that keeps more is cut anew, with a board more if it must be. Two ways are tried, and the cheaper plan is taken.
Boards are parted where too many are begun, and pieces exchanged until as many boards as can be are done without; or the
pieces are cut in the order in which they are laid, from so many offcuts at the most. The first is the better where the
plan keeps few too many, the second where few may be kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from ..effort import Effort
from .in_order import cut_in_order
from .job import Cut, Job, Packing, cost_of, merit
from .nearer import laid_at, nearer, open_at
from .quick import cheapest, quick
from .saw_list import SawList, saw_list

TRIES: dict[Effort, int] = {"quick": 2_000, "normal": 60_000, "thorough": 250_000}
"""Exchanges of pieces tried at a time: some 5 ms, 0.1 s and 0.5 s (ours)."""
SEEDS: dict[Effort, range] = {"quick": range(1), "normal": range(4), "thorough": range(12)}
"""Of the trying, which begins anew with each until the limit is kept at no cost (ours)."""
MOST_LENGTHS = 4
"""Of more lengths than this, no fewer are tried (ours)."""


def within_limit(job: Job, packing: Packing, order: Sequence[int], limit: int, effort: Effort) -> SawList:
    """The saw list of a packing, or of another as near to it in cost as is found, that keeps no more than the limit.

    Parameters
    ----------
    order : sequence of int
        Pieces, by their place in the job, in the order in which they are laid.
    limit : int
        Offcuts that may be kept at once.
    """
    listed = saw_list(job, packing, order)
    if listed.kept <= limit:
        return listed
    found = _in_limit(job, _cut_anew(job, listed.cuts, order, limit, effort), order, limit)
    for fewer in _with_fewer_lengths(job):
        packing = quick(fewer)
        if found and cost_of(job, packing) >= min(cost_of(job, own) for own in found):
            continue  # no cheaper for keeping to the limit
        own = saw_list(fewer, packing, order)
        ways = [own.cuts] if own.kept <= limit else _cut_anew(fewer, own.cuts, order, limit, "quick")
        found += _in_limit(job, ways, order, limit)
    if not found:  # pieces that only boards on hand give wait for them
        return listed
    best = min(found, key=lambda own: merit(job, own))
    opened = sorted(zip(laid_at(best, order), best, strict=True), key=lambda own: own[0][0])
    cuts = tuple(Cut(cut.stock, tuple(order[at] for at in pieces)) for pieces, cut in opened)
    return SawList(cuts, kept_at_once(cuts, order))


def _in_limit(job: Job, ways: Sequence[Packing], order: Sequence[int], limit: int) -> list[Packing]:
    """Of some ways those that keep to the limit, from the cheapest stock."""
    return [tuple(cheapest(job, cut) for cut in way) for way in ways if kept_at_once(way, order) <= limit]


def _cut_anew(job: Job, cuts: Sequence[Cut], order: Sequence[int], limit: int, effort: Effort) -> list[Packing]:
    """Other ways to cut the same; one alone, if it keeps to the limit at no cost."""
    tries, least = TRIES[effort], cost_of(job, cuts)
    begun: list[tuple[Packing, int]] = []
    for seed in SEEDS[effort]:
        way = nearer(job, cuts, order, limit, tries, seed)
        if kept_at_once(way, order) <= limit:
            return [way]
        apart = parted(job, way, order, limit)
        if kept_at_once(apart, order) <= limit and cost_of(job, apart) <= least:
            return [apart]
        begun.append((apart, seed))
    begun.append((cut_in_order(job, order, limit, effort), 0))
    if effort == "quick":
        begun = [min(begun, key=lambda own: (kept_at_once(own[0], order) > limit, cost_of(job, own[0])))]
    return [way for own, seed in begun for way in (own, nearer(job, own, order, limit, tries, seed, fewer=True))]


def _with_fewer_lengths(job: Job) -> Iterator[Job]:
    """The job with some of the lengths not to be had: what is cut anew from all must not cost more than from those."""
    lengths = job.bought
    if len(lengths) > MOST_LENGTHS:
        return
    for number in range(1, len(lengths)):
        for kept in combinations(lengths, number):
            if job.stock[kept[-1]].room >= max(job.sizes):
                gone = set(lengths) - set(kept)
                stock = (replace(own, count=0) if j in gone else own for j, own in enumerate(job.stock))
                yield replace(job, stock=tuple(stock))


def kept_at_once(cuts: Sequence[Cut], order: Sequence[int]) -> int:
    """Most boards that are begun and not done with at one time."""
    return max(open_at(laid_at(cuts, order), len(order)), default=0)


def parted(job: Job, cuts: Sequence[Cut], order: Sequence[int], limit: int) -> Packing:
    """Boards parted where too many are begun: what is still to come of one of them is cut from another board.

    It is the one that is wanted again the latest, as in L. A. Belady, IBM Systems Journal 5 (1966) 78-101 (from
    memory), who drops pages so.
    """
    boards = laid_at(cuts, order)
    stock = [cut.stock for cut in cuts]
    board_of = {at: number for number, pieces in enumerate(boards) for at in pieces}
    coming = {number: list(reversed(pieces)) for number, pieces in enumerate(boards)}
    begun: set[int] = set()
    room = job.stock[job.bought[-1]].room
    for at in range(len(order)):
        number = board_of[at]
        coming[number].pop()
        begun.add(number)
        if not coming[number]:
            begun.remove(number)
        if len(begun) > limit:
            # A piece that only a board on hand gives cannot be cut from another.
            free = [own for own in begun if all(job.sizes[order[later]] <= room for later in coming[own])]
            if not free:
                continue
            latest = max(free, key=lambda own: (coming[own][-1], own))
            begun.remove(latest)
            rest = coming[latest][::-1]
            boards[latest] = [own for own in boards[latest] if own <= at]
            coming[latest] = []
            for part in _for_boards(rest, [job.sizes[order[own]] for own in rest], room):
                board_of |= dict.fromkeys(part, len(boards))
                coming[len(boards)] = part[::-1]
                boards.append(part)
                stock.append(cheapest(job, Cut(job.bought[-1], tuple(order[own] for own in part))).stock)
    return tuple(Cut(j, tuple(order[at] for at in pieces)) for j, pieces in zip(stock, boards, strict=True))


def _for_boards(rest: Sequence[int], sizes: Sequence[int], room: int) -> list[list[int]]:
    """Pieces shared out among boards in turn: what is on hand may have been longer than all that is sold."""
    parts: list[list[int]] = []
    left = 0
    for own, size in zip(rest, sizes, strict=True):
        if size > left:
            parts.append([])
            left = room
        parts[-1].append(own)
        left -= size
    return parts

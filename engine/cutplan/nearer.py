"""Pieces exchanged between boards, so that those of one board are laid near each other and few offcuts are kept.

The boards stay as many and as long; no piece is cut differently.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .job import Cut, Job, left_over

IDLE = 0.01
"""What it weighs that an offcut is kept for one piece more where there is room for it (ours)."""

REACH = 150
"""Boards before and after a board, in the order of opening, that it may exchange pieces with (ours)."""


@dataclass(frozen=True, slots=True)
class _Board:
    """A stock length, the room left in it, and its pieces in laying order, each by its place in that order."""

    stock: int
    left: int
    pieces: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Exchange:
    """A piece of one board given to another, in exchange for one of its pieces or for none."""

    weight: float
    giver: int
    given: int
    taker: int
    taken: int | None


def nearer(job: Job, cuts: Sequence[Cut], order: Sequence[int], limit: int, looks: int) -> tuple[Cut, ...]:
    """The same stock with pieces exchanged, until no more offcuts than the limit are kept or no exchange helps.

    Parameters
    ----------
    order : sequence of int
        Pieces, by their place in the job, in the order in which they are laid.
    limit : int
        Offcuts that may be kept at once.
    looks : int
        Boards looked at as takers of a piece, at most: what ends the search, on every machine alike.
    """
    time = {i: at for at, i in enumerate(order)}
    sizes = [job.sizes[i] for i in order]
    boards = [_Board(cut.stock, left_over(job, cut), tuple(sorted(time[i] for i in cut.pieces))) for cut in cuts]
    looked = 0
    while looked < looks:
        open_at = _open(boards, len(order))
        if open_at.max(initial=0) <= limit:
            break
        steps = [0.0, *np.cumsum(np.maximum(0, open_at - limit + 1) + IDLE).tolist()]
        peak = np.arange(len(open_at)) == int(open_at.argmax())
        for crowded in (peak, open_at > limit):
            passed = [0, *np.cumsum(crowded).tolist()]
            found = []
            for giver, board in enumerate(boards):
                if looked >= looks or passed[board.pieces[-1]] == passed[board.pieces[0]]:
                    continue
                for given in (board.pieces[0], board.pieces[-1]):
                    looked += min(len(boards), 2 * REACH)
                    found += _best(sizes, boards, steps, giver, given)
            if _relieved(sizes, boards, limit, sorted(found, key=lambda e: e.weight)):
                break
        else:
            break
    return tuple(Cut(board.stock, tuple(order[at] for at in board.pieces)) for board in boards)


def _open(boards: Sequence[_Board], count: int) -> NDArray[np.int64]:
    """How many boards are begun and not done with after each piece."""
    change = np.zeros(count + 1, np.int64)
    np.add.at(change, [board.pieces[0] for board in boards], 1)
    np.add.at(change, [board.pieces[-1] for board in boards], -1)
    return np.cumsum(change)


def _burden(open_at: NDArray[np.int64], limit: int) -> tuple[int, int]:
    over = np.maximum(0, open_at - limit)
    return int((over * over).sum()), int(open_at.sum())


def _relieved(sizes: Sequence[int], boards: list[_Board], limit: int, exchanges: Sequence[_Exchange]) -> bool:
    """Make the first exchange that truly relieves; weights count each time alone, and may promise too much."""
    before = _burden(_open(boards, len(sizes)), limit)
    for exchange in exchanges:
        as_was = {k: boards[k] for k in (exchange.giver, exchange.taker)}
        _exchange(sizes, boards, exchange)
        if _burden(_open(boards, len(sizes)), limit) < before:
            return True
        for k, board in as_was.items():
            boards[k] = board
    return False


def _best(
    sizes: Sequence[int], boards: Sequence[_Board], steps: Sequence[float], giver: int, given: int
) -> list[_Exchange]:
    """The exchange of one piece, the first or last of its board, that relieves the crowded times most; or none."""
    own, size = boards[giver], sizes[given]
    low, high = (own.pieces[1], own.pieces[-1]) if given == own.pieces[0] else (own.pieces[0], own.pieces[-2])
    was = steps[own.pieces[-1]] - steps[own.pieces[0]]
    alone = steps[high] - steps[low] - was
    found: list[_Exchange] = []
    least = -1e-9
    for taker in range(max(0, giver - REACH), min(len(boards), giver + REACH)):
        board = boards[taker]
        pieces, left = board.pieces, board.left
        first, last = pieces[0], pieces[-1]
        if taker == giver:
            continue
        theirs = steps[last] - steps[first]
        if left >= size:
            weight = steps[max(last, given)] - steps[min(first, given)] - theirs + alone
            if weight < least:
                least, found = weight, [_Exchange(weight, giver, given, taker, None)]
        for taken in pieces:
            more = size - sizes[taken]
            if more > left or -more > own.left:
                continue
            new = 0.0
            if len(pieces) > 1:
                begin = pieces[1] if taken == first else first
                end = pieces[-2] if taken == last else last
                new = steps[max(end, given)] - steps[min(begin, given)]
            weight = new - theirs + steps[max(high, taken)] - steps[min(low, taken)] - was
            if weight < least:
                least, found = weight, [_Exchange(weight, giver, given, taker, taken)]
    return found


def _exchange(sizes: Sequence[int], boards: list[_Board], exchange: _Exchange) -> None:
    own, other = boards[exchange.giver], boards[exchange.taker]
    back = () if exchange.taken is None else (exchange.taken,)
    more = sizes[exchange.given] - sum(sizes[i] for i in back)
    kept = sorted([*(i for i in own.pieces if i != exchange.given), *back])
    theirs = sorted([*(i for i in other.pieces if i != exchange.taken), exchange.given])
    boards[exchange.giver] = _Board(own.stock, own.left + more, tuple(kept))
    boards[exchange.taker] = _Board(other.stock, other.left - more, tuple(theirs))

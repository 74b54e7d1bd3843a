"""Pieces exchanged between boards, so that those of one board are laid near each other and few offcuts are kept.

The boards stay as many and as long; no piece is cut differently.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .job import Cut, Job, left_over

Span = tuple[int, int]
"""When the first and the last piece of a board are laid."""
IDLE = 0.01
"""What it weighs that an offcut is kept for one piece more where there is room for it (ours)."""

REACH = 150
"""Boards before and after a board, in the order of opening, that it may exchange pieces with (ours)."""


@dataclass
class _Board:
    stock: int
    left: int
    pieces: list[int]


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
        Exchanges looked at, at most: what ends the search, on every machine alike.
    """
    time = {i: at for at, i in enumerate(order)}
    boards = [_Board(cut.stock, left_over(job, cut), list(cut.pieces)) for cut in cuts]
    looked = 0
    while looked < looks:
        open_at = _open(boards, time)
        if open_at.max(initial=0) <= limit:
            break
        before = _burden(open_at, limit)
        steps = [0.0, *np.cumsum(np.maximum(0, open_at - limit + 1) + IDLE).tolist()]
        peak = np.arange(len(open_at)) == int(open_at.argmax())
        found = None
        for crowded in (peak, open_at > limit):
            passed = [0, *np.cumsum(crowded).tolist()]
            for giver, board in enumerate(boards):
                low, high = _span(board.pieces, time)
                if passed[high] == passed[low] or looked >= looks:
                    continue
                for given in (board.pieces[0], board.pieces[-1]):
                    looked += min(len(boards), 2 * REACH)
                    exchange = _best(job, boards, time, steps, giver, given)
                    if exchange is not None and (found is None or exchange.weight < found.weight):
                        found = exchange
            if found is not None:
                break
        if found is None:
            break
        undo = [(k, _Board(boards[k].stock, boards[k].left, boards[k].pieces)) for k in (found.giver, found.taker)]
        _exchange(job, boards, time, found)
        if _burden(_open(boards, time), limit) >= before:
            for k, board in undo:
                boards[k] = board
            break
    return tuple(Cut(board.stock, tuple(board.pieces)) for board in boards)


def _span(pieces: Sequence[int], time: dict[int, int]) -> Span:
    return time[pieces[0]], time[pieces[-1]]


def _open(boards: Sequence[_Board], time: dict[int, int]) -> NDArray[np.int64]:
    """How many boards are begun and not done with after each piece."""
    change = np.zeros(len(time) + 1, np.int64)
    for board in boards:
        low, high = _span(board.pieces, time)
        change[low] += 1
        change[high] -= 1
    return np.cumsum(change)


def _burden(open_at: NDArray[np.int64], limit: int) -> tuple[int, int]:
    over = np.maximum(0, open_at - limit)
    return int((over * over).sum()), int(open_at.sum())


def _best(
    job: Job, boards: Sequence[_Board], time: dict[int, int], steps: Sequence[float], giver: int, given: int
) -> _Exchange | None:
    """The exchange of one piece that relieves the times of most offcuts most."""
    own, size, at = boards[giver], job.sizes[given], time[given]
    rest = [time[i] for i in own.pieces if i != given]
    low, high = rest[0], rest[-1]
    was = steps[time[own.pieces[-1]]] - steps[time[own.pieces[0]]]
    found: _Exchange | None = None
    least = -1e-9
    for taker in range(max(0, giver - REACH), min(len(boards), giver + REACH)):
        if taker == giver:
            continue
        board = boards[taker]
        pieces = board.pieces
        first, last = time[pieces[0]], time[pieces[-1]]
        theirs = steps[last] - steps[first]
        if board.left >= size:
            weight = steps[max(last, at)] - steps[min(first, at)] - theirs + steps[high] - steps[low] - was
            if weight < least:
                least, found = weight, _Exchange(weight, giver, given, taker, None)
        for taken in pieces:
            more = size - job.sizes[taken]
            if more > board.left or -more > own.left:
                continue
            back = time[taken]
            f = time[pieces[1]] if taken == pieces[0] and len(pieces) > 1 else first
            e = time[pieces[-2]] if taken == pieces[-1] and len(pieces) > 1 else last
            new = 0.0 if len(pieces) == 1 else steps[max(e, at)] - steps[min(f, at)]
            weight = new - theirs + steps[max(high, back)] - steps[min(low, back)] - was
            if weight < least:
                least, found = weight, _Exchange(weight, giver, given, taker, taken)
    return found


def _exchange(job: Job, boards: list[_Board], time: dict[int, int], exchange: _Exchange) -> None:
    own, other = boards[exchange.giver], boards[exchange.taker]
    size = job.sizes[exchange.given]
    back = [] if exchange.taken is None else [exchange.taken]
    returned = sum(job.sizes[i] for i in back)
    kept = [i for i in own.pieces if i != exchange.given] + back
    theirs = [i for i in other.pieces if i != exchange.taken] + [exchange.given]
    boards[exchange.giver] = _Board(own.stock, own.left + size - returned, sorted(kept, key=time.__getitem__))
    boards[exchange.taker] = _Board(other.stock, other.left - size + returned, sorted(theirs, key=time.__getitem__))

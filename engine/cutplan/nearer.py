"""Pieces exchanged between boards, so that those of one board are laid near each other and few offcuts are kept.

No board is added, and no piece is cut differently. Exchanges are tried at random, and for a while some that make it
worse are kept too: S. Kirkpatrick, C. D. Gelatt and M. P. Vecchi, Science 220 (1983) 671-680 (from memory).
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from .job import Cut, Job, Packing, left_over

IDLE = 0.02
"""What it weighs that an offcut is kept for one piece more where there is room for it (ours)."""
EMPTIED = 1000.0
"""What it weighs that a board is not needed (ours): more than any time an offcut is kept."""
REACH = 40
"""A piece is exchanged for one that is laid no more than so many pieces before or after it (ours)."""
ROUND = 100
"""Exchanges tried before the crowded times are looked up anew (ours)."""
HEAT = 3.0
"""Weight that an exchange may add at first and still be kept one time in three; less and less later (ours)."""
CROWDED = 0.8
"""How often a piece is taken from the ends of a board that is begun while too many are (ours)."""
FEWER = 0.5
"""How often a piece is given for nothing, where there is room for it, and not in exchange for another (ours)."""


@dataclass(frozen=True, slots=True)
class _Best:
    """What is compared, least first, and the boards as they were then."""

    burden: tuple[int, int]
    boards: list[list[int]]


def nearer(
    job: Job, cuts: Sequence[Cut], order: Sequence[int], limit: int, tries: int, seed: int = 0, fewer: bool = False
) -> Packing:
    """The same stock, or less of it, with pieces exchanged until no more offcuts than the limit are kept.

    Parameters
    ----------
    order : sequence of int
        Pieces, by their place in the job, in the order in which they are laid.
    limit : int
        Offcuts that may be kept at once.
    tries : int
        Exchanges tried at most: what ends the search, on every machine alike.
    seed : int
        Of the trying: another gives another result.
    fewer : bool
        Whether to go on for fewer boards once the limit is kept.
    """
    exchange = _Exchange(job, cuts, laid_at(cuts, order), order, limit)
    best = exchange.best()
    chance = random.Random(seed)
    for tried in range(0, tries, ROUND):
        if best.burden[0] == 0 and not fewer:
            break
        exchange.round(chance, HEAT * (1 - tried / tries) + 1e-3)
        best = min(best, exchange.best(), key=lambda own: own.burden)
    return tuple(
        Cut(cut.stock, tuple(order[at] for at in pieces))
        for cut, pieces in zip(cuts, best.boards, strict=True)
        if pieces
    )


class _Exchange:
    """Boards with their pieces in laying order, each by its place in that order, and the room left in each board."""

    def __init__(
        self, job: Job, cuts: Sequence[Cut], boards: list[list[int]], order: Sequence[int], limit: int
    ) -> None:
        self.limit, self.boards = limit, boards
        self.sizes = [job.sizes[i] for i in order]
        self.left = [left_over(job, cut) for cut in cuts]
        self.costs = [job.stock[cut.stock].cost for cut in cuts]
        self.board_of = [0] * len(order)
        for number, pieces in enumerate(boards):
            for at in pieces:
                self.board_of[at] = number

    def best(self) -> _Best:
        """The boards as they are now."""
        over = [max(0, count - self.limit) for count in open_at(self.boards, len(self.sizes))]
        cost = sum(cost for cost, pieces in zip(self.costs, self.boards, strict=True) if pieces)
        return _Best((sum(count * count for count in over), cost), list(self.boards))

    def round(self, chance: random.Random, heat: float) -> None:
        """Try some exchanges, each weighed by how crowded the times are at which offcuts are kept."""
        count, boards, left, sizes, board_of = len(self.sizes), self.boards, self.left, self.sizes, self.board_of
        kept = open_at(boards, count)
        until = [0.0, *accumulate(IDLE + max(0, each - self.limit + 1) for each in kept)]
        passed = [0, *accumulate(each > self.limit for each in kept)]
        wanted = [at for own in boards if own and passed[own[0]] < passed[own[-1]] for at in (own[0], own[-1])]
        for _ in range(ROUND):
            if wanted and chance.random() < CROWDED:
                given = wanted[int(chance.random() * len(wanted))]
            else:
                given = int(chance.random() * count)
            taken = given + int(chance.random() * (2 * REACH + 1)) - REACH
            if not 0 <= taken < count or board_of[given] == board_of[taken]:
                continue
            giver, taker = board_of[given], board_of[taken]
            own, theirs = boards[giver], boards[taker]
            more = sizes[given]
            alone = left[taker] >= more and chance.random() < FEWER
            if alone:
                new, new_theirs = [at for at in own if at != given], sorted([*theirs, given])
            else:
                more -= sizes[taken]
                if more > left[taker] or -more > left[giver]:
                    continue
                new = sorted([*(at for at in own if at != given), taken])
                new_theirs = sorted([*(at for at in theirs if at != taken), given])
            change = until[new_theirs[-1]] - until[new_theirs[0]] - until[theirs[-1]] + until[theirs[0]]
            change += until[own[0]] - until[own[-1]]
            change += until[new[-1]] - until[new[0]] if new else -EMPTIED
            if change > 0 and chance.random() >= math.exp(-change / heat):
                continue
            boards[giver], boards[taker] = new, new_theirs
            left[giver] += more
            left[taker] -= more
            board_of[given] = taker
            if not alone:
                board_of[taken] = giver


def laid_at(cuts: Sequence[Cut], order: Sequence[int]) -> list[list[int]]:
    """When the pieces of each board are laid, the first of them first, by their place in the order."""
    time = {i: at for at, i in enumerate(order)}
    return [sorted(time[i] for i in cut.pieces) for cut in cuts]


def open_at(boards: Sequence[Sequence[int]], count: int) -> list[int]:
    """How many boards are begun and not done with after each piece."""
    change = [0] * (count + 1)
    for pieces in boards:
        if pieces:
            change[pieces[0]] += 1
            change[pieces[-1]] -= 1
    return list(accumulate(change))[:count]

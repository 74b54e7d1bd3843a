"""The saw list in laying order: which board is opened when, so that few offcuts lie about.

A packing says which lengths share a board; which of the pieces of one length come from which board is free. Pieces
are cut as they are laid. A board that is begun and from which a later piece is still to come is a kept offcut.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice

from .job import Cut, Job

LOOKED_AT = 48
"""Patterns compared when a board is opened; more would take long on a deck of thousands, and hardly help (ours)."""

Pattern = tuple[int, tuple[int, ...]]
"""A stock length by its place in the job, and the sizes cut from it, the largest first."""


@dataclass(frozen=True, slots=True)
class SawList:
    """Stock in the order in which it is opened, its pieces in the order of cutting, and the most offcuts kept."""

    cuts: tuple[Cut, ...]
    kept: int


@dataclass
class _Open:
    """A board that is begun: its sizes still to come, and the pieces cut so far."""

    number: int
    stock: int
    coming: Counter[int]
    left: int
    pieces: list[int]


def saw_list(job: Job, packing: Sequence[Cut], order: Sequence[int]) -> SawList:
    """Put a packing into laying order, the same lengths from the same stock.

    Of the boards already begun the one with the fewest pieces still to come is cut first; else a new one is opened,
    of the pattern that is done with soonest.

    Parameters
    ----------
    order : sequence of int
        Pieces, by their place in the job, in the order in which they are laid.
    """
    closed: dict[Pattern, int] = {}
    with_size: dict[int, dict[Pattern, None]] = defaultdict(dict)
    for cut in packing:
        pattern = (cut.stock, tuple(sorted((job.sizes[i] for i in cut.pieces), reverse=True)))
        closed[pattern] = closed.get(pattern, 0) + 1
        for size in pattern[1]:
            with_size[size][pattern] = None
    needs: dict[int, list[int]] = defaultdict(list)
    for time, i in enumerate(order):
        needs[job.sizes[i]].append(time)
    served: Counter[int] = Counter()
    begun: dict[int, dict[int, _Open]] = defaultdict(dict)
    promised: Counter[int] = Counter()
    all_boards: list[_Open] = []
    kept = most = 0

    def done_with(pattern: Pattern, size: int) -> tuple[int, int]:
        """When the last piece of a pattern is wanted, if `size` is cut now."""
        coming = Counter(pattern[1])
        coming[size] -= 1
        last = 0
        for other, count in coming.items():
            if count:
                at = served[other] + promised[other] + count - 1 + (other == size)
                last = max(last, needs[other][min(at, len(needs[other]) - 1)])
        return last, len(pattern[1])

    for i in order:
        size = job.sizes[i]
        boards = begun[size]
        if boards:
            board = min(boards.values(), key=lambda b: (b.left, b.number))
            promised[size] -= 1
        else:
            pattern = min(islice(with_size[size], LOOKED_AT), key=lambda p: done_with(p, size))
            closed[pattern] -= 1
            if not closed[pattern]:
                for other in set(pattern[1]):
                    del with_size[other][pattern]
            board = _Open(len(all_boards), pattern[0], Counter(pattern[1]), len(pattern[1]), [])
            all_boards.append(board)
            for other, count in board.coming.items():
                promised[other] += count - (other == size)
                begun[other][board.number] = board
            kept += 1
        board.pieces.append(i)
        board.left -= 1
        board.coming[size] -= 1
        served[size] += 1
        if not board.coming[size]:
            del begun[size][board.number]
        kept -= board.left == 0
        most = max(most, kept)
    return SawList(tuple(Cut(board.stock, tuple(board.pieces)) for board in all_boards), most)

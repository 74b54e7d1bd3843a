"""Pieces cut in the order in which they are laid, as on site, from the offcuts at hand or from a new board.

Several ways are followed at a time, and after each piece those go on that have cost the least and have the most useful
offcuts: a beam search, as in P. S. Ow and T. E. Morton, Int. J. Production Research 26 (1988) 35-62 (from memory).
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from ..effort import Effort
from .job import Cut, Job, Packing

WAYS: dict[Effort, int] = {"quick": 2, "normal": 30, "thorough": 60}
"""Ways followed at a time (ours)."""
MOST: dict[Effort, int] = {"quick": 4_000, "normal": 100_000, "thorough": 1_000_000}
"""Ways taken a piece further at most, for each offcut that may be kept; of many pieces fewer ways are followed."""
AHEAD = 80
"""Pieces to come by which the use of an offcut is judged (ours)."""
SURE = 0.9
"""What an offcut is worth that just gives a piece to come, against as much of a new board (ours)."""

Step = tuple["Step", int, int] | tuple[()]
"""How a way came to be: the step before, the number of the board that a piece is cut from, and its stock."""


@dataclass(frozen=True, slots=True)
class _Way:
    """What was bought so far, the offcuts as what is left and the board's number, what is left on hand, and boards."""

    cost: int
    offcuts: tuple[tuple[int, int], ...]
    hand: tuple[int, ...]
    boards: int
    step: Step


def cut_in_order(job: Job, order: Sequence[int], limit: int, effort: Effort) -> Packing:
    """Cut all pieces, no more offcuts than the limit being kept for later ones at any time.

    Parameters
    ----------
    order : sequence of int
        Pieces, by their place in the job, in the order in which they are laid.
    """
    sizes = [job.sizes[i] for i in order]
    rate = min(job.stock[j].cost / job.stock[j].room for j in job.bought)
    wide = max(1, min(WAYS[effort], MOST[effort] // max(1, len(order))))
    ways = [_Way(0, (), tuple(job.stock[j].count or 0 for j in job.on_hand), 0, ())]
    smallest = [*sizes, 1 << 62]
    for at in range(len(sizes) - 1, -1, -1):
        smallest[at] = min(smallest[at], smallest[at + 1])
    for at, size in enumerate(sizes):
        soon = sorted(sizes[at + 1 : at + 1 + AHEAD])

        @cache
        def worth(left: int, soon: list[int] = soon) -> float:
            """What an offcut saves: the largest piece to come that it gives, and the largest from what is left then."""
            first = bisect_right(soon, left)
            if not first:
                return 0.0
            second = min(bisect_right(soon, left - soon[first - 1]), first - 1)
            return rate * SURE * (soon[first - 1] + (SURE * soon[second - 1] if second else 0.0))

        found: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[float, _Way]] = {}
        for way in ways:
            for then in _next(job, way, size):
                useful = [own for own in then.offcuts if own[0] >= smallest[at + 1]]
                while len(useful) > limit:
                    useful.remove(min(useful, key=lambda own: (worth(own[0]), own)))
                key = tuple(left for left, _ in useful), then.hand
                if key not in found or then.cost < found[key][1].cost:
                    kept = _Way(then.cost, tuple(useful), then.hand, then.boards, then.step)
                    found[key] = then.cost - sum(worth(left) for left, _ in useful), kept
        ranked = sorted(found.values(), key=lambda own: (own[0], own[1].cost, own[1].boards))
        ways = [way for _, way in ranked[:wide]]
    return _as_cut(min(ways, key=lambda way: (way.cost, way.boards)), order)


def _next(job: Job, way: _Way, size: int) -> Iterator[_Way]:
    """One piece more: from any offcut that gives it, from each length that can be bought, from each on hand."""
    tried = set()
    for place, (left, number) in enumerate(way.offcuts):
        if left >= size and left not in tried:
            tried.add(left)
            rest = [*way.offcuts[:place], *way.offcuts[place + 1 :]]
            insort(rest, (left - size, number))
            yield _Way(way.cost, tuple(rest), way.hand, way.boards, (way.step, number, -1))
    hand = {j: place for place, j in enumerate(job.on_hand)}
    for j in (*job.bought, *(j for j, place in hand.items() if way.hand[place])):
        stock = job.stock[j]
        if stock.room >= size:
            rest = list(way.offcuts)
            insort(rest, (stock.room - size, way.boards))
            left_on_hand = tuple(count - (hand.get(j) == place) for place, count in enumerate(way.hand))
            yield _Way(way.cost + stock.cost, tuple(rest), left_on_hand, way.boards + 1, (way.step, way.boards, j))


def _as_cut(way: _Way, order: Sequence[int]) -> Packing:
    """Boards with their pieces, from the last step back."""
    steps = []
    step = way.step
    while step:
        step, number, j = step
        steps.append((number, j))
    stock: dict[int, int] = {}
    pieces: dict[int, list[int]] = {}
    for i, (number, j) in zip(order, reversed(steps), strict=True):
        stock.setdefault(number, j)
        pieces.setdefault(number, []).append(i)
    return tuple(Cut(stock[number], tuple(own)) for number, own in pieces.items())

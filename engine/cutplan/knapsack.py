"""The best pattern for given values: which pieces together are worth most in one stock length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]

MOST_STATES = 400_000
"""Fillings kept at once; where there are more, the search is given up and nothing is proved."""


@dataclass(frozen=True, slots=True)
class Patterns:
    """Patterns worth more than was asked, best first: counts (p, kinds) and values (p,).

    `complete` is false if the search was given up, so that there may be better ones.
    """

    counts: Whole
    values: Whole
    complete: bool


def best_patterns(sizes: Whole, values: Whole, most: Whole, room: int, threshold: int, wanted: int) -> Patterns:
    """Patterns that fit in the room and are worth more than the threshold.

    The bounded knapsack problem, kind by kind over undominated fillings: of two that take as much room or less, the
    one that is worth more stays. S. Martello and P. Toth, Knapsack Problems (1990), sections 2.6 and 3.2 (from
    memory). Fillings that could not pass the threshold if the rest of the room were filled at the best rate left are
    dropped. Whole numbers throughout, so the best value is exact.

    Parameters
    ----------
    sizes, values, most : ndarray of int64, shape (kinds,)
        Size, value and greatest number of each kind of piece.
    room, threshold : int
        Room of the stock length, and the value to pass.
    wanted : int
        How many patterns to return at most.
    """
    kinds = np.flatnonzero((values > 0) & (sizes <= room) & (most > 0))
    kinds = kinds[np.lexsort((kinds, -values[kinds] / sizes[kinds]))]
    used, worth = np.zeros(1, np.int64), np.zeros(1, np.int64)
    steps: list[tuple[int, Whole, Whole]] = []
    for place, kind in enumerate(kinds.tolist()):
        size, value = int(sizes[kind]), int(values[kind])
        copies = min(int(most[kind]), room // size)
        parents = np.arange(len(used))
        batches = [(used, worth, parents, 0)]
        for count in range(1, copies + 1):
            fits = used + count * size <= room
            if not fits.any():
                break
            batches.append((used[fits] + count * size, worth[fits] + count * value, parents[fits], count))
        used = np.concatenate([b[0] for b in batches])
        worth = np.concatenate([b[1] for b in batches])
        parent = np.concatenate([b[2] for b in batches])
        taken = np.concatenate([np.full(len(b[0]), b[3], np.int64) for b in batches])
        keep = np.ones(len(used), dtype=bool)
        if place + 1 < len(kinds):  # a.b <= c.d in whole numbers: sizes under 2**23, values under 2**34
            after = int(kinds[place + 1])
            keep = (worth - threshold) * int(sizes[after]) + (room - used) * int(values[after]) > 0
        else:
            keep = worth > threshold
        used, worth, parent, taken = used[keep], worth[keep], parent[keep], taken[keep]
        order = np.lexsort((-worth, used))
        used, worth, parent, taken = used[order], worth[order], parent[order], taken[order]
        best = np.maximum.accumulate(worth)
        rising = np.ones(len(worth), dtype=bool)
        rising[1:] = worth[1:] > best[:-1]
        used, worth = used[rising], worth[rising]
        steps.append((kind, parent[rising], taken[rising]))
        if len(used) > MOST_STATES:
            return Patterns(np.zeros((0, len(sizes)), np.int64), np.zeros(0, np.int64), False)
        if not len(used):
            break
    if not len(kinds) or not len(used):
        return Patterns(np.zeros((0, len(sizes)), np.int64), np.zeros(0, np.int64), True)
    states = np.argsort(-worth, kind="stable")[:wanted]
    counts = np.zeros((len(states), len(sizes)), np.int64)
    at = states
    for kind, parent, taken in reversed(steps):
        counts[:, kind] = taken[at]
        at = parent[at]
    return Patterns(counts, worth[states], True)

"""The quick way to cut: longest piece first, each from the shortest offcut that still gives it.

Best-fit decreasing, as in D. S. Johnson et al., SIAM J. Comput. 3 (1974) 299-325 (from memory): never more than
11/9 of the fewest stock lengths, and four more. It is done once for every stock length that may be opened first, so
that a further length to choose from never costs more.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence
from itertools import combinations

from .job import Cut, Job, Packing, Stock, in_steps, merit, room_of

MANY_LENGTHS = 6
"""Of more stock lengths than this, pairs are not tried: the longest alone is opened where the first is too short."""


FEW = 3
"""Where fewer offcuts than this may be kept, pieces are counted as cut in the order in which they are laid (ours)."""


def boards_for(lengths: Sequence[float], stock: Sequence[float], kerf: float, kept: int) -> list[float]:
    """Stock lengths [mm] that pieces take, in the least time: what joint lines are compared by.

    Parameters
    ----------
    lengths : sequence of float
        Lengths of the pieces in the order in which they are laid [mm].
    stock : sequence of float
        Lengths that are sold [mm].
    kerf : float
        What a cut takes [mm].
    kept : int
        Offcuts that may be kept at once.

    Raises
    ------
    ValueError
        If a piece is longer than all stock.
    """
    job = job_of(lengths, stock, kerf)
    longest = len(job.stock) - 1
    by_size = kept >= FEW
    order = sorted(range(len(lengths)), key=lambda i: (-job.sizes[i], i)) if by_size else list(range(len(lengths)))
    cuts = _best_fit(job, order, longest, longest, False, None if by_size else kept)
    if cuts is None:
        raise too_long(job)
    if longest == 0:
        return [job.stock[0].length] * len(cuts)
    return [job.stock[cheapest(job, cut).stock].length for cut in cuts]


def job_of(lengths: Sequence[float], stock: Sequence[float], kerf: float) -> Job:
    """A job of pieces and stock [mm] that costs its length, the shortest stock first."""
    sold = tuple(Stock(length, room_of(length, kerf), in_steps(length)) for length in sorted(set(stock)))
    return Job(tuple(in_steps(length + kerf) for length in lengths), sold)


def too_long(job: Job) -> ValueError:
    """What is wrong where a piece fits in no stock."""
    longest = max((job.stock[j].length for j in job.bought), default=0.0)
    return ValueError(f"a piece of size {max(job.sizes)} is longer than the longest stock, {longest:g} mm")


def quick(job: Job) -> Packing:
    """Cut all pieces.

    Raises
    ------
    ValueError
        If a piece is longer than all stock that can be bought, and none on hand gives it.
    """
    if not job.sizes:
        return ()
    order = sorted(range(len(job.sizes)), key=lambda i: (-job.sizes[i], i))
    lengths = job.bought
    pairs = [(j, j) for j in lengths]
    if len(lengths) <= MANY_LENGTHS:
        pairs += list(combinations(lengths, 2))
    else:
        pairs += [(j, lengths[-1]) for j in lengths[:-1]]
    found = []
    for first, otherwise in pairs:
        for with_hand in (True, False) if job.on_hand else (False,):
            packing = _best_fit(job, order, first, otherwise, with_hand)
            if packing is not None:
                found.append(tidied(job, packing))
    if not found:
        raise too_long(job)
    return min(found, key=lambda packing: merit(job, packing))


def _best_fit(
    job: Job, order: list[int], first: int, otherwise: int, with_hand: bool, kept: int | None = None
) -> list[Cut] | None:
    """Cut pieces in the order given; where one fits in no offcut, the `first` stock length that gives it is opened.

    No more than `kept` offcuts are, the longest.
    """
    bins: list[tuple[int, list[int]]] = []
    free: list[tuple[int, int]] = []  # what is left of each open stock length, sorted
    for j in job.on_hand if with_hand else ():
        for _ in range(min(job.stock[j].count or 0, len(order))):
            insort(free, (job.stock[j].room, len(bins)))
            bins.append((j, []))
    for i in order:
        need = job.sizes[i]
        at = bisect_left(free, (need, -1))
        if at < len(free):
            left, index = free.pop(at)
            bins[index][1].append(i)
        else:
            j = first if need <= job.stock[first].room else otherwise
            left, index = job.stock[j].room, len(bins)
            if need > left:
                return None
            bins.append((j, [i]))
        if left > need:
            insort(free, (left - need, index))
            if kept is not None and len(free) > kept:
                del free[0]
    return [Cut(j, tuple(pieces)) for j, pieces in bins if pieces]


def tidied(job: Job, packing: list[Cut]) -> Packing:
    """The same pieces from the cheapest stock that gives each group, and short groups moved into offcuts of others."""
    return tuple(cheapest(job, cut) for cut in _gathered(job, packing))


def cheapest(job: Job, cut: Cut) -> Cut:
    """The same pieces from the cheapest stock that gives them; from what is on hand, if they are."""
    if job.stock[cut.stock].count is not None:
        return cut
    used = sum(job.sizes[i] for i in cut.pieces)
    fits = [j for j in job.bought if job.stock[j].room >= used]
    return Cut(min(fits, key=lambda j: (job.stock[j].cost, job.stock[j].room, j)), cut.pieces)


def _gathered(job: Job, packing: list[Cut]) -> list[Cut]:
    """Pieces moved out of the stock length with most left into what others leave, so that its offcut stays whole."""
    if len(packing) < 2:
        return packing
    groups = [list(cut.pieces) for cut in packing]
    left = [job.stock[cut.stock].room - sum(job.sizes[i] for i in cut.pieces) for cut in packing]
    most = max(range(len(packing)), key=lambda k: (left[k], -k))
    free = sorted((room, k) for k, room in enumerate(left) if k != most)
    for i in sorted(groups[most], key=lambda i: (-job.sizes[i], i)):
        at = bisect_left(free, (job.sizes[i], -1))
        if at < len(free):
            room, k = free.pop(at)
            groups[most].remove(i)
            groups[k].append(i)
            insort(free, (room - job.sizes[i], k))
    return [Cut(cut.stock, tuple(group)) for cut, group in zip(packing, groups, strict=True) if group]

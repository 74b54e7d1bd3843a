"""Pieces packed into stock: as few boards as a quick rule finds.

Each piece is cut from one stock length; between pieces a kerf is lost; what is left is the offcut that later,
shorter pieces are cut from.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence
from dataclasses import dataclass

TIGHT = 1e-6
"""Lengths nearer than this are equal [mm]."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """One stock length and the pieces cut from it, in cutting order, by their place in the list given."""

    length: float
    pieces: tuple[int, ...]
    offcut: float


def pack(lengths: Sequence[float], stock: Sequence[float], kerf: float) -> tuple[Cutting, ...]:
    """Cut pieces from stock, longest first, each from the shortest offcut that still gives it.

    Best-fit decreasing, as in D. S. Johnson et al., SIAM J. Comput. 3 (1974) 299-325 (from memory): never more
    than 11/9 of the fewest, and four more. Every stock length is then exchanged for the shortest that still does.

    Parameters
    ----------
    lengths : sequence of float
        Lengths wanted [mm].
    stock : sequence of float
        Stock lengths to be had, in any number [mm].
    kerf : float
        What a cut takes [mm].

    Raises
    ------
    ValueError
        If a piece is longer than all stock.
    """
    longest = max(stock)
    free: list[tuple[float, int]] = []  # what is left of each open stock length, sorted
    bins: list[list[int]] = []
    for i in sorted(range(len(lengths)), key=lambda i: (-lengths[i], i)):
        need = lengths[i]
        if need > longest + TIGHT:
            raise ValueError(f"a piece of {need:.1f} mm is longer than the longest stock, {longest:.1f} mm")
        at = bisect_left(free, (need - TIGHT, -1))
        if at < len(free):
            left, index = free.pop(at)
            bins[index].append(i)
        else:
            left, index = longest, len(bins)
            bins.append([i])
        insort(free, (max(0.0, left - need - kerf), index))
    return tuple(_cutting(pieces, lengths, stock, kerf) for pieces in bins)


def _cutting(pieces: list[int], lengths: Sequence[float], stock: Sequence[float], kerf: float) -> Cutting:
    used = sum(lengths[i] for i in pieces) + kerf * (len(pieces) - 1)
    length = min(size for size in stock if size >= used - TIGHT)
    return Cutting(length, tuple(pieces), max(0.0, length - used - kerf))

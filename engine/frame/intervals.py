"""Intervals along boards: joined, and looked at in order, board by board."""

from __future__ import annotations

import numpy as np

from ..layout.chords import Bools, Floats, Ints
from .ground import Span

JOINED = 0.5
"""Bearings no further than this from each other are one [mm]."""


def merged(spans: list[Span]) -> list[Span]:
    """Intervals joined where they touch."""
    out: list[Span] = []
    for low, high in sorted(spans):
        if out and low <= out[-1][1] + JOINED:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out


def in_order(board: Ints, left: Floats, right: Floats) -> tuple[Bools, Bools, Floats, Floats]:
    """Look along each board at the spans on it, which are in order.

    Returns
    -------
    tuple
        Whether a span is its board's first, whether it is the last, how far it lies from those before it (the first
        one infinitely), and how far the spans reach with it.
    """
    new = np.diff(board, prepend=-1) != 0
    ends = np.append(new[1:], True) if len(new) else new
    # The furthest so far, board by board: ranks stand in for places, so that boards do not mix and nothing is rounded.
    order = np.argsort(right, kind="stable")
    rank = np.empty(len(right), dtype=np.intp)
    rank[order] = np.arange(len(right))
    reached = right[order][np.maximum.accumulate(board * len(right) + rank) - board * len(right)]
    apart = left - np.append(-np.inf, reached[:-1])[: len(left)]
    return new, ends, np.where(new, np.inf, apart), reached

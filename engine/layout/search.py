"""The cheapest way along a run from joint line to joint line."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from ..spec import Site
from .courses import Run

MISSING_BAY = 4.0
"""What each bay too few under a piece weighs, in joints."""


def stretch(run: Run) -> float:
    """Board that a run takes in one piece, with what is trimmed off its ends."""
    return run.end - run.start + sum(run.oversail)


def cheapest_joints(
    site: Site, run: Run, lines: Sequence[int], at: Callable[[int], float], toll: Callable[[int], float], bay: float
) -> tuple[int, ...] | None:
    """Choose the lines at which a run is butted, by dynamic programming.

    Parameters
    ----------
    lines : sequence of int
        Lines to choose from, from low u to high.
    at : callable
        Where a line lies along the run [mm].
    toll : callable
        What a joint on a line weighs; 1 is a plain joint.
    bay : float
        Joist spacing, by which a piece's length is counted in bays [mm].

    Returns
    -------
    tuple of int or None
        The lines, or None if no choice of them keeps every piece within a board.
    """
    longest, half = max(site.boards.lengths), site.gaps.butt / 2
    # Each stop: where the piece before it ends, where the piece after it begins.
    stops = [(-math.inf, run.start - run.oversail[0])]
    stops += [(at(j) - half, at(j) + half) for j in lines]
    stops.append((run.end + run.oversail[1], math.inf))
    cost = [0.0] + [math.inf] * (len(stops) - 1)
    came = [0] * len(stops)
    for k in range(1, len(stops)):
        joint = toll(lines[k - 1]) if k < len(stops) - 1 else 0.0
        for i in range(k - 1, -1, -1):
            length = stops[k][0] - stops[i][1]
            if length > longest + 1e-6:
                break
            missing = max(0.0, site.pattern.min_piece_bays - length / bay - 1e-6)
            total = cost[i] + joint + MISSING_BAY * missing
            if total < cost[k] - 1e-9:
                cost[k], came[k] = total, i
    if math.isinf(cost[-1]):
        return None
    path, stop = [], came[-1]
    while stop > 0:
        path.append(lines[stop - 1])
        stop = came[stop]
    return tuple(reversed(path))

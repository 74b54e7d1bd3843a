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
    longest, half, fewest = max(site.boards.lengths) + 1e-6, site.gaps.butt / 2, site.pattern.min_piece_bays
    short, places = fewest * bay, [at(line) for line in lines]
    # Stops are the run's start, the lines and its end; a piece begins at one stop and ends at a later one.
    begins = [run.start - run.oversail[0], *(place + half for place in places)]
    ends = [*(place - half for place in places), run.end + run.oversail[1]]
    tolls = [*map(toll, lines), 0.0]
    cost, came = [0.0], [0]
    reach = 0  # the first stop from which a board still comes as far as the stop looked at
    for stop, (end, joint) in enumerate(zip(ends, tolls, strict=True), start=1):
        while reach < stop and end - begins[reach] > longest:
            reach += 1
        best, best_from = math.inf, 0
        for i in range(stop - 1, reach - 1, -1):
            total = cost[i] + joint
            length = end - begins[i]
            if length < short:
                total += MISSING_BAY * max(0.0, fewest - length / bay - 1e-6)
            if total < best - 1e-9:
                best, best_from = total, i
        cost.append(best)
        came.append(best_from)
    if math.isinf(cost[-1]):
        return None
    path, stop = [], came[-1]
    while stop > 0:
        path.append(lines[stop - 1])
        stop = came[stop]
    return tuple(reversed(path))

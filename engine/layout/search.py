"""The cheapest way along a run from joint line to joint line."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..spec import Site
from .courses import Run

MISSING_BAY = 4.0
"""What each bay too few under a piece weighs, in joints."""
SAME = 1e-9
"""Ways whose weights differ by no more weigh the same; of these the one with the shortest last piece is taken."""


def stretch(run: Run) -> float:
    """Board that a run takes in one piece, with what is trimmed off its ends."""
    return run.end - run.start + sum(run.oversail)


def cheapest_joints(
    site: Site, run: Run, lines: Sequence[int], places: Sequence[float], tolls: Sequence[float], bay: float
) -> tuple[int, ...] | None:
    """Choose the lines at which a run is butted, by dynamic programming.

    Parameters
    ----------
    lines : sequence of int
        Lines to choose from, from low u to high.
    places : sequence of float
        Where each line lies along the run [mm].
    tolls : sequence of float
        What a joint on each line weighs; 1 is a plain joint.
    bay : float
        Joist spacing, by which a piece's length is counted in bays [mm].

    Returns
    -------
    tuple of int or None
        The lines, or None if no choice of them keeps every piece within a board.
    """
    longest, half, fewest = max(site.boards.lengths) + 1e-6, site.gaps.butt / 2, site.pattern.min_piece_bays
    short = fewest * bay
    # Stops are the run's start, the lines and its end; a piece begins at one stop and ends at a later one.
    begins = [run.start - run.oversail[0], *[place + half for place in places]]
    ends = [*[place - half for place in places], run.end + run.oversail[1]]
    cost, came = [0.0], [0]
    # The stops from which a piece to the stop looked at is neither too long nor short, each cheaper than those after,
    # and what they cost; those before `head` have come to lie too far back.
    far: list[int] = []
    far_costs: list[float] = []
    head = near = 0  # near: the first stop from which a piece to the stop looked at is short
    for stop, (end, joint) in enumerate(zip(ends, [*tolls, 0.0], strict=True), start=1):
        nearest, farthest = end - short, end - longest
        while near < stop and begins[near] <= nearest:
            own = cost[near]
            while len(far) > head and far_costs[-1] >= own - SAME:
                far.pop()
                far_costs.pop()
            far.append(near)
            far_costs.append(own)
            near += 1
        while head < len(far) and begins[far[head]] < farthest:
            head += 1
        best, best_from = (far_costs[head], far[head]) if head < len(far) else (math.inf, 0)
        # A short piece weighs something of its own: it is thought of where it may come from a cheaper stop.
        if near < stop and min(cost[near:]) <= best + 2 * SAME:
            least, least_from = math.inf, 0
            for i in range(stop - 1, near - 1, -1):
                length = end - begins[i]
                missing = fewest - length / bay - 1e-6
                total = cost[i] + (MISSING_BAY * missing if missing > 0.0 else 0.0)
                if length <= longest and total < least - SAME:
                    least, least_from = total, i
            if best >= least - SAME:
                best, best_from = least, least_from
        cost.append(best + joint)
        came.append(best_from)
    if math.isinf(cost[-1]):
        return None
    return way_back(lines, came)


def way_back(lines: Sequence[int], came: Sequence[int]) -> tuple[int, ...]:
    """The lines on the way to the last stop; `came` tells of each stop the one before it, and stop 0 is the start."""
    path, stop = [], came[-1]
    while stop > 0:
        path.append(lines[stop - 1])
        stop = came[stop]
    return tuple(reversed(path))

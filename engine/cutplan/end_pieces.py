"""Which lines a run may be butted on for the sake of its end pieces: each must bear on enough bays."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..layout.chords import Bools, Floats
from ..layout.courses import Run
from ..layout.joints import square_ends


def leave_enough(runs: Sequence[Run], at: Floats, fewest: int, breadth: float) -> Bools:
    """Whether each run, in a row each, keeps end pieces on enough bays when it is butted on each line.

    The bay beside a run's end counts where the joist there lies clear of the member along the edge, which lies slanted
    under the board where the edge does. As the bearing check counts, so do we: a rule is worth any number of boards.

    Parameters
    ----------
    at : array of float
        Where all lines lie along the boards, from low u to high [mm].
    fewest : int
        Bays that a piece must bear on.
    breadth : float
        Of a joist and of the member along the edge [mm].
    """
    squared = square_ends(runs)
    slanted = np.isnan(squared).any(axis=(1, 2))
    squared[slanted] = np.array([[(run.start, run.end)] * 2 for run in runs]).reshape(-1, 2, 2)[slanted]
    width = np.array([run.top - run.bottom for run in runs])[:, None]
    seat = breadth * (1.0 + np.hypot(1.0, np.ptp(squared, axis=1) / width))
    low, high = squared[:, :, 0].max(axis=1) + seat[:, 0], squared[:, :, 1].min(axis=1) - seat[:, 1]
    inner = (low[:, None] < at) & (at < high[:, None])
    left, right = np.cumsum(inner, axis=1), np.cumsum(inner[:, ::-1], axis=1)[:, ::-1]
    serves: Bools = inner & (left >= fewest) & (right >= fewest)
    return serves

"""Lines that leave end pieces on enough bays, against bays counted by hand."""

from __future__ import annotations

import numpy as np
import pytest
from courseline.engine.cutplan.end_pieces import leave_enough
from courseline.engine.layout.courses import Run
from shapely import Polygon

AT = np.arange(50.0, 3900.0, 300.0)
"""Lines 300 mm apart: 50, 350, … 3650 mm."""


def run(lower_end: float, upper_end: float) -> Run:
    """A course of 146 mm from 0, its lower and its upper side ending apart where the edge is slanted."""
    outline = Polygon([(0, 0), (lower_end, 0), (upper_end, 146), (0, 146)])
    square = lower_end == upper_end
    return Run(1, outline, 0.0, max(lower_end, upper_end), 0.0, 146.0, square, (0.0, 0.0))


@pytest.mark.parametrize(
    ("fewest", "lower_end", "upper_end", "first", "last"),
    [
        # A rim of 47 mm lies under either end. The joist at 50 mm lies against it and makes no bay: 350 makes the first
        # bay and 650 the second. From the other end 3650 makes the first and 3350 the second.
        (2, 3900.0, 3900.0, 650.0, 3350.0),
        (1, 3900.0, 3900.0, 350.0, 3650.0),
        (3, 3900.0, 3900.0, 950.0, 3050.0),
        # The joist at 3650 mm, 23.5 mm to either side, ends where the rim begins, at 3673.5 mm: no bay.
        (2, 3720.5, 3720.5, 650.0, 3050.0),
        # Slanted by 300 mm over 146 mm, the rim lies under the upper side from 3600 - 47 x sqrt(300^2 + 146^2) / 146 =
        # 3492.6 mm on. The joist at 3350 mm lies clear of it, that at 3650 mm is beyond.
        (2, 3900.0, 3600.0, 650.0, 3050.0),
        # By 540 mm it lies there from 3380.0 mm on, less than half a joist past the joist at 3350 mm: no bay.
        (2, 4100.0, 3560.0, 650.0, 2750.0),
    ],
)
def test_end_pieces_bear_on_enough_bays(
    fewest: int, lower_end: float, upper_end: float, first: float, last: float
) -> None:
    (serves,) = leave_enough([run(lower_end, upper_end)], AT, fewest, 47.0)
    expected = (first <= AT) & (last >= AT)
    assert AT[serves].tolist() == AT[expected].tolist()

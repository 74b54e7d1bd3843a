"""What a deck takes when it is cut as it is usually cut on site: the measure of what planning saves."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..layout.courses import Run
from ..layout.search import stretch
from ..spec import Site


def boards_by_habit(site: Site, runs: Sequence[Run]) -> int:
    """Boards that runs take, course after course, when each begins with the offcut of the one before.

    Joists stand at the greatest centres from where the first course begins; every joint is cut back to the last joist
    that a board reaches. An offcut that spans fewer bays than a piece must is thrown away. Bond and stagger, which a
    plan keeps, are left to chance; common practice, no source.
    """
    longest, butt, kerf = max(site.boards.lengths), site.gaps.butt, site.pattern.kerf
    centres, least = site.frame.max_centres, site.pattern.min_piece_bays * site.frame.max_centres
    boards, offcut = 0, 0.0
    start = min((run.start for run in runs), default=0.0)
    for run in runs:
        at, end = run.start - run.oversail[0], run.start - run.oversail[0] + stretch(run)
        while end - at > 1e-6:
            if offcut < min(least, end - at):
                boards, offcut = boards + 1, longest
            if offcut >= end - at:
                offcut -= end - at + kerf
                break
            joist = start + math.floor((at + offcut + butt / 2 - start) / centres + 1e-9) * centres
            if joist - at >= least / 2:
                at = joist + butt / 2
            elif offcut == longest:  # a board that reaches no joist is butted where it ends
                at += offcut + butt
            offcut = 0.0
    return boards

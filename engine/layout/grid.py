"""The grid of joist lines: how far apart, and where the first one lies, so that full boards end on doubled joists."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ..frame.ground import Ground
from ..spec import Site
from .courses import Field, Run
from .search import stretch

MORE_BAYS = 1
"""A board is tried in so many bays more than the greatest centres ask for (ours)."""
PHASES = 3
"""Places tried for the first line of each module (ours)."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Joist lines at ``phase + j * module`` along the boards, for every whole j; `cycle` lines make a board."""

    module: float
    phase: float
    cycle: int

    def at(self, line: int) -> float:
        """Where a line lies along the boards [mm]."""
        return self.phase + line * self.module

    def lines(self, start: float, end: float, _across: float) -> dict[int, float]:
        """Lines strictly between two places, and where each lies: the same all across the boards."""
        return {line: self.at(line) for line in self.between(start, end)}

    def between(self, start: float, end: float) -> range:
        """Lines strictly between two places."""
        first = math.floor((start - self.phase) / self.module) + 1
        return range(first, math.ceil((end - self.phase) / self.module))


def grids(site: Site, field: Field, ground: Ground) -> list[Grid]:
    """The grids that `frame.centres` leaves to choose from, the plainest first.

    A bay of the module is the n-th part of board and butt gap, so the far end of a full board always lies on a line.
    Line 0, and every n-th from it, lie where many runs would end their full boards, laid from one end or the other.
    """
    centres = site.frame.centres
    long_runs = [run for run in field.runs if stretch(run) > max(site.boards.lengths)]
    if isinstance(centres, float):
        return [_spaced(site, ground, centres)]
    if centres == "even" or not long_runs:
        return [_even(site, ground)]
    board = max(site.boards.lengths) + site.gaps.butt
    fewest = math.ceil(board / site.frame.max_centres - 1e-9)
    bays = [n for n in range(fewest, fewest + MORE_BAYS + 1) if n == fewest or board / n >= 2 * ground.breadth]
    return [Grid(board / n, phase, n) for n in bays for phase in _phases(site, long_runs, board)]


def _spaced(site: Site, ground: Ground, centres: float) -> Grid:
    """Lines at given centres, from the rim at low u on."""
    cycle = max(1, math.floor((max(site.boards.lengths) + site.gaps.butt) / centres))
    return Grid(centres, ground.left + ground.breadth / 2, cycle)


def _even(site: Site, ground: Ground) -> Grid:
    """Lines from rim to rim, in even bays."""
    span = ground.right - ground.left - ground.breadth
    bays = max(1, math.ceil(span / site.frame.max_centres - 1e-9))
    return _spaced(site, ground, max(span / bays, ground.breadth))


def _phases(site: Site, runs: Sequence[Run], board: float) -> list[float]:
    """Where most runs would end their full boards, from one end or the other."""
    half = site.gaps.butt / 2
    ends = [run.start - run.oversail[0] - half for run in runs] + [run.end + run.oversail[1] + half for run in runs]
    # Counted to a tenth of a millimetre, kept to the last digit: a full board must end there.
    votes = Counter(round(end % board, 1) for end in ends)
    exact = {round(end % board, 1): end for end in reversed(ends)}
    return [exact[at] for at, _ in votes.most_common(PHASES)]

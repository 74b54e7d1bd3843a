"""Joint lines: which joists are doubled, and where each course is butted.

Every joist line of the grid may carry joints. A pattern gives each course a lane of lines that its
neighbours do not share, so the bond holds wherever a run can keep to its lane; a run takes the fewest
joints, by dynamic programming, on lines where both board ends bear.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from ..frame.ground import Ground, Span
from ..spec import Site
from .beside import doorways_over, panel_ends, settled_beside
from .courses import Field, Run
from .search import cheapest_joints, stretch

GOLDEN = (math.sqrt(5) - 1) / 2
"""Successive multiples of it, less whole parts, never crowd: a scatter without chance or repeats."""
LANES = {"half": 2, "third": 3}
SCATTER = 2
"""How many lines a scattered joint may stray from its drawn place at the cost of straying alone."""
LEAST_STAGGER = 2
"""Joints of neighbouring courses lie this many bays apart where a choice exists; common practice, no source."""
BEARING_SHARE = 0.5
"""Share of a board end's width that must lie on the doubled joist."""

# What the search weighs, in joints.
OFF_PATTERN = 0.3
"""A joint off the pattern's own line, for each line that it strays inside its lane."""
OFF_LANE = 1.5
"""A joint outside the lane: the bond is broken there."""
NEW_LINE = 0.2
"""A line that no course before has doubled."""
CUT_LINE = 0.5
"""A doubled line that an obstacle interrupts."""
CROWDED = 2.0
"""A joint nearer to one of the course before, or to one settled beside it, than the least stagger."""
DOORWAY = 2.2
"""A joint where people step out of the house: more than one off the lane, less than a crowded one that is."""


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


@dataclass(frozen=True, slots=True)
class JointedRun:
    """A run, the lines at which it is butted, and where those lie along it, from low u to high.

    On the lines in `through` its ends lie over ledger or rim; there the doubled joists must run through.
    """

    run: Run
    lines: tuple[int, ...]
    places: tuple[float, ...]
    through: tuple[int, ...] = ()


def choose_grid(site: Site, field: Field, ground: Ground) -> Grid:
    """Joist lines on which a full board ends, at no more than the greatest centres.

    A bay is the n-th part of board and butt gap, so the far end of a full board always lies on a line. Line 0, and
    every n-th from it, lie where the most runs would end their full boards, laid from one end or the other.
    """
    longest, butt = max(site.boards.lengths), site.gaps.butt
    long_runs = [run for run in field.runs if stretch(run) > longest]
    if not long_runs:
        # Rim to rim, in even bays.
        span, breadth = ground.right - ground.left - ground.breadth, ground.breadth
        bays = max(1, math.ceil(span / site.frame.max_centres - 1e-9))
        module = max(span / bays, breadth)
        return Grid(module, ground.left + breadth / 2, max(1, math.floor((longest + butt) / module)))
    cycle = math.ceil((longest + butt) / site.frame.max_centres - 1e-9)
    starts = [run.start - run.oversail[0] - butt / 2 for run in long_runs]
    ends = [run.end + run.oversail[1] + butt / 2 for run in long_runs]
    # Counted to a tenth of a millimetre, kept to the last digit: a full board must end there.
    votes = Counter(round(end % (longest + butt), 1) for end in starts + ends)
    exact = {round(end % (longest + butt), 1): end for end in reversed(starts + ends)}
    return Grid((longest + butt) / cycle, exact[votes.most_common(1)[0][0]], cycle)


def place_joints(site: Site, field: Field, grid: Grid, bearing: BearingLines, turn: int = 0) -> tuple[JointedRun, ...]:
    """Choose the joint lines of every run, the pattern turned on by a number of lines.

    A run that one board spans gets none. Where its lane has no way through, a run takes any line that the
    course before it left free: one that bears both ends if it can, else one whose doubled joists run through.
    """
    doubled: set[int] = set()
    before: set[int] = set()
    current: set[int] = set()
    course = None
    jointed = []
    ends, breadth = panel_ends(field), site.frame.section[0]
    for run in field.runs:
        if run.course != course:
            before, current, course = current, set(), run.course
        lines: tuple[int, ...] = ()
        if stretch(run) > max(site.boards.lengths):
            lines_over = [j for j in grid.between(run.start, run.end) if j not in before]
            settled = settled_beside(site, field, run)
            free = [j for j in lines_over if not _taken(grid.at(j), settled, ends, breadth)]
            sound = [j for j in free if bearing.carries(run, j)]
            index = run.course if run.course < 0 else run.course - 1
            targets = lane(site.pattern.joints, index, grid.cycle, turn)
            uncut = [j for j in free if not bearing.is_cut(j)]
            doorways = doorways_over(field, run)
            toll = _Tolls(grid, bearing, targets, frozenset(doubled), frozenset(before), settled, doorways)
            for candidates in (sound, uncut, free, lines_over):
                found = cheapest_joints(site, run, candidates, grid.at, toll, grid.module)
                if found is not None:
                    lines = found
                    break
        doubled.update(lines)
        current.update(lines)
        through = tuple(j for j in lines if not bearing.carries(run, j))
        jointed.append(JointedRun(run, lines, tuple(grid.at(j) for j in lines), through))
    return tuple(jointed)


def _taken(at: float, settled: Sequence[float], ends: Sequence[float], breadth: float) -> bool:
    """Whether a joint would be in line with a settled one, or its joists in the way of those at a panel's end."""
    in_line = any(abs(at - place) <= breadth for place in settled)
    return in_line or any(0.0 < abs(at - end) < 2 * breadth for end in ends)


def lane(pattern: str, index: int, cycle: int, turn: int = 0) -> tuple[int, int] | None:
    """Lane of a course: its own line in each cycle, and how far from it a joint may stray; None is any line."""
    if pattern == "none":
        return None
    if pattern == "scattered":
        return math.floor((index * GOLDEN) % 1.0 * cycle) + turn, SCATTER
    lanes = LANES[pattern]
    own = math.floor((index % lanes) * cycle / lanes)
    nearest = cycle // lanes
    return own + turn, max(0, (nearest - LEAST_STAGGER) // 2)


def _off_lane(line: int, targets: tuple[int, int], cycle: int) -> int:
    """How many lines a line lies outside a lane."""
    own, stray = targets
    away = abs((line - own + cycle // 2) % cycle - cycle // 2)
    return max(0, away - stray)


class BearingLines:
    """Which lines carry both ends of a joint in a run, looked up once for each."""

    def __init__(self, grid: Grid, ground: Ground) -> None:
        self._grid = grid
        self._ground = ground
        self._spans: dict[int, tuple[list[Span], list[Span]]] = {}
        self._carried: dict[tuple[Run, int], bool] = {}

    def carries(self, run: Run, line: int) -> bool:
        """Whether the doubled joist on a line would bear both ends of a joint in a run."""
        if (run, line) not in self._carried:
            self._carried[run, line] = self._look(run, line)
        return self._carried[run, line]

    def _look(self, run: Run, line: int) -> bool:
        at, half = self._grid.at(line), self._ground.breadth / 2
        if at - run.start < 4 * half or run.end - at < 4 * half:
            return False
        if line not in self._spans:
            self._spans[line] = (self._ground.spans(at - half), self._ground.spans(at + half))
        left, right = self._spans[line]
        for place, spans in ((at - half, left), (at + half, right)):
            section = cross_section(run, place)
            if section is None or not _covers(spans, section):
                return False
        return True

    def is_cut(self, line: int) -> bool:
        """Whether an obstacle interrupts the line."""
        at, reach = self._grid.at(line), self._ground.breadth
        return any(b.left - reach < at < b.right + reach for b in self._ground.blocks)


def cross_section(run: Run, at: float) -> Span | None:
    """Where a run lies across the boards at one place, if there in one part."""
    if run.whole:
        return run.bottom, run.top
    rings = [shapely.get_coordinates(ring) for ring in (run.polygon.exterior, *run.polygon.interiors)]
    starts, ends = np.vstack([r[:-1] for r in rings]), np.vstack([r[1:] for r in rings])
    meets = (starts[:, 0] < at) != (ends[:, 0] < at)
    if np.count_nonzero(meets) != 2:
        return None
    (u0, v0), (u1, v1) = starts[meets].T, ends[meets].T
    low, high = sorted(v0 + (v1 - v0) * (at - u0) / (u1 - u0))
    return float(low), float(high)


def _covers(spans: list[Span], section: Span) -> bool:
    borne = sum(max(0.0, min(high, section[1]) - max(low, section[0])) for low, high in spans)
    return borne >= BEARING_SHARE * (section[1] - section[0])


@dataclass(frozen=True, slots=True)
class _Tolls:
    """What a joint on each line weighs to a run."""

    grid: Grid
    bearing: BearingLines
    targets: tuple[int, int] | None
    doubled: frozenset[int]
    before: frozenset[int]
    settled: Sequence[float]
    doorways: Sequence[Span]

    def __call__(self, line: int) -> float:
        toll, at = 1.0, self.grid.at(line)
        if self.targets is not None:
            own, stray = self.targets
            toll += OFF_PATTERN * min(stray, _off_lane(line, (own, 0), self.grid.cycle))
            toll += OFF_LANE * (_off_lane(line, self.targets, self.grid.cycle) > 0)
        toll += NEW_LINE * (line not in self.doubled)
        toll += CUT_LINE * self.bearing.is_cut(line)
        toll += CROWDED * (
            any(abs(line - other) < LEAST_STAGGER for other in self.before)
            or any(abs(at - place) < LEAST_STAGGER * self.grid.module - 1.0 for place in self.settled)
        )
        toll += DOORWAY * any(low < at < high for low, high in self.doorways)
        return toll

"""Joint lines: which joists are doubled, and where each course is butted.

Every joist line of the grid may carry joints. A pattern gives each course a lane of lines that its
neighbours do not share, so the bond holds wherever a run can keep to its lane; a run takes the fewest
joints, by dynamic programming, on lines where both board ends bear.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from ..frame.ground import Ground, Span
from ..spec import JointPattern, Site
from .arrays import array_of
from .beside import doorways_over, panel_ends, settled_beside
from .chords import Bools, Floats, chords_of_each
from .courses import Field, Run
from .grid import Grid
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
LEAST_JOIST = 1.0
"""A shorter stretch of joist bears nothing [mm]."""
QUAD = 5
"""Coordinates of a polygon of four corners, the first of which comes again as the last."""

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
class JointedRun:
    """A run, the lines at which it is butted, and where those lie along it, from low u to high.

    On the lines in `through` its ends lie over ledger or rim; there the doubled joists must run through.
    """

    run: Run
    lines: tuple[int, ...]
    places: tuple[float, ...]
    through: tuple[int, ...] = ()


def place_joints(site: Site, field: Field, grid: Grid, bearing: BearingLines, turn: int = 0) -> tuple[JointedRun, ...]:
    """Choose the joint lines of every run, the pattern turned on by a number of lines.

    A run that one board spans gets none. Where its lane has no way through, a run takes any line that the
    course before it left free: one that bears both ends if it can, else one whose doubled joists run through.
    """
    tolls = Tolls(site.pattern.joints, grid, bearing, turn)
    before: set[int] = set()
    current: set[int] = set()
    course = None
    ways: dict[tuple[object, ...], tuple[int, ...]] = {}
    jointed = []
    for run, own in zip(field.runs, bearing.of_runs, strict=True):
        if run.course != course:
            before, current, course = current, set(), run.course
        way: tuple[int, ...] = ()
        if own is not None:
            taken = {j - bearing.lines.start for j in before}
            toll = tolls.of(run.course, before, own)
            # Runs of a plain rectangle are alike but for their course: one way serves them all.
            likeness = (run.start, run.end, run.oversail, frozenset(taken), toll.tobytes(), *own.lines_open())
            if likeness not in ways:
                ways[likeness] = any_way(site, run, own, bearing, taken, toll, grid.module)
            way = ways[likeness]
        item = jointed_at(run, bearing, own, way)
        tolls.double(item.lines)
        current.update(item.lines)
        jointed.append(item)
    return tuple(jointed)


def any_way(
    site: Site, run: Run, own: RunLines, bearing: BearingLines, before: set[int], toll: Floats, bay: float
) -> tuple[int, ...]:
    """The cheapest way along a run on lines that the course before it left free, sound ones if it can.

    Parameters
    ----------
    before : set of int
        Lines that the course before is butted on; these and the result are places in the list of lines.
    toll : array of float
        What a joint on each line weighs.
    """
    over = bearing.over(run)
    over[[i for i in before if 0 <= i < len(over)]] = False
    free = over & ~own.taken
    for candidates in (free & own.carried, free & ~bearing.cut, free, over):
        found = np.flatnonzero(candidates)
        lines = found.tolist()
        chosen = cheapest_joints(site, run, lines, bearing.at[found].tolist(), toll[found].tolist(), bay)
        if chosen is not None:
            return chosen
    return ()


def jointed_at(run: Run, bearing: BearingLines, own: RunLines | None, way: Sequence[int]) -> JointedRun:
    """A run butted on lines, which are given as places in the list of lines."""
    through = tuple(bearing.lines[i] for i in way if own is None or not own.carried[i])
    return JointedRun(run, tuple(bearing.lines[i] for i in way), tuple(float(bearing.at[i]) for i in way), through)


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


@dataclass(frozen=True, slots=True)
class RunLines:
    """What is known of the lines under one run before its joints are chosen: of each, true or not.

    Attributes
    ----------
    carried : array of bool
        Whether doubled joists would bear both ends of a joint there.
    taken : array of bool
        Whether a joint there would be in line with a settled one, or its joists in the way of a panel's.
    crowded : array of bool
        Whether a joint there is nearer to a settled one than the least stagger.
    in_doorway : array of bool
        Whether people step out of the house there.
    """

    carried: Bools
    taken: Bools
    crowded: Bools
    in_doorway: Bools

    def lines_open(self) -> tuple[bytes, bytes]:
        """On which lines it may be butted: the same for runs that are alike."""
        return self.carried.tobytes(), self.taken.tobytes()


class BearingLines:
    """What bears joints, looked up once for all turns of the pattern.

    Attributes
    ----------
    lines : range
        All lines of the grid on which a run may be butted.
    at : array of float
        Where each lies along the boards [mm].
    cut : array of bool
        Whether an obstacle interrupts it.
    of_runs : tuple of RunLines or None
        The lines under each run; None for a run that one board spans.
    """

    def __init__(self, site: Site, field: Field, grid: Grid, ground: Ground) -> None:
        low, high = min(run.start for run in field.runs), max(run.end for run in field.runs)
        self.lines = grid.between(low, high)
        self.at = at = np.array([grid.at(line) for line in self.lines])
        reach = ground.breadth
        self.cut = np.zeros(len(at), dtype=bool)
        for block in ground.blocks:
            self.cut |= (block.left - reach < at) & (at < block.right + reach)
        near_panel = _near_panels(at, panel_ends(field), ground.breadth)
        longest = max(site.boards.lengths)

        def look(run: Run, carried: Bools) -> RunLines:
            off = np.abs(at[:, None] - np.array(settled_beside(site, field, run))).min(axis=1, initial=np.inf)
            taken = (off <= ground.breadth) | near_panel
            doorway = np.zeros(len(at), dtype=bool)
            for start, end in doorways_over(field, run):
                doorway |= (start < at) & (at < end)
            crowded = off < LEAST_STAGGER * grid.module - 1.0
            return RunLines(carried, taken, crowded, doorway)

        runs = [run for run in field.runs if stretch(run) > longest]
        known = map(look, runs, _carried(runs, at, ground))
        self.of_runs = tuple(next(known) if stretch(run) > longest else None for run in field.runs)

    def over(self, run: Run) -> Bools:
        """Whether each line lies strictly between a run's ends."""
        inside: Bools = (run.start < self.at) & (self.at < run.end)
        return inside


def _near_panels(at: Floats, ends: Sequence[float], breadth: float) -> Bools:
    """Whether joists doubled at each place would be in the way of those at the end of a lift-out panel."""
    off = np.abs(at[:, None] - np.array(ends))
    near: Bools = ((off > 0.0) & (off < 2 * breadth)).any(axis=1)
    return near


def _carried(runs: Sequence[Run], at: Floats, ground: Ground) -> Bools:
    """Whether each run, in a row each, can be butted at each place, on joists to its left and right.

    No line that lies nearer to a run's ends than the pair of joists is broad serves.
    """
    half = ground.breadth / 2
    clear = 4 * half
    start, end = np.array([(run.start, run.end) for run in runs]).reshape(-1, 2).T[:, :, None]
    serves: Bools = (at - start >= clear) & (end - at >= clear)
    for shift in (-half, half):
        found = ground.chords(at + shift)
        bottom, top = cross_sections(runs, at + shift)
        borne = np.minimum(found.high, top[:, found.place]) - np.maximum(found.low, bottom[:, found.place])
        borne = np.where(found.length > LEAST_JOIST, borne.clip(0.0), 0.0)
        cell = np.arange(len(runs))[:, None] * len(at) + found.place
        share = np.bincount(cell.ravel(), borne.ravel(), serves.size).reshape(serves.shape)
        serves &= share >= BEARING_SHARE * (top - bottom)  # nowhere, where the section is none
    return serves


def cross_sections(runs: Sequence[Run], places: Floats) -> tuple[Floats, Floats]:
    """Bottom and top of each run, in a row each, at each place; not a number where it has several parts, or none."""
    sides = np.array([(run.bottom, run.top) if run.whole else (np.nan, np.nan) for run in runs]).reshape(-1, 2)
    bottom, top = np.repeat(sides.T[:, :, None], len(places), axis=2)
    slanted = np.array([i for i, run in enumerate(runs) if not run.whole], dtype=np.intp)
    if not len(slanted):
        return bottom, top
    squared = square_ends([runs[i] for i in slanted])
    full = (squared[:, :, :1].max(axis=1) < places) & (places < squared[:, :, 1:].min(axis=1))
    number, place = np.nonzero(full)
    own = np.array([(runs[i].bottom, runs[i].top) for i in slanted])
    bottom[slanted[number], place], top[slanted[number], place] = own[number].T
    ends = np.array([(runs[i].start, runs[i].end) for i in slanted])[:, :, None]
    owner, place = np.nonzero(~full & (ends[:, 0] <= places) & (places <= ends[:, 1]))
    found = chords_of_each([runs[i].polygon for i in slanted], places[place], owner)
    single = np.bincount(found.place, minlength=len(owner))[found.place] == 1
    at = found.place[single]
    bottom[slanted[owner[at]], place[at]], top[slanted[owner[at]], place[at]] = found.low[single], found.high[single]
    return bottom, top


def square_ends(runs: Sequence[Run]) -> Floats:
    """Where the lower and the upper side of each run begin and end: (n, 2, 2), a side in each row.

    That is so of runs with four corners, cut at their ends alone: not a number for every other.
    """
    polygons = array_of(run.polygon for run in runs)
    plain = (shapely.get_num_coordinates(polygons) == QUAD) & (shapely.get_num_interior_rings(polygons) == 0)
    width = np.array([(run.bottom, run.top) for run in runs]).reshape(-1, 2)[plain]
    corners = shapely.get_coordinates(polygons[plain]).reshape(-1, QUAD, 2)[:, :-1]
    lower, upper = corners[:, :, 1] == width[:, :1], corners[:, :, 1] == width[:, 1:]
    plain[plain] = quad = (lower.sum(axis=1) == 2) & (upper.sum(axis=1) == 2)
    found = np.full((len(runs), 2, 2), np.nan)
    found[plain] = np.stack([corners[quad][side[quad]][:, 0].reshape(-1, 2) for side in (lower, upper)], axis=1)
    found.sort(axis=2)
    return found


def cross_section(run: Run, at: float) -> Span | None:
    """Where a run lies across the boards at one place, if there in one part."""
    if run.whole:
        return run.bottom, run.top
    bottom, top = (float(side[0, 0]) for side in cross_sections([run], np.array([at])))
    return None if math.isnan(bottom) else (bottom, top)


class Tolls:
    """What a joint on each line weighs, to one run after another."""

    def __init__(self, pattern: JointPattern, grid: Grid, bearing: BearingLines, turn: int) -> None:
        self._pattern, self._grid, self._turn = pattern, grid, turn
        self._lines = np.array(bearing.lines)
        self._first = bearing.lines.start
        self._cut = CUT_LINE * bearing.cut
        self._new = np.full(len(self._lines), NEW_LINE)
        self._off_pattern: dict[tuple[int, int] | None, Floats] = {}

    def of(self, course: int, before: set[int], own: RunLines) -> Floats:
        """What weighs each line under a run of a course, whose neighbour before it is butted on some lines."""
        targets = lane(self._pattern, course if course < 0 else course - 1, self._grid.cycle, self._turn)
        if targets not in self._off_pattern:
            self._off_pattern[targets] = self._weigh(targets)
        crowded = own.crowded.copy()
        for line in before:
            at = line - self._first
            crowded[max(0, at - LEAST_STAGGER + 1) : max(0, at + LEAST_STAGGER)] = True
        weights: Floats = self._off_pattern[targets] + self._new + self._cut
        weights += CROWDED * crowded + DOORWAY * own.in_doorway
        return weights

    def double(self, lines: Iterable[int]) -> None:
        """Lines that are doubled from now on."""
        for line in lines:
            self._new[line - self._first] = 0.0

    def _weigh(self, targets: tuple[int, int] | None) -> Floats:
        """A plain joint on each line, and what it weighs more outside the pattern."""
        plain = np.ones(len(self._lines))
        if targets is None:
            return plain
        own, stray = targets
        cycle = self._grid.cycle
        away = np.abs((self._lines - own + cycle // 2) % cycle - cycle // 2)
        weights: Floats = plain + OFF_PATTERN * np.minimum(away, stray) + OFF_LANE * (away > stray)
        return weights

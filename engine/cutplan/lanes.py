"""Joint lines chosen together with the cutting: which lines of the grid are doubled, and for which courses.

Where joints lie decides how much is wasted; how well the pieces are packed afterwards hardly does. So lines are tried
by the order that they lead to.

Terminology
-----------
lane  the joint lines of every second course (every third in thirds). A line belongs to one lane or to none, and lines
      of different lanes lie a stagger apart, so the bond holds whatever each run makes of its lane.
pool  the offcuts of the boards cut so far, from which later pieces may come.
"""

from __future__ import annotations

import math
import random
from bisect import bisect_left, insort
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np

from ..effort import Effort
from ..frame.ground import Ground
from ..layout.courses import Field, Run
from ..layout.grid import Grid
from ..layout.joints import LANES, LEAST_STAGGER, BearingLines, JointedRun, Tolls, any_way, jointed_at
from ..layout.search import stretch, way_back
from ..spec import Site
from .costs import board_price
from .doubles import doubled_length
from .quick import boards_for
from .turns import turned_for_the_saw

SEEDS: dict[Effort, range] = {"quick": range(0), "normal": range(1, 2), "thorough": range(1, 13)}
"""Of the trying, which begins anew with each; the same seeds give the same lines on every machine."""
TRIES = 1_500
"""Lanes tried with one seed on a deck of few runs."""
RUN_TRIES = 60_000
"""Runs butted in the trying with one seed on a deck of many: what less than 10 s are enough for (ours, measured)."""
SAMPLE = 100
"""Runs that lanes are first tried on where there are many (ours)."""
TOGETHER = 4
"""Runs of such a sample that lie next to each other (ours)."""
SALVAGE = 0.85
"""What a millimetre of offcut is worth, against one of board, while lines are tried (ours; 0.7 to 0.95 do as well)."""
SCRAP = 0.18
"""An offcut shorter than this share of a board is worth nothing then (ours)."""
JOINT = 0.05
"""What the work of a joint weighs, in boards (ours): near nothing would breed joints."""
IN_DOORWAY = 0.15
"""What a joint where people step out of the house weighs more, in boards (ours)."""
SHORT = 3.0
"""What each bay too few under a piece weighs, in boards (ours)."""
CROWDED = 0.5
"""What a joint nearer than the least stagger to one beside it weighs, in boards (ours)."""
STRAY = 0.3
"""What a run that finds no way through its lane weighs, in boards (ours)."""
HEAT = 0.2
"""Lines that cost so many boards more are still tried on from at first, and fewer and fewer later (ours)."""
WITH_CYCLE = 0.3
"""How often a line is changed together with those that lie whole boards from it (ours)."""
WIDEST = 4
"""Lines of one lane next to each other that are tried to begin with (ours)."""
NONE = -1
"""In place of a lane: the line is butted by no course."""


@dataclass(frozen=True, slots=True)
class _Long:
    """A run that needs joints, and the lines that it may be butted on, as places in the list of lines."""

    place: int
    course: int
    lane: int
    start: float
    end: float
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Way:
    """Lines of every run, as places in the list of lines, and what they weigh in boards."""

    lines: dict[int, tuple[int, ...]]
    weight: float


def joints_for_the_saw(
    site: Site, field: Field, grid: Grid, ground: Ground, effort: Effort = "quick"
) -> tuple[JointedRun, ...]:
    """Joint lines of every run, chosen against boards, doubled joists and joints, the bond being kept.

    Parameters
    ----------
    effort : {"quick", "normal", "thorough"}
        Quick turns the pattern to where boards go furthest; the others go on from there, and never end worse.
    """
    turned = turned_for_the_saw(site, field, grid, ground)
    if not SEEDS[effort] or site.pattern.joints not in LANES or not any(item.lines for item in turned):
        return turned
    search = _Search(site, field, grid, ground)
    known = {place: tuple(j - search.first for j in item.lines) for place, item in enumerate(turned) if item.lines}
    ways = [search.improved(known, seed) for seed in SEEDS[effort]]
    best = min((way for way in ways if way is not None), key=lambda way: way.weight, default=None)
    if best is None:
        return turned
    return tuple(
        jointed_at(run, search.bearing, own, best.lines.get(place, ()))
        for place, (run, own) in enumerate(zip(field.runs, search.bearing.of_runs, strict=True))
    )


class _Search:
    """Lanes tried one after another on one field."""

    def __init__(self, site: Site, field: Field, grid: Grid, ground: Ground) -> None:
        self.site, self.field, self.grid = site, field, grid
        self.bearing = BearingLines(site, field, grid, ground)
        self.first = self.bearing.lines.start
        self.lanes = LANES[site.pattern.joints]
        self.at = self.bearing.at.tolist()
        self.half = site.gaps.butt / 2
        self.longest = max(site.boards.lengths)
        self.stock = sorted(site.boards.lengths)
        self.kerf = site.pattern.kerf
        self.single = [stretch(run) for run in field.runs if stretch(run) <= self.longest]
        self.long = [
            _Long(
                place,
                run.course,
                (run.course if run.course < 0 else run.course - 1) % self.lanes,
                run.start - run.oversail[0],
                run.end + run.oversail[1],
                tuple(np.flatnonzero(self.bearing.over(run) & own.carried & ~own.taken).tolist()),
            )
            for place, (run, own) in enumerate(zip(field.runs, self.bearing.of_runs, strict=True))
            if own is not None
        ]
        self.tolls = Tolls("none", grid, self.bearing, 0)
        self.spans = ground.spans(self.at)
        price = float(board_price(site, self.longest))
        self.double = (site.prices.timber_metre or 0.0) / 1000 / max(price, 1e-9)
        """What a millimetre of doubled joist costs, in boards."""

    def improved(self, known: dict[int, tuple[int, ...]], seed: int) -> _Way | None:
        """The best way found, if it weighs less than the one known.

        On a deck of many runs lanes are first tried on a part of them, where a try takes a part of the time.
        """
        chance = random.Random(seed)
        lanes, weight = self._lanes_of(known), self._weight(known)
        left = RUN_TRIES
        if len(self.long) > 2 * SAMPLE:
            left //= 2
            few = self._sample()
            begin = min([lanes, *self._bonds()], key=lambda own: few._through(own).weight)
            begin, _ = few._annealed(begin, left // SAMPLE, chance)
            lanes = min([lanes, begin], key=lambda own: self._through(own).weight)
        _, best = self._annealed(lanes, min(TRIES, max(1, left // len(self.long))), chance)
        return best if best.weight < weight - 1e-9 else None

    def _bonds(self) -> list[list[int]]:
        """Lanes that have many lines each and go on from board to board: so many lines of one, then of the next."""
        cycle = self.grid.cycle
        found = []
        for wide in range(1, WIDEST + 1):
            own = [NONE] * cycle
            for number, first in enumerate(range(0, cycle, wide + LEAST_STAGGER - 1)):
                for at in range(first, min(first + wide, cycle)):
                    near = [(own[(at + off) % cycle]) for off in range(1 - LEAST_STAGGER, LEAST_STAGGER)]
                    if all(lane in (NONE, number % self.lanes) for lane in near):
                        own[at] = number % self.lanes
            found += [[own[(line + turn) % cycle] for line in range(len(self.at))] for turn in range(cycle)]
        return found

    def _sample(self) -> _Search:
        """The same search over a part of the runs, neighbours with neighbours."""
        step = len(self.long) // SAMPLE
        few = copy(self)
        few.long = [run for i, run in enumerate(self.long) if i // TOGETHER % step == 0]
        share = len(few.long) / len(self.long)
        few.single = self.single[::step]
        few.double = self.double * share
        return few

    def _annealed(self, lanes: list[int], tries: int, chance: random.Random) -> tuple[list[int], _Way]:
        """The best lanes found, and the way through them: simulated annealing from the lanes given."""
        now = self._through(lanes)
        best, best_lanes = now, lanes
        for number in range(tries):
            changed = self._changed(lanes, chance)
            if changed is None:
                continue
            then = self._through(changed)
            heat = HEAT * (1 - number / tries) + 1e-3
            if then.weight <= now.weight or chance.random() < math.exp((now.weight - then.weight) / heat):
                lanes, now = changed, then
                if now.weight < best.weight - 1e-9:
                    best, best_lanes = now, lanes
        return best_lanes, best

    def _lanes_of(self, known: dict[int, tuple[int, ...]]) -> list[int]:
        """The lane by whose courses each line is butted most."""
        votes = np.zeros((len(self.at), self.lanes))
        for run in self.long:
            votes[list(known.get(run.place, ())), run.lane] += 1
        lanes: list[int] = np.where(votes.any(axis=1), votes.argmax(axis=1), NONE).tolist()
        return lanes

    def _changed(self, lanes: list[int], chance: random.Random) -> list[int] | None:
        """Lanes with one line given to another lane, or exchanged with one near it; none where the bond would break.

        Now and then the same is done a board further on and further back, as far as there are lines: what serves one
        full board serves the next.
        """
        changed = lanes.copy()
        line = chance.randrange(len(lanes))
        lane = chance.choice([lane for lane in range(NONE, self.lanes) if lane != lanes[line]])
        step = chance.choice((0, 0, -3, -2, -1, 1, 2, 3))
        cycle = self.grid.cycle if chance.random() < WITH_CYCLE else len(lanes)
        touched = []
        if chance.random() < 0.5:
            step = 0
        elif step == 0:
            return None
        for here in range(line % cycle, len(lanes), cycle):
            other = here + step
            if not step:
                changed[here] = lane
            elif 0 <= other < len(lanes):
                changed[here], changed[other] = lanes[other], lanes[here]
                touched.append(other)
            touched.append(here)
        if changed == lanes:
            return None
        for here in touched:
            near = changed[max(0, here - LEAST_STAGGER + 1) : here + LEAST_STAGGER]
            if changed[here] != NONE and any(lane not in (NONE, changed[here]) for lane in near):
                return None
        return changed

    def _through(self, lanes: list[int]) -> _Way:
        """Every run butted on lines of its lane, course by course, each piece priced against the pool."""
        pool: list[float] = []
        lines: dict[int, tuple[int, ...]] = {}
        before: set[int] = set()
        current: set[int] = set()
        course = None
        strays = 0
        for run in self.long:
            if run.course != course:
                before, current, course = current, set(), run.course
            own = [line for line in run.lines if lanes[line] == run.lane and line not in before]
            way = self._cheapest(run, own, pool)
            if way is None:
                strays += 1
                way = self._stray(run, before)
            for length in self._lengths(run, way):
                self._take(length, pool)
            lines[run.place] = way
            current.update(way)
        return _Way(lines, self._weight(lines) + STRAY * strays)

    def _stray(self, run: _Long, before: set[int]) -> tuple[int, ...]:
        """A way for a run off its lane."""
        own = self.bearing.of_runs[run.place]
        assert own is not None  # it is long
        toll = self.tolls.of(run.course, {line + self.first for line in before}, own)
        return any_way(self.site, self.field.runs[run.place], own, self.bearing, before, toll, self.grid.module)

    def _cheapest(self, run: _Long, lines: Sequence[int], pool: list[float]) -> tuple[int, ...] | None:
        """The way along a run that takes least of boards and pool, by dynamic programming; None if there is none."""
        begins, ends = self._stops(run, lines)
        own = self.bearing.of_runs[run.place]
        assert own is not None
        tolls = [JOINT + IN_DOORWAY * bool(own.in_doorway[line]) + CROWDED * bool(own.crowded[line]) for line in lines]
        tolls.append(0.0)
        cost, came = [0.0], [0]
        for stop, (end, toll) in enumerate(zip(ends, tolls, strict=True), start=1):
            best, best_from = math.inf, 0
            for i in range(stop - 1, -1, -1):
                length = end - begins[i]
                if length > self.longest + 1e-6:
                    break
                if cost[i] < best:
                    total = cost[i] + toll + self._source(length, pool)[0] + self._shortness(length)
                    if total < best:
                        best, best_from = total, i
            cost.append(best)
            came.append(best_from)
        if math.isinf(cost[-1]):
            return None
        return way_back(lines, came)

    def _shortness(self, length: float) -> float:
        bays, least = length / self.grid.module, self.site.pattern.min_piece_bays
        return SHORT * (least - bays) if bays < least - 1e-6 else 0.0

    def _worth(self, offcut: float) -> float:
        """What an offcut may still save, in boards."""
        return SALVAGE * offcut / self.longest if offcut >= SCRAP * self.longest else 0.0

    def _source(self, length: float, pool: list[float]) -> tuple[float, int | None]:
        """What a piece takes [boards], and the place in the pool of the offcut that it comes from, or a new board."""
        fresh = self._stock_for(length)
        price = fresh / self.longest - self._worth(fresh - length - self.kerf)
        at = bisect_left(pool, length)
        if at < len(pool):
            lost = self._worth(pool[at]) - self._worth(pool[at] - length - self.kerf)
            if lost < price:
                return lost, at
        return price, None

    def _take(self, length: float, pool: list[float]) -> None:
        """Cut a piece from what is cheaper, and put back what is left."""
        _, at = self._source(length, pool)
        left = (self._stock_for(length) if at is None else pool.pop(at)) - length - self.kerf
        if left > 0.0:
            insort(pool, left)

    def _stock_for(self, length: float) -> float:
        return self.stock[min(bisect_left(self.stock, length), len(self.stock) - 1)]

    def _lengths(self, run: _Long, way: Sequence[int]) -> list[float]:
        """Lengths of the pieces of a run butted on some lines."""
        return [end - begin for begin, end in zip(*self._stops(run, way), strict=True)]

    def _stops(self, run: _Long, lines: Sequence[int]) -> tuple[list[float], list[float]]:
        """Where pieces of a run begin, at its start and past each line, and where they end."""
        begins = [run.start, *(self.at[line] + self.half for line in lines)]
        return begins, [*(self.at[line] - self.half for line in lines), run.end]

    def _weight(self, lines: dict[int, tuple[int, ...]]) -> float:
        """What ways along all runs cost, in boards: boards bought, doubled joists, and joints where they lie."""
        lengths = self.single.copy()
        butted: list[tuple[int, Run]] = []
        weight = 0.0
        beside: dict[int, set[int]] = {}
        for run in self.long:
            way, own, laid = lines.get(run.place, ()), self.bearing.of_runs[run.place], self.field.runs[run.place]
            assert own is not None
            lengths += [min(length, self.longest) for length in self._lengths(run, way)]
            before = beside.get(run.course - 1 or -1, set())
            beside.setdefault(run.course, set()).update(way)
            for line in way:
                crowded = own.crowded[line] or any(abs(line - other) < LEAST_STAGGER for other in before)
                weight += JOINT + IN_DOORWAY * bool(own.in_doorway[line]) + CROWDED * bool(crowded)
            butted += [(line, laid) for line in way]
            weight += sum(map(self._shortness, self._lengths(run, way)))
        bought = sum(boards_for(lengths, self.stock, self.kerf, self.site.pattern.kept_offcuts)) / self.longest
        return weight + bought + self.double * doubled_length(self.spans, butted)

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
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np

from ..frame.ground import Ground
from ..layout.courses import Field
from ..layout.grid import Grid
from ..layout.joints import LANES, LEAST_STAGGER, BearingLines, Tolls, any_way
from ..layout.search import stretch, way_back
from ..spec import Site
from .costs import board_price
from .end_pieces import leave_enough
from .job import cost_of
from .limited import within_limit
from .pool import SALVAGES, TOO_FEW, Pool, shortness
from .quick import boards_for, job_of, quick

TRIES = 1_500
"""Lanes tried, at most, before the trying begins anew."""
SAMPLE = 100
"""Runs that lanes are first tried on where there are many (ours)."""
ON_SAMPLE = 0.7
"""Of the work on such a deck, how much goes into the sample (ours)."""
TOGETHER = 4
"""Runs of such a sample that lie next to each other (ours)."""
JOINT = 0.05
"""What the work of a joint weighs, in boards (ours): near nothing would breed joints."""
IN_DOORWAY = 0.15
"""What a joint where people step out of the house weighs more, in boards (ours)."""
CROWDED = 0.5
"""What a joint nearer than the least stagger to one beside it weighs, in boards (ours)."""
STRAY = 0.3
"""What a run that finds no way through its lane weighs, in boards (ours)."""
ATTEMPTS = 200
"""To change the lanes so that the bond holds (ours): two in three break it."""
HEAT = 0.2
"""Lines that cost so many boards more are still tried on from at first, and fewer and fewer later (ours)."""
WITH_CYCLE = 0.3
"""How often a line is changed together with those that lie whole boards from it (ours)."""
BEST = 6
"""Ways kept of each trying: the best may ask for more offcuts than may be kept (ours)."""
WIDEST = 4
"""Lines of one lane next to each other that are tried to begin with (ours)."""
NONE = -1
"""In place of a lane: the line is butted by no course."""


@dataclass(frozen=True, slots=True)
class Long:
    """A run that needs joints, and the lines that it may be butted on, as places in the list of lines."""

    place: int
    course: int
    lane: int
    start: float
    end: float
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """Lines of every run, as places in the list of lines, the lane of each line, and what the way weighs in boards."""

    lines: dict[int, tuple[int, ...]]
    lanes: tuple[int, ...]
    weight: float


class Search:
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
        self.serves = leave_enough(field.runs, self.bearing.at, site.pattern.min_piece_bays, ground.breadth)
        self.long = [
            Long(
                place,
                run.course,
                (run.course if run.course < 0 else run.course - 1) % self.lanes,
                run.start - run.oversail[0],
                run.end + run.oversail[1],
                tuple(np.flatnonzero(self.bearing.over(run) & own.carried & ~own.taken & self.serves[place]).tolist()),
            )
            for place, (run, own) in enumerate(zip(field.runs, self.bearing.of_runs, strict=True))
            if own is not None
        ]
        self.tolls = Tolls("none", grid, self.bearing, 0)
        self.spans = ground.spans(self.at)
        self.fewest = site.pattern.min_piece_bays
        self.salvage = SALVAGES[0]
        self._short = (self.fewest - 1e-6) * grid.module
        self._begin, self._end = ([at + side * self.half for at in self.at] for side in (1, -1))
        self._joint_tolls = {run.place: self._tolled(run) for run in self.long}
        self._doubled: dict[tuple[int, int], tuple[tuple[int, float, float], ...]] = {}
        price = float(board_price(site, self.longest))
        self.double = (site.prices.timber_metre or 0.0) / 1000 / max(price, 1e-9)
        """What a millimetre of doubled joist costs, in boards."""

    def _tolled(self, run: Long) -> list[float]:
        """What a joint of a run weighs on each of all lines, in boards."""
        own = self.bearing.of_runs[run.place]
        assert own is not None  # it is long
        tolls = JOINT + IN_DOORWAY * own.in_doorway + CROWDED * own.crowded + TOO_FEW * ~self.serves[run.place]
        found: list[float] = tolls.tolist()
        return found

    @property
    def many(self) -> bool:
        """Whether lanes are first tried on a part of the runs."""
        return len(self.long) > 2 * SAMPLE

    def laid(self, known: dict[int, tuple[int, ...]]) -> Way:
        """A way that is known, and the lanes that it makes."""
        return Way(known, tuple(self._lanes_of(known)), self.weight(known))

    def improved(self, begin: Way, seed: int, runs: int) -> list[Way]:
        """The best ways found from one that is known, the best first.

        On a deck of many runs lanes are first tried on a part of them, where a try takes a part of the time.

        Parameters
        ----------
        seed : int
            Of the trying; the same seed gives the same way on every machine.
        runs : int
            Runs butted at most.
        """
        chance = random.Random(seed)
        lanes = list(begin.lanes)
        self.salvage = SALVAGES[0]
        if self.many:
            few = self._sample()
            first = min([lanes, *self._bonds()], key=lambda own: few._through(own).weight)
            first = list(few._annealed(first, int(ON_SAMPLE * runs) // SAMPLE, chance)[0].lanes)
            runs -= int(ON_SAMPLE * runs)
            lanes = min([lanes, first], key=lambda own: self._through(own).weight)
            self.salvage = min(SALVAGES, key=lambda own: self._at(own)._through(lanes).weight)
        return self._annealed(lanes, min(TRIES, max(1, runs // len(self.long))), chance)

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

    def _at(self, salvage: float) -> Search:
        """The same search with another worth of offcuts."""
        other = copy(self)
        other.salvage = salvage
        return other

    def _sample(self) -> Search:
        """The same search over a part of the runs, neighbours with neighbours."""
        step = len(self.long) // SAMPLE
        few = copy(self)
        few.long = [run for i, run in enumerate(self.long) if i // TOGETHER % step == 0]
        share = len(few.long) / len(self.long)
        few.single = self.single[::step]
        few.double = self.double * share
        return few

    def _annealed(self, lanes: list[int], tries: int, chance: random.Random) -> list[Way]:
        """The best ways found, the best first: simulated annealing from the lanes given."""
        now = self._through(lanes)
        best = [now]
        for number in range(tries):
            changed = next(filter(None, (self._changed(lanes, chance) for _ in range(ATTEMPTS))), None)
            if changed is None:
                break
            heat = HEAT * (1 - number / tries) + 1e-3
            bar = now.weight - heat * math.log(1.0 - chance.random())
            then = self._through(changed, bar)
            if then.weight <= bar:
                lanes, now = changed, then
                if all(abs(now.weight - other.weight) > 1e-9 for other in best):
                    best = sorted([*best, now], key=lambda way: way.weight)[:BEST]
        return best

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

    def _through(self, lanes: list[int], bar: float = math.inf) -> Way:
        """Every run butted on lines of its lane, course by course, each piece priced against the pool.

        One that weighs more than `bar` may be said to weigh without limit.
        """
        pool = Pool(self.stock, self.kerf, self.site.pattern.kept_offcuts, self.grid.module, self.fewest, self.salvage)
        lines: dict[int, tuple[int, ...]] = {}
        pieces: list[list[float]] = []
        before: set[int] = set()
        current: set[int] = set()
        course = None
        strays = 0
        for run in self.long:
            if run.course != course:
                before, current, course = current, set(), run.course
            own = [line for line in run.lines if lanes[line] == run.lane and line not in before]
            tolls = self._joint_tolls[run.place]
            found = pool.cheapest(*self.stops(run, own), [*(tolls[line] for line in own), 0.0])
            if found is None:
                strays += 1
                way = self._stray(run, before)
            else:
                way = way_back(own, found[1])
            own_pieces = self.lengths(run, way)
            for length in own_pieces:
                pool.take(length)
            pieces.append(own_pieces)
            lines[run.place] = way
            current.update(way)
        return Way(lines, tuple(lanes), self._weighed(lines, pieces, bar) + STRAY * strays)

    def _stray(self, run: Long, before: set[int]) -> tuple[int, ...]:
        """A way for a run off its lane."""
        own = self.bearing.of_runs[run.place]
        assert own is not None  # it is long
        toll = self.tolls.of(run.course, {line + self.first for line in before}, own)
        return any_way(self.site, self.field.runs[run.place], own, self.bearing, before, toll, self.grid.module)

    def joint_tolls(self, run: Long, lines: Sequence[int]) -> list[float]:
        """What a joint of a run on each line weighs, in boards."""
        return [self._joint_tolls[run.place][line] for line in lines]

    def shortness(self, length: float) -> float:
        """What a piece weighs, in boards, for being short."""
        return shortness(length, self.grid.module, self.fewest) if length < self._short else 0.0

    def lengths(self, run: Long, way: Sequence[int]) -> list[float]:
        """Lengths of the pieces of a run butted on some lines."""
        return [end - begin for begin, end in zip(*self.stops(run, way), strict=True)]

    def stops(self, run: Long, lines: Sequence[int]) -> tuple[list[float], list[float]]:
        """Where pieces of a run begin, at its start and past each line, and where they end."""
        begins = [run.start, *(self._begin[line] for line in lines)]
        return begins, [*(self._end[line] for line in lines), run.end]

    def more_in_limit(self, way: Way) -> float:
        """Boards that a way takes more where no more offcuts are kept than the site allows."""
        places = {run.place: run for run in self.long}
        lengths: list[float] = []
        for place, laid in enumerate(self.field.runs):
            run = places.get(place)
            own = [stretch(laid)] if run is None else self.lengths(run, way.lines.get(place, ()))
            lengths += [min(length, self.longest) for length in own]
        job = job_of(lengths, self.stock, self.kerf)
        packing = quick(job)
        listed = within_limit(job, packing, range(len(lengths)), self.site.pattern.kept_offcuts, "quick")
        return (cost_of(job, listed.cuts) - cost_of(job, packing)) / job.stock[-1].cost

    def weight(self, lines: dict[int, tuple[int, ...]]) -> float:
        """What ways along all runs cost, in boards: boards bought, doubled joists, and joints where they lie."""
        return self._weighed(lines, [self.lengths(run, lines.get(run.place, ())) for run in self.long])

    def _weighed(
        self, lines: dict[int, tuple[int, ...]], pieces: Sequence[list[float]], bar: float = math.inf
    ) -> float:
        """The same, given the pieces of each run; without limit, if it is soon clear that it is more than `bar`."""
        lengths = self.single.copy()
        weight = 0.0
        beside: dict[int, set[int]] = {}
        doubled: set[tuple[int, float, float]] = set()
        for run, own in zip(self.long, pieces, strict=True):
            way, tolls = lines.get(run.place, ()), self._joint_tolls[run.place]
            if max(own) > self.longest:
                own = [min(length, self.longest) for length in own]
            lengths += own
            weight += sum(map(self.shortness, own)) if min(own) < self._short else 0.0
            before = beside.get(run.course - 1 or -1, ())
            beside.setdefault(run.course, set()).update(way)
            for line in way:
                weight += tolls[line]
                doubled.update(self._under(run.place, line))
                if tolls[line] < CROWDED and any(abs(line - other) < LEAST_STAGGER for other in before):
                    weight += CROWDED
        weight += self.double * sum(high - low for _, low, high in sorted(doubled))
        if weight + sum(lengths) / self.longest > bar:
            return math.inf
        return weight + sum(boards_for(lengths, self.stock, self.kerf, self.site.pattern.kept_offcuts)) / self.longest

    def _under(self, place: int, line: int) -> tuple[tuple[int, float, float], ...]:
        """The stretches of joist that are doubled where a run is butted on a line."""
        key = place, line
        if key not in self._doubled:
            run = self.field.runs[place]
            spans = self.spans[line]
            self._doubled[key] = tuple((line, low, high) for low, high in spans if low < run.top and high > run.bottom)
        return self._doubled[key]

"""Lines, ways along all runs and the cutting chosen as one: a mixed-integer programme.

Each run is a flow from its start to its end over the lines that it may be butted on, each piece takes an arc, and
patterns of stock give the pieces; a line that is used is doubled. Patterns are generated as in `columns.py`; runs that
are alike share one flow.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from .columns import NOUGHT, UNIT
from .job import in_steps, room_of
from .knapsack import best_patterns
from .solver import Model

ROUNDS = 150
"""Times that patterns are generated, at most (ours)."""
AT_ONCE = 20
"""Patterns added for one stock length at a time (ours)."""


@dataclass(frozen=True, slots=True)
class Arc:
    """A piece that a run may be laid with: from stop to stop, its length [mm], and what it and its joint weigh.

    Stop 0 is the run's start, the last one its end; `toll` is in boards.
    """

    start: int
    end: int
    length: float
    toll: float


@dataclass(frozen=True, slots=True)
class Course:
    """A run: all pieces that it may be laid with, and the line of each stop between its ends, by its place."""

    arcs: tuple[Arc, ...]
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A line: what doubling it weighs, in boards, and whether it is doubled already."""

    toll: float
    doubled: bool = False


@dataclass(frozen=True, slots=True)
class Task:
    """What is to be laid: runs, lines, pairs of lines that exclude each other, further pieces and the stock [mm]."""

    courses: tuple[Course, ...]
    lines: tuple[Line, ...]
    apart: tuple[tuple[int, int], ...]
    single: tuple[float, ...]
    stock: tuple[float, ...]
    kerf: float

    @property
    def size(self) -> int:
        """How many arcs there are, of runs that are alike once."""
        return sum(len(course.arcs) for course in set(self.courses))


def shares(task: Task, seconds: float) -> list[float] | None:
    """How far each line is doubled if all may be taken in part: the likely lines are those doubled most."""
    programme = _Programme(task)
    deadline = time.thread_time() + seconds
    if not programme.generate(deadline):
        return None
    model = programme.model(whole=False)
    if not model.solve(deadline - time.thread_time()):
        return None
    return programme.of_lines(model.values().tolist())


def ways_through(task: Task, nodes: int, seconds: float) -> list[tuple[int, ...]] | None:
    """The stops of each run between its ends; None where none were found.

    Parameters
    ----------
    nodes : int
        Nodes of the search, at most: what ends it, on every machine alike.
    seconds : float
        Guard for a machine many times slower than ours.
    """
    programme = _Programme(task)
    deadline = time.thread_time() + seconds
    if not programme.generate(deadline):
        return None
    model = programme.model(whole=True)
    if not model.solve(deadline - time.thread_time(), nodes):
        return None
    return programme.ways([round(value) for value in model.values().tolist()])


class _Programme:
    """Columns: arcs, lines, patterns. Rows: each length is cut as often as it is laid, and each run goes on from every
    stop that it comes to, over lines that are doubled.
    """  # noqa: D205

    def __init__(self, task: Task) -> None:
        self.task = task
        self.rooms = [room_of(length, task.kerf) for length in task.stock]
        self.costs = [length / max(task.stock) for length in task.stock]
        self.groups: dict[Course, list[int]] = {}
        for place, course in enumerate(task.courses):
            self.groups.setdefault(course, []).append(place)
        fixed: dict[int, int] = {}
        for length in task.single:
            size = in_steps(length + task.kerf)
            fixed[size] = fixed.get(size, 0) + 1
        most = fixed.copy()
        for course, places in self.groups.items():
            for arc in course.arcs:
                size = in_steps(arc.length + task.kerf)
                most[size] = most.get(size, 0) + len(places)
        self.sizes = np.array(sorted(most, reverse=True), np.int64)
        self.row = {size: k for k, size in enumerate(self.sizes.tolist())}
        self.most = np.array([most[size] for size in self.row], np.int64)
        self.lower = [float(fixed.get(size, 0)) for size in self.row]
        self.upper = [math.inf] * len(self.row)
        self.columns: list[tuple[float, list[int], list[float]]] = []
        line_rows: list[list[tuple[int, float]]] = [[] for _ in task.lines]
        for course, places in self.groups.items():
            self._add_run(course, float(len(places)), line_rows)
        for one, other in task.apart:
            for line in (one, other):
                line_rows[line].append((len(self.lower), 1.0))
            self.lower.append(-math.inf)
            self.upper.append(1.0)
        self.arcs = len(self.columns)
        for own, under in zip(task.lines, line_rows, strict=True):
            self.columns.append((own.toll, [row for row, _ in under], [value for _, value in under]))
        self.patterns: dict[tuple[int, tuple[int, ...]], None] = {}

    def _add_run(self, course: Course, count: float, line_rows: list[list[tuple[int, float]]]) -> None:
        """Rows and columns of runs that are alike: what comes to a stop goes on, if its line is doubled."""
        base = len(self.lower)
        self.lower += [count, *[0.0] * len(course.lines)]
        self.upper += [count, *[0.0] * len(course.lines)]
        link = len(self.lower)
        self.lower += [0.0] * len(course.lines)
        self.upper += [math.inf] * len(course.lines)
        for stop, line in enumerate(course.lines):
            line_rows[line].append((link + stop, count))
        for arc in course.arcs:
            rows = [self.row[in_steps(arc.length + self.task.kerf)], base + arc.start]
            values = [-1.0, -1.0 if arc.start else 1.0]
            if arc.end <= len(course.lines):
                rows += [base + arc.end, link + arc.end - 1]
                values += [1.0, -1.0]
            self.columns.append((arc.toll, rows, values))

    def generate(self, deadline: float) -> bool:
        """Generate patterns until none improves; false if the pieces do not fit or time is over."""
        model = self.model(whole=False)
        for k, size in enumerate(self.sizes.tolist()):
            fits = [j for j, room in enumerate(self.rooms) if room >= size]
            if not fits:
                return False
            counts = [0] * len(self.sizes)
            counts[k] = min(self.rooms[fits[0]] // size, int(self.most[k]))
            self._add(model, fits[0], tuple(counts))
        for _ in range(ROUNDS):
            if time.thread_time() > deadline or not model.solve(deadline - time.thread_time()):
                return False
            values = np.floor(np.maximum(model.duals()[: len(self.sizes)], 0.0) * UNIT).astype(np.int64)
            new = 0
            for j, (room, cost) in enumerate(zip(self.rooms, self.costs, strict=True)):
                most, limit = np.minimum(self.most, room // self.sizes), int(cost * UNIT) + NOUGHT
                found = best_patterns(self.sizes, values, most, room, limit, AT_ONCE)
                new += sum(self._add(model, j, tuple(counts)) for counts in found.counts.tolist())
            if not new:
                break
        return True

    def model(self, whole: bool) -> Model:
        """The programme with the patterns known so far."""
        model = Model(self.lower, self.upper)
        for toll, rows, values in self.columns:
            model.add_column(toll, np.array(rows, np.int32), np.array(values), whole=whole)
        for place, line in enumerate(self.task.lines):
            model.between(self.arcs + place, float(line.doubled), 1.0)
        for j, counts in self.patterns:
            model.add_column(*self._entries(j, counts), whole=whole)
        return model

    def of_lines(self, values: Sequence[float]) -> list[float]:
        """Values of the lines, of those of all columns."""
        return list(values[self.arcs : self.arcs + len(self.task.lines)])

    def ways(self, values: Sequence[int]) -> list[tuple[int, ...]]:
        """Flows of whole runs, of the values of all columns, taken apart into one way for each run."""
        found: list[tuple[int, ...]] = [()] * len(self.task.courses)
        at = 0
        for course, places in self.groups.items():
            left = dict(zip(course.arcs, values[at : at + len(course.arcs)], strict=True))
            at += len(course.arcs)
            last = len(course.lines) + 1
            ways: dict[tuple[int, ...], int] = {}
            for _ in places:
                stops = [0]
                while stops[-1] != last:
                    arc = next(arc for arc in course.arcs if arc.start == stops[-1] and left[arc] > 0)
                    left[arc] -= 1
                    stops.append(arc.end)
                one = tuple(stops[1:-1])
                ways[one] = ways.get(one, 0) + 1
            # Each way evenly among the runs, so that pieces of one board are laid near each other.
            spread = [((k + 0.5) / count, way) for way, count in ways.items() for k in range(count)]
            for place, (_, way) in zip(places, sorted(spread), strict=True):
                found[place] = way
        return found

    def _add(self, model: Model, j: int, counts: tuple[int, ...]) -> bool:
        if (j, counts) in self.patterns:
            return False
        self.patterns[j, counts] = None
        model.add_column(*self._entries(j, counts))
        return True

    def _entries(self, j: int, counts: tuple[int, ...]) -> tuple[float, npt.NDArray[np.int32], npt.NDArray[np.float64]]:
        rows = [k for k, count in enumerate(counts) if count]
        return self.costs[j], np.array(rows, np.int32), np.array([float(counts[k]) for k in rows])

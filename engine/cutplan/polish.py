"""Ways that are better than those found: lines and ways chosen as one from among the likely lines.

Where runs are alike, as on a rectangle or an L, the likely lines are looked for among all; where nearly every run has
a length of its own, those of the best ways are all that the time allows. Without HiGHS nothing is done.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..effort import Effort
from ..layout.joints import LEAST_STAGGER
from .doubles import doubled_length
from .lane_search import Long, Search, Way
from .programme import Arc, Course, Line, Task, shares, ways_through
from .solver import library


@dataclass(frozen=True, slots=True)
class Reach:
    """How far an effort goes.

    Pieces to choose from where all lines are open, and where those of a way are; lines taken for likely; nodes of the
    search; ways made better; and seconds that only a much slower machine reaches.
    """

    all_lines: int
    own_lines: int
    likely: int
    nodes: int
    ways: int
    seconds: float


REACH: dict[Effort, Reach] = {
    "normal": Reach(all_lines=1_200, own_lines=200, likely=24, nodes=40, ways=2, seconds=20.0),
    "thorough": Reach(all_lines=4_000, own_lines=2_000, likely=24, nodes=2_000, ways=4, seconds=120.0),
}
"""Some 2 s and a minute a zone at the most (ours)."""


def polished(search: Search, ways: Sequence[Way], effort: Effort) -> list[Way]:
    """The ways that are made from those given, the best of which come first, and weigh less than the best."""
    if library() is None or effort not in REACH:
        return []
    reach, best = REACH[effort], ways[0]
    asked = []
    unlike = {(run.lane, run.start, run.end, run.lines) for run in search.long}
    if sum(len(lines) for _, _, _, lines in unlike) <= reach.all_lines:  # a piece or more for each line
        every = _task(search, best, {run.place: run.lines for run in search.long})
        if every.task.size <= reach.all_lines:
            asked.append(_likely(search, best, every, reach))
    for way in {way.lanes: way for way in reversed(ways[: reach.ways])}.values():
        asked.append(_task(search, way, _of_lanes(search, way.lanes)))
    made = [_made(search, one, reach) for one in asked]
    return [way for way in made if way is not None and way.weight < best.weight - 1e-9]


@dataclass(frozen=True, slots=True)
class _Asked:
    """A task, the way that it starts from, the runs that it may change with the lines open to each, and its lines.

    A line is named by its lane and its place.
    """

    task: Task
    way: Way
    opened: Mapping[int, Sequence[int]]
    keys: tuple[tuple[int, int], ...]


def _made(search: Search, asked: _Asked, reach: Reach) -> Way | None:
    """The way that a task leads to, if it is not too large."""
    if not asked.opened or asked.task.size > reach.own_lines:
        return None
    found = ways_through(asked.task, reach.nodes, reach.seconds)
    if found is None:
        return None
    lines = dict(asked.way.lines)
    for (place, own), stops in zip(asked.opened.items(), found, strict=True):
        lines[place] = tuple(own[stop - 1] for stop in stops)
    return Way(lines, asked.way.lanes, search.weight(lines))


def _likely(search: Search, best: Way, every: _Asked, reach: Reach) -> _Asked:
    """The same task with the lines of the best way, and of the others those that are doubled most if in part."""
    found = shares(every.task, reach.seconds) or []
    order = sorted(range(len(found)), key=lambda k: (-found[k], k))
    taken = {every.keys[k] for k in order[: reach.likely] if found[k] > 1e-6}
    own = _of_lanes(search, best.lanes)
    lines = {
        run.place: tuple(line for line in run.lines if line in own[run.place] or (run.lane, line) in taken)
        for run in search.long
    }
    return _task(search, best, lines)


def _of_lanes(search: Search, lanes: Sequence[int]) -> dict[int, tuple[int, ...]]:
    """Lines of each run that are of its lane."""
    return {run.place: tuple(line for line in run.lines if lanes[line] == run.lane) for run in search.long}


def _task(search: Search, way: Way, lines: Mapping[int, Sequence[int]]) -> _Asked:
    """The lines open to each run as a programme.

    A run that strays from its lane stays as it is, and so do runs of the courses beside it.
    """
    strays = {
        run.course for run in search.long if any(way.lanes[line] != run.lane for line in way.lines.get(run.place, ()))
    }
    settled = {course + step for course in strays for step in (-2, -1, 0, 1, 2)}  # there is no course 0
    free = [run for run in search.long if run.course not in settled]
    used: dict[tuple[int, int], list[Long]] = {
        (run.lane, line): []
        for run in search.long
        if run.course in settled - strays
        for line in way.lines.get(run.place, ())
    }
    by_key: dict[tuple[int, int], list[Long]] = {(run.lane, line): [] for run in free for line in lines[run.place]}
    by_key |= used
    keys = tuple(sorted(by_key))
    for run in free:
        for line in lines[run.place]:
            by_key[run.lane, line].append(run)
    doubled = [_line(search, key[1], by_key[key], key in used) for key in keys]
    number = {key: k for k, key in enumerate(keys)}
    apart = [
        (number[one], number[other])
        for one in keys
        for other in keys
        if one[0] < other[0] and abs(one[1] - other[1]) < LEAST_STAGGER and not (one in used and other in used)
    ]
    courses = [
        Course(_arcs(search, run, lines[run.place]), tuple(number[run.lane, line] for line in lines[run.place]))
        for run in free
    ]
    single = search.single.copy()
    for run in search.long:
        if run.course in settled:
            own = way.lines.get(run.place, ())
            single += [min(length, search.longest) for length in search.lengths(run, own)]
    task = Task(tuple(courses), tuple(doubled), tuple(apart), tuple(single), tuple(search.stock), search.kerf)
    return _Asked(task, way, {run.place: lines[run.place] for run in free}, keys)


def _line(search: Search, line: int, runs: Sequence[Long], doubled: bool) -> Line:
    under = [(line, search.field.runs[run.place]) for run in runs]
    return Line(search.double * doubled_length(search.spans, under), doubled)


def _arcs(search: Search, run: Long, lines: Sequence[int]) -> tuple[Arc, ...]:
    """All pieces between two stops of a run that a board gives."""
    begins, ends = search.stops(run, lines)
    tolls = [*search.joint_tolls(run, lines), 0.0]
    return tuple(
        Arc(i, stop, round(end - begins[i], 3), toll + search.shortness(end - begins[i]))
        for stop, (end, toll) in enumerate(zip(ends, tolls, strict=True), start=1)
        for i in range(stop)
        if 0.0 < end - begins[i] <= search.longest + 1e-6
    )

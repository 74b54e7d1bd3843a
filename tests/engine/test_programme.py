"""Lines, ways along all runs and the cutting chosen as one: against all ways tried, by hand, and in a plan."""

from __future__ import annotations

import itertools
import random

import pytest
from courseline.engine import design
from courseline.engine.cutplan import polish
from courseline.engine.cutplan.programme import Arc, Course, Line, Task, shares, ways_through
from courseline.engine.cutplan.quick import quick
from jobs import job_of
from test_lanes import boards, rectangle_of

pytest.importorskip("highspy")

STOCK, KERF, GAP, TOLL = 3660.0, 4.0, 10.0, 0.05


def course_of(length: float, lines: list[float], numbers: list[int]) -> Course:
    begins = [0.0, *(at + GAP / 2 for at in lines)]
    ends = [*(at - GAP / 2 for at in lines), length]
    arcs = tuple(
        Arc(i, stop, end - begins[i], TOLL * (stop < len(ends)))
        for stop, end in enumerate(ends, start=1)
        for i in range(stop)
        if end - begins[i] <= STOCK
    )
    return Course(arcs, tuple(numbers))


def task_of(courses: list[Course], lines: list[Line], apart: list[tuple[int, int]] | None = None) -> Task:
    return Task(tuple(courses), tuple(lines), tuple(apart or ()), (), (STOCK,), KERF)


def lengths_of(course: Course, stops: tuple[int, ...]) -> list[float]:
    by_ends = {(arc.start, arc.end): arc.length for arc in course.arcs}
    return [by_ends[pair] for pair in itertools.pairwise((0, *stops, len(course.lines) + 1))]


def ways(course: Course) -> list[tuple[int, ...]]:
    """All ways along a run."""
    known = {(arc.start, arc.end) for arc in course.arcs}
    last = len(course.lines) + 1
    return [
        stops
        for count in range(last)
        for stops in itertools.combinations(range(1, last), count)
        if all(pair in known for pair in itertools.pairwise((0, *stops, last)))
    ]


def weight(task: Task, chosen: tuple[tuple[int, ...], ...]) -> float:
    pairs = list(zip(task.courses, chosen, strict=True))
    lengths = [length for course, stops in pairs for length in lengths_of(course, stops)]
    used = {course.lines[stop - 1] for course, stops in pairs for stop in stops}
    if any(one in used and other in used for one, other in task.apart):
        return float("inf")
    boards = len(quick(job_of(lengths, [STOCK], KERF, costs=[1])))
    return boards + TOLL * sum(map(len, chosen)) + sum(task.lines[line].toll for line in used)


@pytest.mark.parametrize("number", range(8))
def test_no_choice_of_lines_and_ways_weighs_less_than_the_one_found(number: int) -> None:
    """All ways of all runs are tried; of what patterns at hand may not spare, three joints more at the most."""
    chance = random.Random(number)
    at = sorted(chance.sample(range(700, 5600, 330), 4))
    lengths = [chance.choice([5200.0, 5600.0, 6000.0, 6400.0]) for _ in range(3)]
    courses = [
        course_of(length, [a for a in at if a < length - 400], [k for k, a in enumerate(at) if a < length - 400])
        for length in lengths
    ]
    courses = [course for course in courses if ways(course)]
    task = task_of(courses, [Line(chance.choice([0.1, 0.6])) for _ in at])
    found = ways_through(task, 500, 60.0)
    assert found is not None
    least = min(weight(task, chosen) for chosen in itertools.product(*map(ways, courses)))
    assert least - 1e-9 <= weight(task, tuple(found)) <= least + 3 * TOLL + 1e-9


def test_alike_runs_share_a_flow_and_each_gets_a_way() -> None:
    # Six courses of 5490 + 10: in halves and wholes, three boards for two courses.
    course = course_of(5500.0, [1832.0, 3665.0], [0, 1])
    task = task_of([course] * 6, [Line(0.0), Line(0.0)])
    assert task.size == len(course.arcs)
    found = ways_through(task, 500, 60.0)
    assert found is not None
    assert len(found) == 6
    assert weight(task, tuple(found)) == pytest.approx(9 + 6 * TOLL, abs=1.0 + 1e-9)


def test_lines_too_near_each_other_are_not_both_doubled() -> None:
    # Either line would do for either course; one of them only.
    one, other = course_of(5000.0, [1500.0, 3400.0], [0, 1]), course_of(5300.0, [1500.0, 3400.0], [0, 1])
    found = ways_through(task_of([one, other], [Line(0.0), Line(0.0)], [(0, 1)]), 500, 60.0)
    assert found is not None
    assert len({stop for stops in found for stop in stops}) == 1


def test_a_dear_line_is_left_alone_and_one_that_is_doubled_anyway_is_used() -> None:
    course = course_of(5000.0, [1500.0, 3400.0], [0, 1])
    for dear in (0, 1):
        lines = [Line(5.0 * (line == dear)) for line in (0, 1)]
        assert ways_through(task_of([course] * 2, lines), 500, 60.0) == [(2 - dear,)] * 2
        parts = shares(task_of([course] * 2, lines), 60.0)
        assert parts is not None
        assert parts[dear] == pytest.approx(0.0)


def test_pieces_that_no_board_gives_are_told() -> None:
    assert ways_through(Task((), (), (), (4000.0,), (STOCK,), KERF), 500, 60.0) is None


@pytest.mark.slow
def test_with_the_solver_courses_that_are_alike_take_no_more_than_without(monkeypatch: pytest.MonkeyPatch) -> None:
    site = rectangle_of(12, 8_600.0)
    with_solver = boards(design(site, "normal"))
    monkeypatch.setattr(polish, "library", lambda: None)
    assert with_solver <= boards(design(site, "normal"))

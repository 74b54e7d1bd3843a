"""Joint lines chosen with the cutting in mind: what it saves, and that the bond is kept."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from benchmarks.course_lists import TARGETS, least_and_unplanned
from benchmarks.course_lists import course_list as benchmark_list
from checker import check_plan
from courseline.engine import design, plan_json, read_site
from courseline.engine.cutplan.habit import boards_by_habit
from courseline.engine.layout.courses import Run
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site
from courseline.engine.takeoff import payable, total_price
from generated_sites import generated_site
from shapely import box
from shares import shares

SCENES = sorted(Path(__file__).parents[2].joinpath("demo_scenes").glob("*.toml"))
PITCH = 151.0
"""A board of 146 mm with a gap of 5 mm."""


def course_list(outline: list[tuple[float, float]], **pattern: Any) -> Site:
    """Courses of boards of 3660 mm, butted with 10 mm, cut with 4 mm, over joists at no more than 350 mm."""
    return site_from_table(
        {
            "schema": 1,
            "name": "course list",
            "deck": {"outline": outline},
            "boards": {"product": "broad-146", "lengths": [3660.0]},
            "gaps": {"butt": 10.0, "course": 5.0},
            "pattern": {"kerf": 4.0, **pattern},
            "frame": {"max_centres": 350.0},
        }
    )


def rectangle_of(courses: int, length: float, **pattern: Any) -> Site:
    depth = courses * PITCH - 5.0
    return course_list([(0.0, 0.0), (length, 0.0), (length, depth), (0.0, depth)], **pattern)


def boards(plan: Plan) -> int:
    return sum(line.order for line in plan.takeoff if line.unit == "board")


def doubled(plan: Plan) -> float:
    return sum(member.length for member in plan.members if member.role == "double")


def lines_doubled(plan: Plan) -> int:
    return len({round(joint.at[0], 1) for joint in plan.joints})


@pytest.mark.slow
def test_28_courses_of_10_m_take_the_boards_that_none_can_do_with_less_of() -> None:
    # 28 x (10000 - 2 x 10) mm of board is 76.3 boards of 3660 mm, so 77 is proved; an independent trial on the same
    # courses found 77 on 5 doubled lines.
    plan = design(rectangle_of(28, 10_000.0), "normal")
    assert boards(plan) == plan.bounds[0].joints_bound == 77
    assert lines_doubled(plan) <= 5


@pytest.mark.slow
@pytest.mark.parametrize(("name", "timber", "most", "lines"), [("b", None, 110, 7), ("c", 1.0, 124, 11)])
def test_an_l_and_an_angled_edge_take_no_more_than_in_the_trial(
    name: str, timber: float | None, most: int, lines: int
) -> None:
    # The same trial: an L round a corner on 110 boards and 7 lines, an angled edge on 124 and 11. It counted boards, so
    # timber is cheap along the angled edge.
    plan = design(benchmark_list(name, timber), "normal")
    assert least_and_unplanned(plan) == TARGETS[name][:2]
    assert boards(plan) <= most
    assert lines_doubled(plan) <= lines
    assert all(check.ok for check in plan.checks)


@pytest.mark.parametrize(
    ("lengths", "taken"), [([10_000.0] * 28, 84), ([12_000.0] * 20 + [5_000.0] * 32, 113)], ids=["rectangle", "L"]
)
def test_cutting_by_habit_takes_what_the_trial_says(lengths: list[float], taken: int) -> None:
    # The same trial: the offcut starts the next course, joists at 350 mm: 84 and 113 boards.
    runs = [
        Run(k + 1, box(0, k * PITCH, end, k * PITCH + 146), 0.0, end, k * PITCH, k * PITCH + 146, True, (0, 0))
        for k, end in enumerate(lengths)
    ]
    assert boards_by_habit(rectangle_of(len(lengths), 10_000.0), runs) == taken


def test_cutting_by_habit_by_hand() -> None:
    # Boards of 3660 mm on joists at 350 mm. Course 1, 5000 mm: a board reaches the joist at 3500 mm, then 1490 mm of a
    # second one; 2166 mm are left. Course 2, 5000 mm: they reach the joist at 2100 mm, then 2890 mm of a third.
    site = rectangle_of(2, 5_000.0)
    runs = [Run(k, box(0, 0, 5_000, 146), 0.0, 5_000.0, 0.0, 146.0, True, (0.0, 0.0)) for k in (1, 2)]
    assert boards_by_habit(site, runs[:1]) == 2
    assert boards_by_habit(site, runs) == 3


@pytest.mark.slow
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_searching_makes_no_scene_dearer_and_breaks_no_rule(scene: Path) -> None:
    site = read_site(scene)
    quick, normal = design(site), design(site, "normal")
    assert total_price(normal.takeoff) < total_price(quick.takeoff)
    assert check_plan(json.loads(plan_json(normal))) == []
    broken, before = ({check.id for check in plan.checks if not check.ok} for plan in (normal, quick))
    assert broken <= before
    (saving,) = (check for check in normal.checks if check.id == "site habit")
    assert saving.value < saving.limit
    assert f"saves {saving.limit - saving.value:.0f} board" in saving.message


@pytest.mark.parametrize("pattern", ["half", "third"])
@pytest.mark.parametrize("number", shares(6, fast=0, tested=2))
def test_plans_searched_for_on_generated_sites_keep_every_rule(number: int, pattern: str) -> None:
    table = generated_site(number)
    table["pattern"] = {**table.get("pattern", {}), "joints": pattern}
    assert check_plan(json.loads(plan_json(design(site_from_table(table), "normal")))) == []


@pytest.mark.slow
def test_the_same_search_gives_the_same_plan() -> None:
    site = rectangle_of(6, 9_300.0)
    assert plan_json(design(site, "normal")) == plan_json(design(site, "normal"))


def by_habit(length: float, courses: int, least: float) -> list[tuple[int, int]]:
    """Boards and doubled lines of ways to lay a rectangle by rule of thumb that keep the bond, all offcuts thrown away.

    Full boards from alternate ends; and full boards, every second course begun with half a board. Common practice, no
    source.
    """
    board, joint = 3660.0, 10.0
    full = [k * (board + joint) - joint / 2 for k in range(1, int((length + joint) / (board + joint) - 1e-9) + 1)]
    half = [(k + 0.5) * (board + joint) - joint / 2 for k in range(int(length / (board + joint) + 0.5 - 1e-9) + 1)]
    found = []
    for odd, even in ((full, [length - at for at in full]), (full, [at for at in half if at < length])):
        ends = [[0.0, *sorted(lines), length] for lines in (odd, even)]
        apart = min((abs(a - b) for a in odd for b in even), default=math.inf)
        pieces = [b - a for own in ends for a, b in pairwise(own)]
        if apart >= least and min(pieces) >= least:
            boards = sum(len(own) - 1 for own in ends) * courses // 2
            found.append((boards, len({round(at, 1) for at in (*odd, *even)})))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("length", [4_600.0, 5_500.0, 6_300.0, 8_200.0, 9_300.0, 10_000.0])
def test_no_rule_of_thumb_that_keeps_the_bond_is_cheaper(length: float) -> None:
    courses, site = 10, rectangle_of(10, length)
    habits = by_habit(length, courses, 2 * 350.0)
    assert habits
    depth = courses * PITCH / 1000
    board, metre = site.prices.board, site.prices.timber_metre
    assert board is not None and metre is not None
    plan = design(site, "normal")
    ours = boards(plan) * board + doubled(plan) / 1000 * metre
    assert ours <= min(count * board + lines * depth * metre for count, lines in habits) + 1e-6


@pytest.mark.parametrize("number", shares(12, fast=1, tested=2))
def test_what_is_searched_for_ends_no_worse_than_what_is_found_at_once(number: int) -> None:
    site = site_from_table(generated_site(number))
    quick, normal = (
        (sum(not check.ok for check in plan.checks), payable(plan.takeoff, site.prices))
        for plan in (design(site), design(site, "normal"))
    )
    assert normal <= quick


@pytest.mark.slow
@pytest.mark.parametrize("dear", ["boards", "timber"])
def test_lines_follow_what_is_dear(dear: str) -> None:
    """Where timber costs nothing against boards, no plan that spares timber takes fewer boards, and the other way."""
    site = course_list([(0, 0), (9_700, 0), (6_100, 20 * PITCH - 5), (0, 20 * PITCH - 5)])
    cheap_timber = design(replace(site, prices=replace(site.prices, timber_metre=0.01)), "normal")
    dear_timber = design(replace(site, prices=replace(site.prices, timber_metre=500.0)), "normal")
    if dear == "boards":
        assert boards(cheap_timber) <= boards(dear_timber)
    else:
        assert doubled(dear_timber) <= doubled(cheap_timber)

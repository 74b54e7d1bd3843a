"""Where joints are kept from: doorways, and joints of the next zone (common practice, no source)."""

from __future__ import annotations

import json
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import plan_json
from courseline.engine.layout.doorways import doorways
from courseline.engine.plan import Plan
from rectangles import BOARD, WALL_DEPTH, orders, rectangle, rectangle_site

LENGTH = 9500


def house(*openings: dict[str, Any], length: float = LENGTH) -> dict[str, Any]:
    """A house behind the deck's long edge, which is its wall 2: from its right end to its left."""
    walls = [[0, -3000], [length, -3000], [length, 0], [0, 0]]
    return {"walls": walls, "openings": list(openings)}


def opening(left: float, width: float, kind: str, length: float = LENGTH) -> dict[str, Any]:
    return {"wall": 2, "offset": length - left - width, "width": width, "height": 2100, "kind": kind}


def in_front(plan: Plan, left: float, width: float) -> list[tuple[float, float]]:
    return [joint.at for joint in plan.joints if left < joint.at[0] < left + width and joint.at[1] < 1000]


@pytest.mark.parametrize("kind", ["door", "sliding", "folding"])
@pytest.mark.parametrize("left", [800, 2200, 3600, 5100, 7300])
def test_no_joint_lies_in_front_of_a_door(left: float, kind: str) -> None:
    plan = rectangle(LENGTH, 2000, at_wall=True, house=house(opening(left, 900, kind)))
    assert plan.joints
    assert in_front(plan, left, 900) == []


def test_door_changes_the_joints_before_it_and_a_window_does_not() -> None:
    plain = rectangle(LENGTH, 2000, at_wall=True, house=house())
    place = plain.joints[0].at[0]
    left = place - 450
    assert in_front(plain, left, 900)
    window = rectangle(LENGTH, 2000, at_wall=True, house=house(opening(left, 900, "window")))
    assert window.joints == plain.joints
    door = rectangle(LENGTH, 2000, at_wall=True, house=house(opening(left, 900, "door")))
    assert in_front(door, left, 900) == []


def test_doors_that_no_turn_of_the_pattern_avoids_move_joints_out_of_it() -> None:
    # Joints of a half pattern lie 2 m apart from course to course; these doors meet some wherever it begins.
    lefts = (300, 2700, 5000, 7300)

    def before(kind: str) -> int:
        house_ = house(*(opening(left, 900, kind) for left in lefts))
        plan = rectangle(LENGTH, 2000, at_wall=True, house=house_)
        return sum(len(in_front(plan, left, 900)) for left in lefts)

    assert before("window") > 0
    assert before("door") == 0


def test_run_that_one_board_spans_gets_no_joint_for_a_door() -> None:
    doored = house(opening(1500, 1000, "door", BOARD), length=BOARD)
    assert rectangle(BOARD, WALL_DEPTH, at_wall=True, house=doored).joints == ()


@pytest.mark.parametrize("left", [800, 2200, 3600, 5100, 7300])
def test_doorway_costs_no_more_boards(left: float) -> None:
    plain = rectangle(LENGTH, 2000, at_wall=True, house=house())
    doored = rectangle(LENGTH, 2000, at_wall=True, house=house(opening(left, 900, "door")))
    assert orders(doored)["board-4000"] <= orders(plain)["board-4000"]


def test_joint_stays_in_a_doorway_that_leaves_no_choice() -> None:
    # The doors are as wide as the deck but for a step at each end, where no piece would reach from joist to joist.
    doors = house(opening(400, LENGTH - 800, "folding"))
    plan = rectangle(LENGTH, 2000, at_wall=True, house=doors)
    assert in_front(plan, 400, LENGTH - 800)
    assert all(check.ok for check in plan.checks if check.id in ("stagger", "joist centres"))
    assert not any(check.id.startswith("short piece") for check in plan.checks)


@pytest.mark.parametrize("turned", [False, True])
def test_doorway_is_as_wide_as_the_door_and_a_metre_deep(turned: bool) -> None:
    walls = house()["walls"]
    door = {"wall": 2, "offset": 1000, "width": 900, "height": 2100, "kind": "door"}
    if turned:  # the same ring the other way round: its wall 0 runs from the left end to the right one
        walls, door = walls[::-1], door | {"wall": 0, "offset": LENGTH - 1900}
    site = rectangle_site(LENGTH, 2000, at_wall=True, house={"walls": walls, "openings": [door]})
    (strip,) = doorways(site)
    assert strip.bounds == pytest.approx((LENGTH - 1900, 0, LENGTH - 1000, 1000))


def faults(plan: Plan) -> list[str]:
    return [str(fault) for fault in check_plan(json.loads(plan_json(plan)))]


def side_by_side(seam: float, **pattern: Any) -> Plan:
    """A deck of two zones laid the same way, which meet along the boards at `seam`."""
    outline = [[0, seam], [LENGTH, seam], [LENGTH, 2 * seam], [0, 2 * seam]]
    zone = {"name": "upper", "outline": outline, "start_edge": 0}
    return rectangle(LENGTH, 2 * seam, zones=[zone], pattern=pattern)


@pytest.mark.slow
@pytest.mark.parametrize("joints", ["half", "third", "scattered", "none"])
@pytest.mark.parametrize("seam", [722.5, 867.5])
def test_courses_beside_a_seam_are_not_butted_in_line(seam: float, joints: str) -> None:
    plan = side_by_side(seam, joints=joints)
    lower = [j.at[0] for j in plan.joints if j.zone == "A" and seam - j.at[1] < 145]
    upper = [j.at[0] for j in plan.joints if j.zone == "B" and j.at[1] - seam < 145]
    assert lower
    assert upper
    # Two bays of 364 mm apart where there is a choice.
    assert min(abs(a - b) for a in lower for b in upper) > 2 * 364 - 1
    (check,) = [check for check in plan.checks if check.id == "stagger"]
    assert check.ok
    assert faults(plan) == []


@pytest.mark.slow
def test_stagger_holds_across_an_obstacle_that_ends_a_course() -> None:
    # A cover 700 mm long takes course 5 (580 to 720 mm) right through, so that both parts are laid from their ends.
    cover = {"name": "cover", "kind": "cover", "centre": [4700, 650], "size": [700, 150], "clearance": 5}
    plan = rectangle(LENGTH + 2500, 1445, obstacles=[cover])
    here = [j.at[0] for j in plan.joints if j.course == 5]
    beside = [j.at[0] for j in plan.joints if j.course in (4, 6)]
    assert len(here) >= 2
    assert min(abs(a - b) for a in here for b in beside) > 2 * 364 - 1
    assert faults(plan) == []


def standing(**tables: Any) -> Plan:
    joists = [[[x, 0], [x, 1445]] for x in range(0, LENGTH + 1, 380)]
    frame = {"state": "existing", "joists": joists, "doubled": [5, 7, 9, 11, 15, 18]}
    return rectangle(LENGTH, 1445, frame=frame, **tables)


def test_joints_on_a_standing_frame_are_kept_off_doorways_too() -> None:
    plain = standing(house=house())
    left = min(joint.at[0] for joint in plain.joints) - 450
    assert in_front(plain, left, 900)
    assert in_front(standing(house=house(opening(left, 900, "door"))), left, 900) == []


def test_joints_on_a_standing_frame_are_not_in_line_with_a_parted_board() -> None:
    # A post over the doubled joist 7 at 2660 mm parts course 5; the courses beside it are not butted there.
    post = {"name": "post", "kind": "post", "centre": [2660, 650], "diameter": 60, "clearance": 8}
    plan = standing(obstacles=[post])
    assert 2660 in [joint.at[0] for joint in plan.joints if joint.course == 5]
    beside = [joint.at[0] for joint in plan.joints if joint.course in (4, 6)]
    assert beside
    assert min(abs(at - 2660) for at in beside) > 47
    without = [joint.at[0] for joint in standing().joints if joint.course in (4, 6)]
    assert 2660 in without

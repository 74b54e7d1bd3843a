"""Rules of the trade on plans as made (common practice, no source, unless a test says otherwise)."""

from __future__ import annotations

from itertools import pairwise

import pytest
from courseline.engine.plan import Check, Plan
from rectangles import BOARD, BUTT_GAP, WALL_DEPTH, WALL_GAP, clips, rectangle, roles

LENGTH = 9500


def failing(plan: Plan) -> list[Check]:
    return [check for check in plan.checks if not check.ok]


def bearing_lines(plan: Plan) -> list[float]:
    """Where members that run square to boards along x lie along them."""
    return sorted({m.start[0] for m in plan.members if abs(m.start[0] - m.end[0]) < 1.0})


def joints_by_course(plan: Plan) -> dict[int, list[float]]:
    courses: dict[int, list[float]] = {}
    for joint in plan.joints:
        courses.setdefault(joint.course, []).append(joint.at[0])
    return courses


@pytest.mark.parametrize("max_centres", [300, 350, 400, 450, 600])
@pytest.mark.parametrize("length", [2500, BOARD, LENGTH])
def test_no_joist_is_farther_from_the_next_than_the_greatest_centres(length: float, max_centres: float) -> None:
    plan = rectangle(length, WALL_DEPTH, at_wall=True, frame={"max_centres": max_centres})
    lines = bearing_lines(plan)
    assert max(b - a for a, b in pairwise(lines)) <= max_centres
    (centres,) = [check for check in plan.checks if check.id == "joist centres"]
    assert centres.ok
    assert centres.value <= centres.limit == max_centres


@pytest.mark.parametrize(("length", "butt"), [(3660, 10), (4000, 8), (3000, 5), (5400, 3)])
def test_full_board_ends_on_a_doubled_joist(length: float, butt: float) -> None:
    # Three boards and two butt gaps long: no cut at all is needed in the first course.
    plan = rectangle(3 * length + 2 * butt, 152, at_wall=True, boards={"lengths": [length]}, gaps={"butt": butt})
    assert [piece.length for piece in plan.pieces if piece.course == 1] == [length] * 3
    doubled = {m.start[0] for m in plan.members if m.role == "double"}
    for joint in plan.joints:
        for side in (-23.5, 23.5):
            assert min(abs(place - joint.at[0] - side) for place in doubled) < 0.01


@pytest.mark.parametrize("joints", ["half", "third", "scattered", "none"])
def test_joints_of_neighbouring_courses_lie_two_bays_apart(joints: str) -> None:
    plan = rectangle(LENGTH, WALL_DEPTH, at_wall=True, pattern={"joints": joints})
    courses = joints_by_course(plan)
    assert sorted(courses) == list(range(1, 11))
    for course in range(1, 10):
        # Two bays of 364.36 apart, where there is a choice: common practice, no source.
        assert min(abs(a - b) for a in courses[course] for b in courses[course + 1]) > 2 * 364


def test_half_pattern_repeats_every_second_course() -> None:
    courses = joints_by_course(rectangle(LENGTH, WALL_DEPTH, at_wall=True, pattern={"joints": "half"}))
    assert all(courses[k] == pytest.approx(courses[k + 2]) for k in range(1, 9))
    assert courses[1] != pytest.approx(courses[2])


def test_scattered_joints_lie_on_more_lines_than_a_half_pattern() -> None:
    lines = {
        pattern: len({at for places in joints_by_course(plan).values() for at in places})
        for pattern in ("half", "scattered")
        for plan in [rectangle(LENGTH, 3000, at_wall=True, pattern={"joints": pattern})]
    }
    assert lines["scattered"] > lines["half"]


def test_pattern_none_lays_one_board_where_it_reaches() -> None:
    plan = rectangle(BOARD, WALL_DEPTH, at_wall=True, pattern={"joints": "none"})
    assert plan.joints == ()


@pytest.mark.parametrize("bays", [1, 2, 3])
def test_no_piece_bears_on_fewer_bays_than_asked(bays: int) -> None:
    plan = rectangle(LENGTH, WALL_DEPTH, at_wall=True, pattern={"min_piece_bays": bays})
    module = (BOARD + BUTT_GAP) / 11
    assert min(piece.length for piece in plan.pieces) >= bays * module - BUTT_GAP
    assert [check.id for check in failing(plan) if check.id.startswith("short piece")] == []


def test_boards_square_to_the_wall_have_joists_along_it() -> None:
    plan = rectangle(3660, 3000, at_wall=True, deck={"direction": 90})
    joists = [member for member in plan.members if member.role == "joist"]
    assert joists
    assert all(member.start[1] == pytest.approx(member.end[1]) for member in joists)
    assert {round(piece.length) for piece in plan.pieces} == {2992}  # 3000 less the wall gap of 8


def test_diagonal_boards_are_mitred_at_the_edges() -> None:
    plan = rectangle(3000, 3000, deck={"direction": 45})
    assert plan.zones[0].direction == 45
    assert all("mitre" in piece.cuts for piece in plan.pieces)
    assert all(check.ok for check in plan.checks if check.id == "joist centres")


def test_trim_edge_costs_its_oversail_at_each_end() -> None:
    # 3960 + 2 x 20 of oversail = 4000: the longest deck that one board spans.
    plan = rectangle(3960, WALL_DEPTH, at_wall=True, deck={"edge_finish": {"default": "trim"}})
    assert {piece.length for piece in plan.pieces} == {4000.0}
    assert {piece.cuts for piece in plan.pieces} == {("square", "trim")}
    assert {max(x for x, _ in piece.polygon.outer) for piece in plan.pieces} == {3960.0}
    longer = rectangle(3961, WALL_DEPTH, at_wall=True, deck={"edge_finish": {"default": "trim"}})
    assert len(longer.joints) > 0


def test_boards_are_cut_round_a_post_with_its_clearance() -> None:
    post = {"name": "post", "kind": "post", "centre": [2000, 700], "size": [100, 100], "clearance": 12}
    plan = rectangle(BOARD, WALL_DEPTH, at_wall=True, obstacles=[post])
    beside = [x for p in plan.pieces for x, y in p.polygon.outer if 638 <= y <= 762 and 1900 < x < 2100]
    # The post's faces are at 1950 and 2050; 12 off them lie the cuts.
    assert set(beside) == {1938.0, 2062.0}
    assert any("scribe" in piece.cuts for piece in plan.pieces)


def test_pieces_are_held_on_both_sides_of_every_bearing() -> None:
    # Two courses, 8 + 2 x 140 + 5 deep, on 9 joists and 2 rims: one row of each kind of clip.
    plan = rectangle(BOARD, 293, at_wall=True)
    assert clips(plan) == {"starter clip": 11, "clip": 11, "edge clip": 11}


def test_wall_across_the_boards_takes_no_starter_clips() -> None:
    plan = rectangle(BOARD, WALL_DEPTH, deck={"house_edges": [0, 1]}, at_wall=True)
    assert roles(plan)["ledger"] == 2
    starters = [fixing.at for fixing in plan.fixings if fixing.kind == "starter clip"]
    assert {y for _, y in starters} == {WALL_GAP}
    assert len(starters) == roles(plan)["joist"] + 2


# Guarding: Approved Document K (England, 2013), para 1.41; 600 mm as read there.


def guarding(surface: float) -> Check:
    plan = rectangle(BOARD, WALL_DEPTH, at_wall=True, deck={"surface": surface})
    return next(check for check in plan.checks if check.id == "guarding")


def test_deck_600_above_ground_needs_no_guarding() -> None:
    assert guarding(600).ok


def test_deck_above_600_calls_for_guarding_and_names_its_source() -> None:
    check = guarding(601)
    assert not check.ok
    assert (check.value, check.limit, check.unit) == (601, 600, "mm")
    assert check.source == "Approved Document K 2013, para 1.41"
    assert "guarding is called for above 600 mm" in check.message


def test_narrow_rip_is_told_with_its_piece() -> None:
    plan = rectangle(BOARD, WALL_DEPTH + 60, at_wall=True, pattern={"min_rip": 139})
    (check,) = [item for item in failing(plan) if item.id == "narrowest rip"]
    assert check.limit == 139
    assert "A-11-1" in check.message

"""Boards parted round posts (common practice, no source, unless a test says otherwise)."""

from __future__ import annotations

import json
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import plan_json
from courseline.engine.plan import Piece, Plan
from rectangles import BUTT_GAP, rectangle

LENGTH, DEPTH = 6000, 1445  # ten courses of 140 and nine gaps of 5
AT, MIDDLE = 2500.0, 4 * 145 + 70.0
"""Middle of a post in course 5, which lies from 580 to 720 mm."""


def with_post(at: float = AT, across: float = MIDDLE, *, kind: str = "post", **tables: Any) -> Plan:
    post = {"name": "post", "kind": kind, "centre": [at, across], "diameter": 60, "clearance": 8}
    return rectangle(LENGTH, DEPTH, obstacles=[post, *tables.pop("others", [])], **tables)


def course(plan: Plan, number: int) -> list[Piece]:
    return sorted((p for p in plan.pieces if p.course == number), key=lambda p: span(p)[0])


def span(piece: Piece) -> tuple[float, float]:
    xs = [x for x, _ in piece.polygon.outer]
    return min(xs), max(xs)


def places(plan: Plan, number: int) -> list[float]:
    return [joint.at[0] for joint in plan.joints if joint.course == number]


def faults(plan: Plan) -> list[str]:
    return [str(fault) for fault in check_plan(json.loads(plan_json(plan)))]


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["post", "downpipe", "tree", "other"])
def test_board_round_what_rises_is_cut_through_the_middle_of_its_hole(kind: str) -> None:
    plan = with_post(kind=kind)
    meeting = [span(piece) for piece in course(plan, 5)]
    assert any(abs(end - (AT - BUTT_GAP / 2)) < 0.01 for _, end in meeting)
    assert any(abs(start - (AT + BUTT_GAP / 2)) < 0.01 for start, _ in meeting)
    assert not any(piece.polygon.holes for piece in plan.pieces)
    assert faults(plan) == []


@pytest.mark.parametrize("kind", ["gully", "cover"])
def test_board_over_what_lies_flush_keeps_its_hole(kind: str) -> None:
    plan = with_post(kind=kind)
    assert [piece.course for piece in plan.pieces if piece.polygon.holes] == [5]
    assert AT not in places(plan, 5)


def test_tongues_rest_on_noggings_above_and_below_the_post() -> None:
    plan = with_post()
    (joint,) = [joint for joint in plan.joints if joint.at[0] == AT]
    members = {member.id: member for member in plan.members}
    lower, upper = sorted(members[name].start[1] for name in joint.joists)
    assert {members[name].role for name in joint.joists} == {"nogging"}
    # 47 mm timbers beside the post and its clearance, 38 mm to either side of its middle.
    assert (lower, upper) == pytest.approx((MIDDLE - 38 - 23.5, MIDDLE + 38 + 23.5), abs=0.5)
    for name in joint.joists:
        assert members[name].start[0] < AT - 24
        assert members[name].end[0] > AT + 24


def test_both_pieces_are_scribed() -> None:
    plan = with_post()
    (joint,) = [joint for joint in plan.joints if joint.at[0] == AT]
    assert all("scribe" in piece.cuts for piece in plan.pieces if piece.id in joint.pieces)


def test_parted_place_counts_for_the_stagger_of_both_neighbours() -> None:
    plan = with_post()
    beside = places(plan, 4) + places(plan, 6)
    assert len(beside) >= 2
    # Two bays of 364 mm apart, since there is a choice.
    assert min(abs(at - AT) for at in beside) > 2 * 364 - 1
    (check,) = [check for check in plan.checks if check.id == "stagger"]
    assert check.ok


@pytest.mark.slow
def test_thin_wood_beside_the_hole_is_cut_off_and_the_board_stays_whole() -> None:
    # 25 mm would be left between the hole and the lower side.
    plan = with_post(across=580 + 25 + 38)
    assert AT not in places(plan, 5)
    assert not any(piece.polygon.holes for piece in plan.pieces)
    (notched,) = [p for p in course(plan, 5) if span(p)[0] < AT < span(p)[1]]
    mouth = sorted(x for x, y in notched.polygon.outer if y == 580)
    assert mouth[1:3] == pytest.approx([AT - 38, AT + 38], abs=0.5)
    assert faults(plan) == []


@pytest.mark.slow
def test_hole_near_the_end_of_a_board_is_opened_to_it() -> None:
    plan = with_post(at=70)  # 32 mm from the deck's edge to the hole
    assert 70 not in places(plan, 5)
    assert not any(piece.polygon.holes for piece in plan.pieces)
    assert faults(plan) == []


@pytest.mark.slow
def test_hole_in_a_corner_is_opened_on_one_side_alone() -> None:
    # 30 mm of wood are left at the deck's edge, 25 mm at the board's lower side: the thinner one goes.
    plan = with_post(at=68, across=580 + 25 + 38)
    (notched,) = [p for p in course(plan, 5) if span(p)[0] == 0]
    assert (0, 580) in [(round(x), round(y)) for x, y in notched.polygon.outer]
    assert faults(plan) == []


def test_narrow_wood_beside_the_post_is_told_with_its_place() -> None:
    told = [check for check in with_post().checks if check.id.startswith("tongue")]
    # By hand: (140 - 76) / 2, the round hole being sawn in short straight cuts about it.
    assert [check.value for check in told] == pytest.approx([32, 32], abs=0.6)
    assert all("[25" in check.message or "[24" in check.message for check in told)


def test_two_posts_in_one_board_part_it_twice() -> None:
    second = {"name": "pipe", "kind": "downpipe", "centre": [3400, MIDDLE], "diameter": 60, "clearance": 8}
    plan = with_post(others=[second])
    assert {AT, 3400.0} <= set(places(plan, 5))
    assert faults(plan) == []


def test_parted_ends_that_a_standing_frame_does_not_bear_are_told() -> None:
    joists = [[[x, 0], [x, DEPTH]] for x in range(0, LENGTH + 1, 400)]
    plan = with_post(at=2600, frame={"state": "existing", "joists": joists, "doubled": [5, 10]})
    (joint,) = [joint for joint in plan.joints if joint.at[0] == 2600]
    told = {check.id for check in plan.checks if not check.ok and "lacks support at its end" in check.message}
    assert told == {f"support {name}" for name in joint.pieces}


BORDER = {"border": {"courses": 1, "edges": []}}


@pytest.mark.parametrize("across", [70, DEPTH - 70])
def test_post_near_the_decks_edge_leaves_a_mouth_there(across: float) -> None:
    # 32 mm of wood would lie between the hole and the edge, where the post interrupts the rim that bore it.
    plan = with_post(at=3000, across=across)
    assert 3000 not in [joint.at[0] for joint in plan.joints]
    assert not any(piece.polygon.holes for piece in plan.pieces)
    assert faults(plan) == []


@pytest.mark.slow
@pytest.mark.parametrize(("at", "across"), [(3000, 70), (3000, 95), (95, 700)])
@pytest.mark.parametrize("direction", [0, 90])
def test_no_border_board_closes_round_a_post(at: float, across: float, direction: float) -> None:
    plan = with_post(at=at, across=across, pattern=BORDER, boards={"width": 190}, deck={"direction": direction})
    assert not any(piece.polygon.holes for piece in plan.pieces)
    assert faults(plan) == []


def test_border_board_is_parted_round_a_post_like_any_other() -> None:
    # 95 mm from the edge, a board of 190 mm keeps 57 mm to either side of the hole.
    plan = with_post(at=3000, across=95, pattern=BORDER, boards={"width": 190})
    (joint,) = [joint for joint in plan.joints if joint.at[0] == pytest.approx(3000)]
    assert {piece.kind for piece in plan.pieces if piece.id in joint.pieces} == {"border"}
    assert len(set(joint.joists)) == 2

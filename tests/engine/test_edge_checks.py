"""What a plan says of its edges: the rise of a step, fascias, the way a zone begins, borders on a frame that stands."""

from __future__ import annotations

from typing import Any

import pytest
from courseline.engine.plan import Check, Plan
from rectangles import WALL_DEPTH, rectangle


def told(plan: Plan, check: str) -> Check:
    return next(item for item in plan.checks if item.id == check)


def stepped(surface: float, **tables: Any) -> Plan:
    deck = {"surface": surface, "edge_finish": {"default": "flush", "2": "step"}}
    return rectangle(4000, 2500, at_wall=True, deck=deck, **tables)


# Approved Document K 2013, table 1.1, private stair: a rise of 150 to 220 mm.
@pytest.mark.parametrize(("surface", "ok"), [(149, False), (150, True), (220, True), (221, False)])
def test_rise_of_a_step_is_held_against_the_published_one(surface: float, ok: bool) -> None:
    assert told(stepped(surface), "step rise").ok is ok


def test_high_step_is_parted_into_lawful_rises() -> None:
    # 500 mm in rises of 220 mm at most: three rises, so two treads before the deck, 167 mm each.
    message = told(stepped(500), "step rise").message
    assert "2 more treads" in message
    assert "167 mm each" in message


def test_deck_without_a_step_says_nothing_of_one() -> None:
    assert not [item for item in rectangle(4000, 2500).checks if item.id == "step rise"]


def test_low_fascia_hangs_on_the_rim_and_a_deep_one_wants_uprights() -> None:
    assert told(stepped(180), "fascia").ok
    deep = told(stepped(600), "fascia")
    assert not deep.ok
    assert "fix uprights" in deep.message


def test_plan_says_that_a_zone_begins_with_a_whole_board() -> None:
    begun = told(rectangle(4000, WALL_DEPTH, at_wall=True), "start A")
    assert begun.ok
    assert "begins with a whole board" in begun.message


def test_plan_says_what_a_shifted_first_course_saves() -> None:
    # Ten whole courses and 12 mm more, less the gap: a last rip of 7 mm, which the shift makes good.
    begun = told(rectangle(4000, WALL_DEPTH + 12, at_wall=True), "start A")
    assert begun.ok
    assert "a whole first board would leave 7 mm" in begun.message
    assert begun.value >= 40


@pytest.mark.slow
def test_border_on_a_standing_frame_says_what_to_add_and_moves_nothing() -> None:
    joists = [[[x, 0], [x, 2500]] for x in range(24, 4001, 376)]
    frame = {"state": "existing", "joists": joists, "doubled": []}
    plan = rectangle(4000, 2500, frame=frame, pattern={"border": {"courses": 1}})
    assert len([piece for piece in plan.pieces if piece.kind == "border"]) == 4
    assert len([member for member in plan.members if member.role == "joist"]) == len(joists)
    # Nothing but the end joist lies under a border along the joists, and that under a part of its width.
    lacking = [item.message for item in plan.checks if item.id.startswith("support A-E1R1") and not item.ok]
    assert lacking
    assert "add a nogging" in lacking[0]

"""Narrow wood left beside an obstacle is told of."""

from __future__ import annotations

import pytest
from courseline.engine import design
from courseline.engine.plan import Check
from courseline.engine.site import site_from_table


def told(centre_y: float) -> list[Check]:
    # Boards of 140 mm from y = 0; a post of 100 mm with 8 mm clearance all round.
    deck = {"outline": [[0, 0], [3000, 0], [3000, 1445], [0, 1445]]}
    post = {"name": "post", "kind": "post", "centre": [1500, centre_y], "size": [100, 100], "clearance": 8}
    plan = design(site_from_table({"schema": 1, "name": "post", "deck": deck, "obstacles": [post]}))
    return [check for check in plan.checks if check.id.startswith("tongue ")]


def test_tongue_beside_a_post_is_told_with_its_width() -> None:
    # By hand: the cut reaches to 52 + 50 + 8 = 110 mm, so 140 - 110 = 30 mm are left of the first board.
    (check,) = told(centre_y=52)
    assert check.id == "tongue A-01-1"
    assert check.value == pytest.approx(30)
    assert "30 mm of wood" in check.message


def test_board_with_enough_left_is_not_told_of() -> None:
    # The cut reaches to 30 + 58 = 88 mm; 52 mm are left.
    assert told(centre_y=30) == []

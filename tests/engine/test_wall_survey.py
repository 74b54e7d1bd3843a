"""Boards along a wall that is not straight."""

from __future__ import annotations

import json
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import SiteError, design, plan_json
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_table


def laid(offsets: list[Any], edge: int = 0) -> Plan:
    deck = {"outline": [[0, 0], [6000, 0], [6000, 3000], [0, 3000]], "house_edges": [0], "start_edge": 0}
    survey = {"edge": edge, "offsets": offsets}
    return design(site_from_table({"schema": 1, "name": "old wall", "deck": deck, "wall_survey": survey}))


def first_course(plan: Plan) -> float:
    return min(y for piece in plan.pieces for _, y in piece.polygon.outer)


def test_straight_line_keeps_the_wall_gap_where_the_wall_bulges_most() -> None:
    # The wall stands 3 mm inwards at 2 m: by hand, 8 mm gap + 3 mm = 11 mm off the straight edge.
    plan = laid([[0, 0], [1000, 2], [2000, -3]])
    assert first_course(plan) == pytest.approx(11)
    assert check_plan(json.loads(plan_json(plan))) == []


def test_every_station_gets_its_gap_and_its_packer() -> None:
    plan = laid([[0, 0], [1000, 2], [2000, -3]])
    told = {check.id: check for check in plan.checks if check.id.startswith("wall at")}
    # Gap by hand: 11 mm off the edge, plus what the wall stands back.
    assert {name: check.value for name, check in told.items()} == {
        "wall at 0": 11,
        "wall at 1000": 13,
        "wall at 2000": 8,
    }
    assert "pack the starter out by 5 mm" in told["wall at 1000"].message
    assert "pack" not in told["wall at 2000"].message
    assert all(check.ok for check in told.values())


def test_gap_too_wide_to_hide_is_said() -> None:
    plan = laid([[0, 0], [3000, 15]])
    (wide,) = [check for check in plan.checks if check.id.startswith("wall at") and not check.ok]
    assert wide.value == 23
    assert "cover the gap" in wide.message


def test_station_past_the_wall_is_refused() -> None:
    with pytest.raises(SiteError, match=r"wall_survey.offsets\[1\]: 7000 mm along; edge 0 is 6000 mm long"):
        laid([[0, 0], [7000, 1]])

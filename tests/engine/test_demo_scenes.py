"""The demo deck round a house corner holds what its comments say, counted by hand."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from courseline.engine import design, propose_zones, read_site, with_choices
from courseline.engine.plan import Plan

CORNER = read_site(Path(__file__).parents[2] / "demo_scenes" / "house_corner.toml")


@pytest.fixture(scope="module")
def plan() -> Plan:
    return design(CORNER)


def test_zones_written_are_the_zones_proposed() -> None:
    assert propose_zones(replace(CORNER, zones=())) == CORNER


@pytest.mark.slow
def test_each_part_has_the_courses_that_fit_before_its_border(plan: Plan) -> None:
    # 3300 deep less 6 at the wall, 146 of border and 5 before it: 3143 = 20 x 151 + 123, so 21 courses
    assert [zone.courses for zone in plan.zones] == [21, 21]


def test_edge_boards_are_as_many_as_their_edges_take(plan: Plan) -> None:
    # Of boards of 3660: steps of 9600 and 7800 take 3 each, ends of 3300 take 1 each; fascias 8 on the same four edges.
    # Over the cover, 8700 +- (300 + 8) across: course 8 lies from 7206 + 7 x 151 = 8263, course 12 to 9013.
    kinds = Counter(piece.kind for piece in plan.pieces if piece.kind != "board")
    assert kinds == {"nosing": 3 + 3, "border": 1 + 1, "fascia": 3 + 3 + 1 + 1, "hatch": 5}
    assert sorted(piece.course for piece in plan.pieces if piece.kind == "hatch") == [8, 9, 10, 11, 12]


def test_fascias_are_whole_boards_off_the_ground(plan: Plan) -> None:
    fascias = [piece for piece in plan.pieces if piece.kind == "fascia"]
    assert {(piece.width, piece.top - piece.width) for piece in fascias} == {(146.0, 20.0)}
    assert not any("rip" in piece.cuts for piece in fascias)


def test_every_rule_is_kept(plan: Plan) -> None:
    assert [check.message for check in plan.checks if not check.ok] == []
    assert "step rise" in {check.id for check in plan.checks}


@pytest.mark.slow
def test_another_direction_turns_the_boards_of_every_zone(plan: Plan) -> None:
    turned = design(with_choices(CORNER, direction=90.0))
    assert [zone.direction % 180.0 for zone in plan.zones] == [90.0, 0.0]
    assert [zone.direction % 180.0 for zone in turned.zones] == [0.0, 90.0]

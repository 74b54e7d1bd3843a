"""Decks laid in more than one direction."""

from __future__ import annotations

import json
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import SiteError, design, plan_json
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_table
from shapely import Polygon

L_SHAPE = [[0, 0], [0, -3000], [9000, -3000], [9000, 4000], [6000, 4000], [6000, 0]]
EAST = [[6000, 0], [9000, -3000], [9000, 4000], [6000, 4000]]


def laid(zones: list[dict[str, Any]], **tables: Any) -> Plan:
    deck = {"outline": L_SHAPE, "house_edges": [4, 5], "start_edge": 5}
    return design(site_from_table({"schema": 1, "name": "round a corner", "deck": deck, "zones": zones, **tables}))


@pytest.mark.slow
def test_deck_turns_round_a_corner_on_the_mitre() -> None:
    plan = laid([{"name": "east", "outline": EAST, "start_edge": 3}])
    assert [zone.id for zone in plan.zones] == ["A", "B"]
    # The two walls stand square to each other, so the boards do.
    assert (plan.zones[1].direction - plan.zones[0].direction) % 180 == pytest.approx(90)
    assert check_plan(json.loads(plan_json(plan))) == []


def test_boards_at_the_mitre_are_cut_at_its_bisector() -> None:
    plan = laid([{"name": "east", "outline": EAST, "start_edge": 3}])
    mitred = [piece for piece in plan.pieces if "mitre" in piece.cuts]
    assert mitred
    for piece in mitred:
        corners = piece.polygon.outer
        steps = [(x1 - x0, y1 - y0) for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True)]
        slanted = [step for step in steps if abs(step[0]) > 1 and abs(step[1]) > 1]
        # The bisector of a square corner: 45 degrees.
        assert all(abs(dx) == pytest.approx(abs(dy), abs=0.01) for dx, dy in slanted)


def test_each_zone_bears_on_a_rim_of_its_own_along_the_seam() -> None:
    plan = laid([{"name": "east", "outline": EAST, "start_edge": 3}])
    along_seam = [
        m for m in plan.members if abs((m.end[0] - m.start[0]) + (m.end[1] - m.start[1])) < 1 and m.length > 3000
    ]
    assert {m.id[0] for m in along_seam} == {"A", "B"}


@pytest.mark.slow
def test_zone_smaller_than_a_board_is_boarded_too() -> None:
    plan = laid([{"name": "strip", "outline": [[8900, -3000], [9000, -3000], [9000, -1000], [8900, -1000]]}])
    assert any(piece.zone == "B" for piece in plan.pieces)
    assert check_plan(json.loads(plan_json(plan))) == []


@pytest.mark.slow
def test_zones_may_cover_the_whole_deck() -> None:
    west = [[0, 0], [0, -3000], [9000, -3000], [6000, 0]]
    plan = laid(
        [{"name": "west", "outline": west, "start_edge": 3}, {"name": "east", "outline": EAST, "start_edge": 3}]
    )
    assert [zone.id for zone in plan.zones] == ["A", "B"]
    assert check_plan(json.loads(plan_json(plan))) == []


def test_overlapping_zones_are_refused() -> None:
    with pytest.raises(SiteError, match=r"overlaps zones\[0\] 'a'"):
        laid([{"name": "a", "outline": EAST}, {"name": "b", "outline": L_SHAPE}])


@pytest.mark.slow
def test_zone_keeps_no_spike_along_the_edge_that_it_shares() -> None:
    """A zone ends on a slanting edge of the deck, where no coordinate is exact: neither part runs on along the edge."""
    outline = [[0, 0], [-471.6, -3316.6], [-6213.9, -2500.1], [-5742.2, 816.5]]
    share = (2500.1 - 1945.2631782421936) / (2500.1 + 816.5)
    west = [-6213.9 + share * 471.7, -1945.2631782421936]
    east = [-471.6 * 1945.2631782421936 / 3316.6, -1945.2631782421936]
    deck = {"outline": outline, "house_edges": [0], "surface": 150}
    part = {"name": "part", "outline": [outline[1], outline[2], west, east]}
    plan = design(site_from_table({"schema": 1, "name": "slanting", "deck": deck, "zones": [part]}))
    for zone in plan.zones:
        shape = Polygon(zone.outline.outer)
        assert shape.buffer(-1.0, join_style="mitre").buffer(1.01, join_style="mitre").covers(shape)
    assert check_plan(json.loads(plan_json(plan))) == []

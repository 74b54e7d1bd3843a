"""Zones that meet at a single board along their seam."""

from __future__ import annotations

import json
import math
from itertools import pairwise
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import design, plan_json
from courseline.engine.plan import Piece, Plan
from courseline.engine.site import site_from_table
from rectangles import COURSE_GAP, WIDTH
from shapely import LineString, Polygon

WEST = [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]


def two_fields(seam: str, **tables: Any) -> Plan:
    """Eight by three metres, the western half laid across, the boards of the two fields meeting at x = 4000."""
    deck = {"outline": [[0, 0], [8000, 0], [8000, 3000], [0, 3000]], "house_edges": [], "start_edge": 0}
    zones = [{"name": "west", "outline": WEST, "start_edge": 0, "direction": 90}]
    pattern = {"seam": seam} | tables.pop("pattern", {})
    site = {"schema": 1, "name": "two fields", "deck": deck, "zones": zones, "pattern": pattern, **tables}
    return design(site_from_table(site))


def along_the_seam(plan: Plan) -> list[Piece]:
    return [piece for piece in plan.pieces if piece.kind == "border"]


@pytest.mark.slow
def test_divider_is_one_board_on_the_seam_from_edge_to_edge() -> None:
    (divider,) = along_the_seam(two_fields("divider"))
    assert Polygon(divider.polygon.outer).bounds == pytest.approx((4000 - WIDTH / 2, 0, 4000 + WIDTH / 2, 3000))
    assert divider.direction % 180 == pytest.approx(90)


@pytest.mark.slow
def test_both_fields_end_a_course_gap_off_the_divider() -> None:
    plan = two_fields("divider")
    (divider,) = along_the_seam(plan)
    board = Polygon(divider.polygon.outer)
    for zone in ("A", "B"):
        gaps = [board.distance(Polygon(p.polygon.outer)) for p in plan.pieces if p.kind == "board" and p.zone == zone]
        assert min(gaps) == pytest.approx(COURSE_GAP, abs=0.01)


@pytest.mark.slow
def test_divider_lies_on_a_rim_of_either_zone_and_is_held() -> None:
    plan = two_fields("divider")
    (divider,) = along_the_seam(plan)
    board = Polygon(divider.polygon.outer)
    under = {
        m.id[0]
        for m in plan.members
        if m.role == "rim" and LineString((m.start[:2], m.end[:2])).intersection(board).length > 2500
    }
    assert under == {"A", "B"}
    screws = sorted(f.at[1] for f in plan.fixings if f.piece == divider.id)
    # Screwed down at no more than joist centres; common practice, no source.
    assert max(b - a for a, b in pairwise(screws)) <= plan.site.frame.max_centres


@pytest.mark.slow
def test_longer_seam_is_jointed_on_both_rims() -> None:
    deck = {"outline": [[0, 0], [4000, 0], [4000, 6000], [0, 6000]], "house_edges": [], "start_edge": 0}
    zones = [{"name": "west", "outline": [[0, 0], [2000, 0], [2000, 6000], [0, 6000]], "direction": 90}]
    site = {"schema": 1, "name": "long seam", "deck": deck, "zones": zones, "pattern": {"seam": "divider"}}
    plan = design(site_from_table(site))
    pieces = along_the_seam(plan)
    # 6 m from boards of 4 m: two pieces and one butt gap.
    assert sum(piece.length for piece in pieces) == pytest.approx(6000 - plan.site.gaps.butt)
    (joint,) = [joint for joint in plan.joints if set(joint.pieces) == {piece.id for piece in pieces}]
    assert len(set(joint.joists)) == 2


def test_mitred_seam_has_no_divider() -> None:
    assert along_the_seam(two_fields("mitre")) == []


@pytest.mark.slow
def test_divider_ends_at_the_border_and_the_border_runs_on() -> None:
    plan = two_fields("divider", pattern={"border": {"courses": 1}})
    divider = next(piece for piece in plan.pieces if "-S" in piece.id)
    # From the gap beside one border to the gap beside the other.
    assert divider.length == pytest.approx(3000 - 2 * (WIDTH + COURSE_GAP))


@pytest.mark.slow
@pytest.mark.parametrize("angle", [30, 60, 90, 120])
def test_slanted_seam_passes_the_checker(angle: float) -> None:
    run = 3000 / math.tan(math.radians(angle))
    zone = [[0, 0], [4000, 0], [4000 + run, 3000], [0, 3000]]
    deck = {"outline": [[0, 0], [9500, 0], [9500, 3000], [0, 3000]], "house_edges": [0], "start_edge": 0}
    zones = [{"name": "west", "outline": zone, "start_edge": 0, "direction": 90}]
    site = {"schema": 1, "name": "slanted", "deck": deck, "zones": zones, "pattern": {"seam": "divider"}}
    assert check_plan(json.loads(plan_json(design(site_from_table(site))))) == []

"""Edge boards of a product of their own: cut, ordered, priced and bounded apart from the deck's boards."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import SiteError, design, plan_json, read_site
from courseline.engine.choose import with_board
from courseline.engine.edge_boards import EDGES, of_edges
from courseline.engine.papers.summary import summarise
from courseline.engine.papers.takeoff_table import takeoff_notes
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_text
from courseline.engine.sitefile import site_text
from rectangles import orders, rectangle, rectangle_site

HIGH = {"surface": 200, "edge_finish": {"default": "fascia", "1": "step"}}
EDGED: dict[str, Any] = {"deck": HIGH, "pattern": {"border": {"courses": 1}}, "edge_boards": {"product": "edge-140"}}


def faults(plan: Plan) -> list[str]:
    return [str(fault) for fault in check_plan(json.loads(plan_json(plan)))]


@pytest.fixture(scope="module")
def edged() -> Plan:
    return rectangle(5200, 2900, **EDGED)


@pytest.mark.slow
def test_edges_are_cut_from_their_own_product_and_nothing_else_is(edged: Plan) -> None:
    products = {item.id: item.product for item in edged.stock}
    kinds = {(piece.kind in EDGES, products[piece.stock]) for piece in edged.pieces}
    assert kinds == {(True, "edge-140"), (False, "plain-140")}
    assert {piece.kind for piece in edged.pieces} == {"board", "border", "nosing", "fascia"}
    assert faults(edged) == []


def test_lines_bounds_and_prices_are_of_each_product(edged: Plan) -> None:
    lines = {line.item: line for line in edged.takeoff}
    used = {length: sum(i.product == "edge-140" and i.length == length for i in edged.stock) for length in (3000, 4000)}
    for length, count in used.items():
        if count:
            line = lines[f"edge-board-{length}"]
            # 47.00 for 4000 mm, by the length
            one = (Decimal("47.00") * length / 4000).quantize(Decimal("0.01"))
            assert (line.order, line.unit_price, line.price) == (count, one, one * count)
    assert [bound.product for bound in edged.bounds] == ["plain-140", "timber-47x147", "edge-140"]
    assert edged.bounds[2].stock_used == sum(used.values())
    assert edged.bounds[2].lower_bound <= edged.bounds[2].stock_used
    assert edged.bounds[2].price == sum(line.price for line in edged.takeoff if line.item.startswith("edge-board"))
    assert summarise(edged).boards == edged.bounds[0].stock_used + edged.bounds[2].stock_used
    assert any("edge boards" in note for note in takeoff_notes(edged) if note.startswith("Invented"))


@pytest.mark.slow
def test_edge_joints_follow_the_lengths_that_edge_boards_are_sold_in() -> None:
    one = rectangle(5200, 2900, **{**EDGED, "edge_boards": {"product": "edge-140", "lengths": [6000]}})
    lengths = [piece.length for piece in one.pieces if piece.kind in EDGES]
    assert max(lengths) > 4000
    assert faults(one) == []


@pytest.mark.slow
def test_what_the_site_says_of_edge_boards_comes_before_the_table() -> None:
    own = {"product": "edge-140", "price_per_board": 10, "breaks": [{"from": 2, "price": 8}], "lengths": [4000]}
    plan = rectangle(5200, 2900, **{**EDGED, "edge_boards": own})
    (line,) = [line for line in plan.takeoff if line.item.startswith("edge-board")]
    assert line.unit_price == Decimal("8.00")
    assert "edge_board" not in plan.site.prices.invented
    assert faults(plan) == []


@pytest.mark.slow
def test_solid_edge_boards_share_rips_round_a_hollow_deck() -> None:
    # A fascia of 108 - 22 - 20 = 66 mm: two and a kerf in 140.
    low = {"surface": 108, "edge_finish": {"default": "fascia"}}
    alone = rectangle(6000, 2900, deck=low)
    own = rectangle(6000, 2900, deck=low, edge_boards={"product": "edge-140", "lengths": [4000]})
    assert not any(item.side_by_side for item in alone.stock)
    assert any(item.side_by_side for item in own.stock)
    assert of_edges(own.site).boards.rip_shares and not own.site.boards.rip_shares
    assert faults(own) == []


@pytest.mark.slow
def test_squared_ends_and_stock_on_hand_serve_edge_boards_too() -> None:
    pattern = {"border": {"courses": 1}, "square_up": 10}
    site = {**EDGED, "pattern": pattern, "stock": [{"product": "edge-140", "length": 3900, "count": 2}]}
    plan = rectangle(5200, 2900, **site)
    assert sum(item.on_hand for item in plan.stock if item.product == "edge-140") > 0
    assert max(piece.length for piece in plan.pieces if piece.kind in EDGES) <= 3980
    assert faults(plan) == []


@pytest.mark.slow
@pytest.mark.parametrize("room", [4, 8])
def test_no_more_offcuts_are_kept_in_all_than_the_site_allows(room: int) -> None:
    """Along a slanted edge boards alone would keep as many as there is room for, and edge boards some more."""
    deck = {**HIGH, "outline": [[0, 0], [10_940, 0], [3_940, 9_000], [0, 9_000]]}
    pattern = {"border": {"courses": 2}, "kept_offcuts": room}
    plan = rectangle(10_940, 9_000, **{**EDGED, "deck": deck, "pattern": pattern})
    (kept,) = (check for check in plan.checks if check.id == "kept offcuts")
    assert kept.ok
    assert kept.value == room
    assert faults(plan) == []


@pytest.mark.parametrize(
    ("edges", "line"),
    [
        ({"product": "egde-140"}, "edge_boards.product: 'egde-140'; did you mean 'edge-140'?"),
        (
            {"product": "plain-140"},
            "edge_boards.product: 'plain-140'; is the deck's own board; leave [edge_boards] out",
        ),
        (
            {"product": "broad-146"},
            "edge_boards.product: 'broad-146' is 146 x 25 mm; must be as wide and as thick as the deck's board, "
            "140 x 22 mm",
        ),
        ({}, "edge_boards.product: missing;"),
        ({"product": "edge-140", "lengths": []}, "edge_boards.lengths: "),
    ],
)
def test_refusals_say_what_to_do_in_one_line(edges: dict[str, Any], line: str) -> None:
    with pytest.raises(SiteError) as fault:
        rectangle_site(5200, 2900, edge_boards=edges)
    assert str(fault.value).startswith(line)
    assert "\n" not in str(fault.value)


@pytest.mark.slow
def test_another_deck_with_board_another_size_goes_back_to_one_product() -> None:
    site = rectangle_site(5200, 2900, **EDGED, stock=[{"product": "edge-140", "length": 3900}])
    for product in ("broad-146", "edge-140"):
        other = with_board(site, product)
        assert other.edge_boards is None
        assert faults(design(other)) == []


def test_a_site_with_edge_boards_is_written_and_read_back_the_same() -> None:
    site = rectangle_site(5200, 2900, **EDGED)
    assert site_from_text(site_text(site)).edge_boards == site.edge_boards


@pytest.mark.slow
def test_a_demo_scene_with_edge_boards_of_their_own_keeps_every_rule() -> None:
    scene = Path(__file__).parents[2] / "demo_scenes" / "house_corner.toml"
    text = scene.read_text(encoding="utf-8").replace("[boards]", '[edge_boards]\nproduct = "edge-146"\n\n[boards]')
    plan = design(site_from_text(text, scene.parent))
    assert faults(plan) == []
    assert orders(plan)["edge-board-3660"] > 0
    alone = design(read_site(scene))
    assert [piece.polygon for piece in plan.pieces] == [piece.polygon for piece in alone.pieces]

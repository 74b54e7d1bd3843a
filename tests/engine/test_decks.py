"""Several decks in one file: each laid as a site of its own, all bought together."""

from __future__ import annotations

import json
import math
from collections import Counter
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import SiteError, design, plan_json, propose_zones, with_choices
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site
from shapely import Point, Polygon

HOUSE = {
    "walls": [[0, 0], [9000, 0], [9000, 6000], [0, 6000]],
    "openings": [{"wall": 1, "offset": 2000, "width": 1200, "height": 1600, "kind": "door"}],
}
FRONT = [[0, 0], [0, -3000], [6000, -3000], [6000, 0]]
SIDE = [[9000, 1000], [12000, 1000], [12000, 6000], [9000, 6000]]
POND = [[1000, -7000], [4000, -7000], [4000, -5000], [1000, -5000]]
POST = {"name": "post", "kind": "post", "centre": [11000, 3000], "diameter": 100}


def three_decks(**tables: Any) -> Site:
    """One before the house, one beside it at another height, and one by the pond with its boards across."""
    table: dict[str, Any] = {
        "schema": 1,
        "name": "three decks",
        "house": HOUSE,
        "deck": {"outline": FRONT, "surface": 150},
        "decks": [
            {"name": "side", "outline": SIDE, "surface": 450},
            {"name": "pond", "outline": POND, "surface": 200, "direction": 90},
        ],
        "obstacles": [POST],
    }
    return site_from_table(table | tables)


def one_deck(number: int) -> Plan:
    """What each deck is if the file holds no other."""
    site = three_decks()
    deck = ({"outline": FRONT, "surface": 150}, {"outline": SIDE, "surface": 450}, {"outline": POND, "surface": 200})
    obstacles = [POST] if number == 1 else []
    if number == 2:
        deck[2]["direction"] = 90
    return design(
        site_from_table({"schema": 1, "name": site.name, "house": HOUSE, "deck": deck[number], "obstacles": obstacles})
    )


@pytest.fixture(scope="module")
def plan() -> Plan:
    return design(three_decks())


@pytest.mark.slow
def test_plan_of_three_decks_holds(plan: Plan) -> None:
    assert check_plan(json.loads(plan_json(plan))) == []


def test_zones_are_lettered_through_and_tell_their_deck(plan: Plan) -> None:
    assert [(zone.id, zone.deck) for zone in plan.zones] == [("A", 0), ("B", 1), ("C", 2)]


def test_ids_are_given_once(plan: Plan) -> None:
    for records in (plan.pieces, plan.members, plan.stock, plan.zones, plan.checks):
        assert max(Counter(record.id for record in records).values()) == 1
    assert {member.id.split("-")[0] for member in plan.members} == {"A", "B", "C"}


def test_each_deck_lies_at_its_own_height(plan: Plan) -> None:
    """Boards 22 mm thick on timber 147 mm deep: its middle is 95.5 mm under the surface."""
    surface = {"A": 150.0, "B": 450.0, "C": 200.0}
    assert {(piece.zone, piece.top) for piece in plan.pieces} == set(surface.items())
    middles = {(member.id[0], member.start[2], member.end[2]) for member in plan.members}
    assert middles == {(zone, top - 95.5, top - 95.5) for zone, top in surface.items()}


@pytest.mark.slow
def test_each_deck_is_laid_as_if_it_were_alone(plan: Plan) -> None:
    for number, zone in enumerate("ABC"):
        alone = [(p.polygon, p.kind, p.top) for p in one_deck(number).pieces]
        assert [(p.polygon, p.kind, p.top) for p in plan.pieces if p.zone == zone] == alone


def test_defaults_are_worked_out_for_each_deck(plan: Plan) -> None:
    side, pond = plan.site.decks
    assert (plan.site.deck.house_edges, side.house_edges, pond.house_edges) == ((3,), (3,), ())
    assert (plan.site.deck.start_edge, side.start_edge, pond.start_edge) == (3, 3, 0)


def test_boards_are_bought_once_for_all() -> None:
    """Two decks of one course, 1.2 m long: three pieces fit a board of 4 m, so one board does for both.

    The sum is 2 x 1200 and a kerf of 3 mm, under 4000.
    """
    strips = [[[x, 0], [x + 1200, 0], [x + 1200, 140], [x, 140]] for x in (0, 3000)]
    site = site_from_table(
        {
            "schema": 1,
            "name": "two steps",
            "deck": {"outline": strips[0]},
            "decks": [{"name": "second", "outline": strips[1]}],
        }
    )
    plan = design(site)
    assert len(plan.pieces) == 2
    assert [line.order for line in plan.takeoff if line.unit == "board"] == [1]


def test_checks_name_the_deck(plan: Plan) -> None:
    guarding = {check.id: (check.value, check.message) for check in plan.checks if "guarding" in check.id}
    assert guarding == {
        "main deck: guarding": (150.0, "main deck: the surface is 150 mm above the ground"),
        "side: guarding": (450.0, "side: the surface is 450 mm above the ground"),
        "pond: guarding": (200.0, "pond: the surface is 200 mm above the ground"),
    }


def test_deck_that_is_too_high_is_the_one_told_of() -> None:
    high = design(three_decks(decks=[{"name": "side", "outline": SIDE, "surface": 700}]))
    told = [check.id for check in high.checks if not check.ok and "guarding" in check.id]
    assert told == ["side: guarding"]


@pytest.mark.slow
def test_border_lies_on_every_free_edge_of_a_further_deck() -> None:
    """The border's edges number those of `[deck]`: there it lies on edge 1 alone."""
    plan = design(three_decks(pattern={"border": {"courses": 1, "edges": [1]}}))
    bordered = Counter(piece.zone for piece in plan.pieces if piece.kind == "border")
    edges = {zone: {p.id.split("-")[1] for p in plan.pieces if p.zone == zone and p.kind == "border"} for zone in "ABC"}
    assert edges == {"A": {"E1R1"}, "B": {"E0R1", "E1R1", "E2R1"}, "C": {"E0R1", "E1R1", "E2R1", "E3R1"}}
    assert bordered["A"] >= 1
    assert check_plan(json.loads(plan_json(plan))) == []


@pytest.mark.slow
def test_zone_belongs_to_the_deck_that_it_lies_in() -> None:
    half = [[2500, -7000], [4000, -7000], [4000, -5000], [2500, -5000]]
    plan = design(three_decks(zones=[{"name": "half", "outline": half}]))
    assert [(zone.id, zone.deck) for zone in plan.zones] == [("A", 0), ("B", 1), ("C", 2), ("D", 2)]
    assert check_plan(json.loads(plan_json(plan))) == []


def test_post_is_gone_round_on_its_own_deck(plan: Plan) -> None:
    near = [p.zone for p in plan.pieces if Polygon(p.polygon.outer).distance(Point(11000, 3000)) < 70]
    assert set(near) == {"B"}


@pytest.mark.slow
def test_zones_are_proposed_deck_by_deck() -> None:
    """The deck round the corner turns its boards; the one by the pond does not."""
    corner = [[9000, 6000], [9000, 0], [3000, 0], [3000, -3000], [12000, -3000], [12000, 6000]]
    site = propose_zones(three_decks(deck={"outline": POND}, decks=[{"name": "corner", "outline": corner}]))
    assert [zone.name for zone in site.zones] == ["along edge 0 of corner", "along edge 1 of corner"]
    assert [(zone.id, zone.deck) for zone in design(site).zones] == [("A", 0), ("B", 1), ("C", 1)]


def test_direction_chosen_holds_for_all_decks() -> None:
    site = with_choices(three_decks(), direction=45.0)
    assert [deck.direction for deck in (site.deck, *site.decks)] == [45.0, 45.0, 45.0]


def test_names_with_markup_and_spaces_are_told_as_they_are() -> None:
    plan = design(three_decks(decks=[{"name": "[bold] terrace", "outline": SIDE, "surface": 450}]))
    assert any(check.message.startswith("[bold] terrace: ") for check in plan.checks)


@pytest.mark.parametrize(
    ("tables", "line"),
    [
        pytest.param(
            {"decks": [{"name": "a", "outline": [[5000, -2000], [8000, -2000], [8000, -4000], [5000, -4000]]}]},
            "decks[0].outline: overlaps deck.outline; let decks meet, not overlap",
            id="overlap",
        ),
        pytest.param(
            {"decks": [{"name": "a", "outline": SIDE}, {"name": "a", "outline": POND}]},
            "decks[1].name: 'a'; another deck is called so; give each a name of its own",
            id="same name",
        ),
        pytest.param(
            {"decks": [{"name": "a", "outline": SIDE, "start_edge": 4}]},
            "decks[0].start_edge: 4; decks[0].outline has edges 0 to 3",
            id="start edge",
        ),
        pytest.param(
            {"decks": [{"name": "a", "outline": SIDE, "edge_finish": {"7": "trim"}}]},
            "decks[0].edge_finish.7: 7; decks[0].outline has edges 0 to 3",
            id="edge finish",
        ),
        pytest.param(
            {"decks": [{"name": "a", "outline": SIDE, "openings": [[[8000, 0], [9500, 0], [9500, 900]]]}]},
            "decks[0].openings[0]: reaches decks[0].outline; keep the opening inside, or draw the outline round it",
            id="opening",
        ),
        pytest.param(
            {"decks": [{"name": "a", "outline": [[8000, 1000], [12000, 1000], [12000, 4000], [8000, 4000]]}]},
            "decks[0].outline: runs into the house at [8495, 2500]; follow the outer faces of house.walls",
            id="house",
        ),
        pytest.param(
            {"obstacles": [{"name": "post", "centre": [20000, 0], "diameter": 100}]},
            "obstacles[0] 'post': lies 8012 mm outside every deck; move it onto the deck, or leave it out",
            id="obstacle",
        ),
        pytest.param(
            {"zones": [{"name": "z", "outline": [[1000, -2000], [4000, -2000], [4000, -6000], [1000, -6000]]}]},
            "zones[0] 'z': lies in no single deck; keep the zone inside one deck",
            id="zone",
        ),
        pytest.param(
            {"frame": {"state": "existing", "joists": [[[0, 0], [0, -3000]]]}},
            "decks: given with a standing frame; plan each deck on it as a site of its own",
            id="standing frame",
        ),
        pytest.param(
            {"decks": [{"name": "a", "outline": [[20000, 0], [20010, 0], [20010, 10], [20000, 10]]}], "obstacles": []},
            "decks[0].outline: nothing of its 10 x 10 mm can be boarded; are `units`, gaps and clearances right?",
            id="nothing",
        ),
    ],
)
def test_faults_of_decks_are_told_in_one_line(tables: dict[str, Any], line: str) -> None:
    with pytest.raises(SiteError) as fault:
        design(three_decks(**tables))
    assert str(fault.value) == line


@pytest.mark.slow
def test_decks_may_touch() -> None:
    """A step down from one deck to the next: they share an edge, and each keeps its own height."""
    lower = [[0, -3000], [0, -5000], [6000, -5000], [6000, -3000]]
    plan = design(three_decks(decks=[{"name": "lower", "outline": lower, "surface": 20}], obstacles=[]))
    assert math.isclose(sum(Polygon(z.outline.outer).area for z in plan.zones), 6000 * 5000)
    assert check_plan(json.loads(plan_json(plan))) == []

"""Cutting in a whole plan: stock on hand, squared ends, rips side by side, kept offcuts and bounds."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import SiteError, design, plan_json, read_site
from courseline.engine.cutplan import exact
from courseline.engine.cutplan.job import in_steps
from courseline.engine.cutplan.quick import quick
from courseline.engine.cutplan.simple import least_by_length
from courseline.engine.effort import Effort
from courseline.engine.papers.summary import summarise
from courseline.engine.plan import Plan
from courseline.engine.scene import build_scene
from courseline.engine.site import site_from_table
from generated_sites import generated_site
from jobs import job_of
from rectangles import orders, rectangle, rectangle_site
from shares import shares

SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))
SMALL_FIRST = [
    pytest.param(scene, marks=pytest.mark.slow if scene.stem == "one_wall" else pytest.mark.long, id=scene.stem)
    for scene in SCENES
]
LOW = {"surface": 108, "edge_finish": {"default": "fascia"}}
"""A deck so low that its fascias are ripped to 108 - 22 - 20 = 66 mm: two of them and a kerf in a board of 140."""


def faults(plan: Plan | dict[str, Any]) -> list[str]:
    record = json.loads(plan_json(plan)) if isinstance(plan, Plan) else plan
    return [str(fault) for fault in check_plan(record)]


def kept(plan: Plan) -> tuple[float, float, bool]:
    (check,) = [check for check in plan.checks if check.id == "kept offcuts"]
    return check.value, check.limit, check.ok


# Stock on hand


def test_boards_on_hand_are_used_first_and_not_ordered() -> None:
    # Ten courses of 4000, one board each.
    plan = rectangle(4000, 1445, stock=[{"length": 4000, "count": 4}])
    assert orders(plan)["board-4000"] == plan.bounds[0].stock_used == plan.bounds[0].lower_bound == 6
    assert sum(item.on_hand for item in plan.stock) == 4
    assert plan.takeoff[0].price == plan.bounds[0].price == Decimal("180.00")
    assert summarise(plan).boards == 6
    assert faults(plan) == []


def test_enough_on_hand_orders_nothing() -> None:
    plan = rectangle(4000, 1445, stock=[{"length": 4000, "count": 12}])
    assert "board-4000" not in orders(plan)
    assert sum(item.on_hand for item in plan.stock) == 10
    assert faults(plan) == []


def test_offcut_on_hand_gives_the_piece_that_it_holds() -> None:
    # One course of 5996 + 8 mm: a whole board and 1996 mm, which an offcut of 2010 gives.
    bought = rectangle(6004, 140)
    plan = rectangle(6004, 140, stock=[{"length": 2010}])
    assert (orders(bought)["board-4000"], orders(plan)["board-4000"]) == (2, 1)
    (own,) = [item for item in plan.stock if item.on_hand]
    assert (own.length, len(own.pieces)) == (2010, 1)
    assert faults(plan) == []


def test_timber_on_hand_is_named_as_the_plan_names_it() -> None:
    without = rectangle(4000, 1445)
    plan = rectangle(4000, 1445, stock=[{"product": "timber-47x147", "length": "4.8 m", "count": 3}])
    assert plan.bounds[1].price < without.bounds[1].price
    assert sum(item.on_hand and item.product == "timber-47x147" for item in plan.stock) == 3
    assert faults(plan) == []


@pytest.mark.parametrize(
    ("stock", "pattern", "line"),
    [
        (
            [{"product": "oak", "length": 3000}],
            {},
            "stock[0].product: 'oak'; this deck is cut from 'plain-140' and 'timber-47x147'",
        ),
        (
            [{"length": 3000}, {"length": 20}],
            {"square_up": 10},
            "stock[1].length: 20 mm; pattern.square_up takes 20 mm",
        ),
        ([{"length": 3000, "count": 0}], {}, "stock[0].count: 0;"),
        ([{"count": 2}], {}, "stock[0].length: missing;"),
        ([{"length": 3000, "lenght": 1}], {}, "stock[0].lenght: unknown key; did you mean 'length'?"),
        ([], {"square_up": 2000}, "pattern.square_up: 2000 mm off each end; leaves nothing of a board of 4000 mm"),
        ([], {"square_up": 1700}, "pattern.square_up: 4000 mm less 1700 mm off each end; a piece may have to span 800"),
    ],
)
def test_refusals_say_what_to_do_in_one_line(stock: list[Any], pattern: dict[str, Any], line: str) -> None:
    with pytest.raises(SiteError) as fault:
        rectangle_site(4000, 1445, stock=stock, pattern=pattern)
    assert str(fault.value).startswith(line)
    assert "\n" not in str(fault.value)


def test_timber_is_not_squared_up() -> None:
    rectangle_site(4000, 1445, stock=[{"product": "timber-47x147", "length": 20}], pattern={"square_up": 10})


# Squared ends


def test_squared_ends_shorten_what_a_board_gives() -> None:
    # A course of 4000 comes from one board as bought, but not from one of 4000 - 2 x 10.
    plan = rectangle(4000, 140, pattern={"square_up": 10})
    assert (orders(rectangle(4000, 140))["board-4000"], orders(plan)["board-4000"]) == (1, 2)
    assert max(piece.length for piece in plan.pieces) <= 3980
    assert faults(plan) == []


def test_squared_ends_are_taken_off_the_offcut() -> None:
    # 4000 - 2 x 10 - 3000 - 3
    plan = rectangle(3000, 140, pattern={"square_up": 10})
    assert [item.offcut for item in plan.stock if item.product == "plain-140"] == [977.0]
    assert faults(plan) == []


def test_checker_counts_squared_ends() -> None:
    record = json.loads(plan_json(rectangle(4000, 140)))
    record["site"]["pattern"]["square_up"] = 5.0
    assert any("take 4010.00 mm of 4000" in fault for fault in faults(record))


# Rips


@pytest.mark.slow
def test_rips_of_solid_boards_share_a_board_and_those_of_hollow_ones_do_not() -> None:
    hollow, solid = (rectangle(6000, 2900, deck=LOW, boards={"profile": profile}) for profile in ("hollow", "solid"))
    assert (hollow.site.boards.rip_shares, solid.site.boards.rip_shares) == (False, True)
    # 18000 mm of fascia in 4000s, in pairs or alone: two boards.
    assert orders(solid)["board-4000"] == orders(hollow)["board-4000"] - 2
    assert not any(item.side_by_side for item in hollow.stock)
    for item in solid.stock:
        for first, second in item.side_by_side:
            assert {name[:3] for name in (*first, *second)} == {"A-F"}
            assert set(first) | set(second) <= set(item.pieces)
    assert sum(bool(item.side_by_side) for item in solid.stock) == 3
    assert faults(solid) == faults(hollow) == []


@pytest.mark.slow
def test_file_may_say_that_rips_share_no_board() -> None:
    plan = rectangle(6000, 2900, deck=LOW, boards={"profile": "solid", "rip_shares": False})
    assert not any(item.side_by_side for item in plan.stock)
    assert faults(plan) == []


def shared() -> dict[str, Any]:
    record: dict[str, Any] = json.loads(plan_json(rectangle(6000, 2900, deck=LOW, boards={"profile": "solid"})))
    return record


@pytest.mark.slow
def test_checker_refuses_rips_side_by_side_that_do_not_fit_or_may_not() -> None:
    record = shared()
    record["site"]["boards"]["rip_shares"] = False
    assert any("in what is not sawn so" in fault for fault in faults(record))
    record = shared()
    (item,) = [i for i in record["stock"] if i["side_by_side"]][:1]
    item["side_by_side"] = []
    assert any("parts and kerfs take" in fault for fault in faults(record))
    record = shared()
    for piece in record["pieces"]:
        if piece["kind"] == "fascia":
            piece["width"] = 70.0
    assert any("and a kerf are wider than the board" in fault for fault in faults(record))
    record = shared()
    for piece in record["pieces"]:
        piece["cuts"] = [cut for cut in piece["cuts"] if cut != "rip"]
    assert any("not all of them are rips" in fault for fault in faults(record))
    record = shared()
    (item,) = [i for i in record["stock"] if i["side_by_side"]][:1]
    (a, b) = item["side_by_side"][0]
    item["side_by_side"] = [[a, b], [b, a]]
    assert any("names a piece twice" in fault for fault in faults(record))


@pytest.mark.slow
def test_pieces_of_both_strips_begin_where_their_stretch_begins() -> None:
    # The fascias of 1800 mm, side by side, come from what a course of 1800 leaves of its board.
    plan = rectangle(1800, 1300, deck=LOW, boards={"profile": "solid"})
    begins = {board.id: board.from_end for board in build_scene(plan).boards}
    (item,) = [item for item in plan.stock if item.side_by_side and item.pieces[0] == "A-09-1"]
    (((first,), (second,)),) = item.side_by_side
    assert item.pieces == ("A-09-1", first, second)
    assert begins[first] == begins[second] == 1800 + item.kerf


@pytest.mark.slow
def test_checker_refuses_a_second_strip_longer_than_the_first() -> None:
    record = shared()
    (item,) = [i for i in record["stock"] if i["side_by_side"]][:1]
    second = item["side_by_side"][0][1][0]
    for piece in record["pieces"]:
        if piece["id"] == second:
            piece["length"] += 60.0
    assert any("second strip takes" in fault for fault in faults(record))


def test_checker_refuses_more_from_hand_than_there_is() -> None:
    record = json.loads(plan_json(rectangle(4000, 1445, stock=[{"length": 4000, "count": 4}])))
    record["site"]["stock"][0]["count"] = 3
    assert any("4 of 4000.0 mm taken as on hand, where there are 3" in fault for fault in faults(record))


# On site


@pytest.mark.slow
@pytest.mark.parametrize("most", [0, 1, 2, 5])
def test_no_more_offcuts_are_kept_than_the_site_allows(most: int) -> None:
    free, held = (rectangle(6004, 2903, at_wall=True, pattern={"kept_offcuts": limit}) for limit in (12, most))
    assert kept(held)[0] <= most
    assert kept(held)[1:] == (most, True)
    assert faults(held) == []
    assert orders(held)["board-4000"] >= orders(free)["board-4000"]


def test_where_no_offcut_may_be_kept_each_piece_has_a_board_of_its_own() -> None:
    plan = rectangle(6004, 1453, at_wall=True, pattern={"kept_offcuts": 0})
    assert orders(plan)["board-4000"] == len(plan.pieces) == 20


@pytest.mark.parametrize("scene", SMALL_FIRST)
def test_with_room_for_two_offcuts_courses_take_no_more_than_by_site_habit(scene: Path) -> None:
    # By habit each course begins with the offcut of the last: one is kept at a time, and the bond is left to chance.
    # Keeping it may cost a board, where by price that is the cheapest way.
    site = read_site(scene)
    plan = design(replace(site, pattern=replace(site.pattern, kept_offcuts=2)), "normal")
    assert kept(plan)[0] <= 2
    assert faults(plan) == []
    edges = [piece.length for piece in plan.pieces if piece.kind != "board"]
    alone = len(quick(job_of(edges, site.boards.lengths, site.pattern.kerf)))
    (habit,) = (check.limit for check in plan.checks if check.id == "site habit")
    assert plan.bounds[0].stock_used <= habit + alone + 1


def test_checker_counts_kept_offcuts() -> None:
    record = json.loads(plan_json(rectangle(6004, 1453, at_wall=True)))
    record["site"]["pattern"]["kept_offcuts"] = 0
    assert any("offcuts are kept at once, where 0 may be" in fault for fault in faults(record))


@pytest.mark.slow
def test_rips_wait_for_no_place_beside_each_other_where_too_many_would() -> None:
    few = rectangle(6000, 2900, deck=LOW, boards={"profile": "solid"}, pattern={"kept_offcuts": 1})
    assert faults(few) == []


@pytest.mark.slow
def test_each_offcut_is_there_before_its_piece_is_laid() -> None:
    plan = design(read_site(SCENES[0]))
    laid = {piece.id: time for time, piece in enumerate(plan.pieces)}
    boards = [item for item in plan.stock if item.product == plan.site.boards.product]
    times = [[laid[name] for name in item.along] for item in boards]
    assert all(own == sorted(own) for own in times)
    assert [own[0] for own in times] == sorted(own[0] for own in times)
    most = max(sum(own[0] <= at < own[-1] for own in times) for at in range(len(laid)))
    assert most == kept(plan)[0] <= plan.site.pattern.kept_offcuts


# Sites that no one drew for it

BUYING = (0, 6, 8)
"""Rules of the plan file that cutting and ordering must keep."""


@pytest.mark.slow
@pytest.mark.parametrize("number", shares(60, fast=3, tested=15))
def test_generated_site_holds_with_stock_on_hand_squared_ends_and_rips_that_share(number: int) -> None:
    chance = random.Random(number)
    table = generated_site(number)
    table["boards"]["profile"] = "solid"
    table["deck"]["surface"] = chance.choice([90, 108, 150])
    table["deck"].setdefault("edge_finish", {"default": "fascia"})
    table["pattern"] = {**table["pattern"], "square_up": chance.choice([0, 5, 12.5])}
    table["stock"] = [{"length": chance.randint(400, 5000), "count": chance.randint(1, 9)} for _ in range(2)]
    plan = design(site_from_table(table))
    assert [fault for fault in check_plan(json.loads(plan_json(plan))) if fault.rule in BUYING] == []
    assert sum(line.order for line in plan.takeoff if line.item.startswith("board-")) == plan.bounds[0].stock_used


# Bounds


@pytest.mark.slow
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_bounds_of_a_scene_are_proved_where_the_solver_is(scene: Path, effort: Effort) -> None:
    plan = design(read_site(scene), effort)
    exactly = effort != "quick" and exact.library() is not None
    for bound in plan.bounds:
        assert bound.covers == "cutting"
        assert bound.proved is exactly
        assert bound.lower_bound <= bound.stock_used
        assert bound.least_price <= bound.price
        if exactly:  # of these scenes every list is cut to its bound
            assert bound.least_price == bound.price
    assert faults(plan) == []


@pytest.mark.slow
def test_bounds_price_what_the_takeoff_orders() -> None:
    plan = design(read_site(SCENES[0]))
    for bound, kind in zip(plan.bounds, ("board", "timber"), strict=True):
        assert bound.price == sum(line.price for line in plan.takeoff if line.item.startswith(f"{kind}-"))


def taken(chance: random.Random, totals: list[float], butt: float, most: int) -> list[float]:
    """Courses butted anywhere, at no more joints than given; no piece over 4000 mm."""
    lengths: list[float] = []
    spare = most - sum(-(-(total + butt) // (4000 + butt)) - 1 for total in totals)
    for total in totals:
        fewest = int(-(-(total + butt) // (4000 + butt))) - 1
        more = chance.randint(0, int(min(spare, 3)))
        spare -= more
        joints = fewest + more
        board = total - joints * butt
        shares = [board / (joints + 1)] * (joints + 1)
        for k in range(joints):
            moved = chance.uniform(0, min(shares[k] - 100, 4000 - shares[k + 1]))
            shares[k], shares[k + 1] = shares[k] - moved, shares[k + 1] + moved
        lengths += shares
    return lengths


@pytest.mark.parametrize("number", range(40))
def test_no_way_to_butt_the_courses_goes_below_the_bound_on_joints_and_cutting(number: int) -> None:
    chance = random.Random(number)
    kerf, butt = chance.choice([(3.0, 8.0), (4.0, 0.0), (3.0, 3.0)])
    totals = [chance.uniform(4100, 11_000) for _ in range(chance.randint(2, 5))]
    lengths = taken(chance, totals, butt, 30)
    bound = least_by_length(job_of(lengths, [4000], kerf), in_steps(max(0.0, kerf - butt)))
    assert bound >= (sum(totals) - butt * (len(lengths) - len(totals))) // 4000
    for _ in range(20):
        other = taken(chance, totals, butt, len(lengths) - len(totals))
        assert len(quick(job_of(other, [4000], kerf))) >= bound


def test_a_joint_less_spares_its_kerf_where_boards_are_butted_tight() -> None:
    # 8000 mm without gaps, in three pieces: two cuts of 10 mm would want a third board. In two whole boards: none.
    job = job_of([2000, 4000, 2000], [4000], 10)
    assert len(quick(job_of([4000, 4000], [4000], 10))) == least_by_length(job, in_steps(10)) == 2
    assert least_by_length(job) == 3


def test_bound_on_joints_and_cutting_by_hand() -> None:
    # 19 courses of 6004 mm, less 8 mm a joint; each piece with 3 mm of saw, and 3 mm more in a board of 4000.
    plan = rectangle(6004, 19 * 145 - 5)
    joints = len(plan.joints)
    needed = (19 * 6004 - 8 * joints + 3 * (19 + joints)) / 4003
    assert 28 < needed < 29
    assert plan.bounds[0].joints_bound == 29
    assert plan.bounds[0].joints_proved
    (told,) = [check.message for check in plan.checks if check.id == "fewest boards"]
    assert "no plan with as many joints takes fewer than 29" in told


@pytest.mark.slow
def test_without_the_solver_the_bound_on_cutting_is_not_proved_and_all_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    site = rectangle_site(6004, 19 * 145 - 5)
    monkeypatch.setattr(exact, "library", lambda: None)
    plan = design(site, "normal")
    assert not plan.bounds[0].proved or plan.bounds[0].lower_bound == plan.bounds[0].stock_used
    assert plan.bounds[0].joints_proved
    assert plan.bounds[0].joints_bound <= plan.bounds[0].stock_used
    assert faults(plan) == []

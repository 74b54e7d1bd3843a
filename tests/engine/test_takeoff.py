"""Small orders worked out by hand to the cent: each test states its sum. Prices and packs are made up for the tests.

The deck is one board long and ten courses deep, at a wall: 10 boards of 4000; timber of 47 x 147, one of 3600 and five
of 4200; 11 starter clips, 99 clips, 11 edge clips.
"""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import ROUND_DOWN, Decimal
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import design, plan_json
from courseline.engine.checks.saving import saving
from courseline.engine.lay import lay_decks
from courseline.engine.plan import Plan, StockItem, TakeoffLine
from courseline.engine.spec import Break
from courseline.engine.takeoff import payable, tax_on, total_price
from courseline.engine.takeoff.lengths import Part, board_lines
from rectangles import BOARD, FREE_DEPTH, WALL_DEPTH, rectangle, rectangle_site


def order(**tables: Any) -> Plan:
    return rectangle(BOARD, WALL_DEPTH, at_wall=True, **tables)


def lines(plan: Plan) -> dict[str, TakeoffLine]:
    return {line.item: line for line in plan.takeoff}


def bought(line: TakeoffLine) -> tuple[int, str, str]:
    return line.order, str(line.unit_price), str(line.price)


# Breaks


def test_break_holds_from_its_very_quantity_on() -> None:
    reached = lines(order(prices={"board": 30, "board_breaks": [{"from": 10, "price": 28.35}]}))
    missed = lines(order(prices={"board": 30, "board_breaks": [{"from": 11, "price": 28.35}]}))
    assert bought(reached["board-4000"]) == (10, "28.35", "283.50")
    assert bought(missed["board-4000"]) == (10, "30.00", "300.00")


def test_last_break_reached_counts() -> None:
    breaks = [{"from": 5, "price": 29}, {"from": 10, "price": 27.99}, {"from": 500, "price": 20}]
    assert bought(lines(order(prices={"board": 30, "board_breaks": breaks}))["board-4000"]) == (10, "27.99", "279.90")


def test_larger_order_that_costs_less_is_told_and_not_ordered() -> None:
    # 10 x 30 = 300.00, but 12 x 24.99 = 299.88; 12 x 25 = 300.00 would be no cheaper.
    told = lines(order(prices={"board": 30, "board_breaks": [{"from": 12, "price": 24.99}]}))["board-4000"]
    equal = lines(order(prices={"board": 30, "board_breaks": [{"from": 12, "price": 25}]}))["board-4000"]
    assert bought(told) == (10, "30.00", "300.00")
    assert told.note == "2 more boards would cost 0.12 less: 299.88 in all"
    assert equal.note == ""


def test_breaks_of_timber_go_by_the_metre_of_all_lengths() -> None:
    # 3.6 + 5 x 4.2 = 24.6 m, which no sum of binary fractions need meet. At 4.65: 3.6 x 4.65 = 16.74, 21 x 4.65 = 97.65
    reached = lines(order(prices={"timber_metre": 4.8, "timber_breaks": [{"from": 24.6, "price": 4.65}]}))
    assert bought(reached["timber-47x147-3600"]) == (1, "16.74", "16.74")
    assert bought(reached["timber-47x147-4200"]) == (5, "19.53", "97.65")
    missed = lines(order(prices={"timber_metre": 4.8, "timber_breaks": [{"from": 24.61, "price": 4.0}]}))
    # One more of 3.6 m makes 28.2 m: 28.2 x 4 = 112.80, where 24.6 x 4.8 = 118.08
    assert missed["timber-47x147-3600"].note == "1 more length of 3600 would cost 5.28 less: 112.80 in all"
    assert bought(missed["timber-47x147-4200"]) == (5, "20.16", "100.80")


def test_timber_is_priced_by_its_section() -> None:
    plans = {depth: order(frame={"section": [47, depth]}) for depth in (147, 197, 200)}
    metres = {
        depth: sum(item.length for item in plan.stock if item.product.startswith("timber")) / 1000
        for depth, plan in plans.items()
    }
    cost = {depth: sum(line.price for line in plan.takeoff if line.unit == "length") for depth, plan in plans.items()}
    assert metres == {147: 24.6, 197: 24.6, 200: 24.6}
    assert cost[147] == Decimal("118.08")  # 24.6 x 4.80, as the table lists 47 x 147
    assert cost[197] == Decimal("159.90")  # 24.6 x 6.50
    assert cost[200] == Decimal("160.64")  # 47 x 200 is not listed: 0.0094 m2 x 695 = 6.533, so 24.6 x 6.53 = 160.638


# Packs


PACKED = {"name": "clip", "pack": 33, "price": 9.99}


@pytest.mark.parametrize(("pack", "packs", "over"), [(33, 3, 0), (34, 3, 3), (98, 2, 97), (99, 1, 0), (100, 1, 1)])
def test_clips_come_in_whole_packs(pack: int, packs: int, over: int) -> None:
    clip = lines(order(fixings={"clip": PACKED | {"pack": pack}}))["clip"]
    assert (clip.net, clip.order, clip.over, clip.unit, clip.pack) == (99, packs, over, "pack", pack)
    assert clip.price == packs * Decimal("9.99")


def test_breaks_of_packs_and_the_pack_that_makes_it_cheaper() -> None:
    # 3 packs at 9.99 = 29.97; from 4 on at 7: 28.00
    product = PACKED | {"breaks": [{"from": 4, "price": 7.0}]}
    clip = lines(order(fixings={"clip": product}))["clip"]
    assert (bought(clip), clip.note) == ((3, "9.99", "29.97"), "1 more pack would cost 1.97 less: 28.00 in all")
    assert bought(lines(order(fixings={"clip": product | {"pack": 25}}))["clip"]) == (4, "7.00", "28.00")


def test_mass_is_that_of_all_that_is_bought() -> None:
    # 3 packs of 34 at 0.05 kg each
    assert lines(order(fixings={"clip": PACKED | {"pack": 34, "mass": 0.05}}))["clip"].mass == 5.1


def test_screws_that_no_pack_of_clips_holds_are_bought_for_them() -> None:
    # 99 x 1 + 11 x 2 = 121 screws in packs of 50: three, 29 over
    fixings = {
        "clip": PACKED | {"screws": 1},
        "edge_clip": PACKED | {"screws": 2},
        "clip_screw": {"name": "clip screw", "pack": 50, "price": 4.45},
    }
    screws = lines(order(fixings=fixings))["clip-screw"]
    assert (screws.net, screws.over, bought(screws)) == (121, 29, (3, "4.45", "13.35"))
    assert screws.rule == "1 for each clip, 2 for each edge clip"
    assert "clip-screw" not in lines(order())


def test_price_of_one_in_the_site_is_bought_by_the_piece() -> None:
    clip = lines(order(prices={"clip": 0.335}))["clip"]
    assert (clip.unit, bought(clip), clip.over) == ("piece", (99, "0.335", "33.17"), 0)  # 33.165: half a cent goes up


# Spare boards


@pytest.mark.parametrize(("spare", "boards"), [(0.05, 1), (0.1, 1), (0.11, 2), (0.7, 7), (1, 1), (3, 3)])
def test_spare_boards_have_a_line_of_their_own(spare: float, boards: int) -> None:
    # Of 10 boards: 0.5, 1, 1.1 and 7 rounded up, or as many.
    taken = lines(order(order={"spare": spare}))
    assert taken["board-4000"].order == 10
    line = taken["spare-board-4000"]
    assert (line.net, line.over, bought(line)) == (0.0, boards, (boards, "30.00", f"{30 * boards}.00"))
    assert line.mass == pytest.approx(boards * 10.4)  # 4 m x 2.6 kg/m


def test_share_of_spare_boards_is_what_is_written() -> None:
    # Of 100 boards 0.07 are 7, where binary fractions make 7.000000000000001 and would buy 8
    site = rectangle_site(BOARD, WALL_DEPTH, order={"spare": 0.07})
    stock = [StockItem(f"b{i}", "plain-140", 4e3, (f"p{i}",), 3.0, 0.0) for i in range(100)]
    parts = {f"p{i}": Part("board", 4000.0) for i in range(100)}
    assert [line.order for line in board_lines(site, stock, parts)] == [100, 7]


def test_boards_of_two_lengths_are_priced_by_the_length_and_break_together() -> None:
    # 46.00 for 4 m, so 34.50 for 3 m. From 5 boards on 40.00, so 30.00: 2 x 30 + 2 x 40, and a spare of the longest
    site = rectangle_site(BOARD, WALL_DEPTH, boards={"product": "core-138"}, order={"spare": 1})
    stock = [StockItem(f"b{i}", "core-138", size, (f"p{i}",), 3.0, 0.0) for i, size in enumerate([3e3, 4e3, 3e3, 4e3])]
    parts = {f"p{i}": Part("board", 2500.0) for i in range(4)}
    plain = {line.item: bought(line) for line in board_lines(site, stock, parts)}
    assert plain == {
        "board-3000": (2, "34.50", "69.00"),
        "board-4000": (2, "46.00", "92.00"),
        "spare-board-4000": (1, "46.00", "46.00"),
    }
    broken = replace(site, prices=replace(site.prices, board_breaks=(Break(start=5, price=40.0),)))
    assert [str(line.price) for line in board_lines(broken, stock, parts)] == ["60.00", "80.00", "40.00"]
    # From 6 boards on 36: one more of 3000, 3 x 27 + 2 x 36 + 36 = 189.00, where 69 + 92 + 46 = 207.00
    told = replace(site, prices=replace(site.prices, board_breaks=(Break(start=6, price=36.0),)))
    note = board_lines(told, stock, parts)[0].note
    assert note == "1 more board of 3000 would cost 18.00 less: 189.00 in all"


def test_no_spare_boards_unless_asked_for() -> None:
    assert not [line for line in order().takeoff if "spare" in line.item]


def test_spare_boards_help_to_reach_a_break() -> None:
    taken = lines(order(order={"spare": 2}, prices={"board": 30, "board_breaks": [{"from": 12, "price": 26}]}))
    assert bought(taken["board-4000"]) == (10, "26.00", "260.00")
    assert bought(taken["spare-board-4000"]) == (2, "26.00", "52.00")


def test_all_on_hand_leaves_nothing_but_the_spare_to_buy() -> None:
    taken = lines(order(order={"spare": 1}, stock=[{"length": 4000, "count": 10}]))
    assert "board-4000" not in taken
    assert taken["spare-board-4000"].order == 1


def test_boards_on_hand_are_told() -> None:
    board = lines(order(stock=[{"length": 4000, "count": 4}]))["board-4000"]
    assert (board.order, board.rule) == (6, "every board that the cut plan saws, 3 mm a cut; 4 on hand come first")


# The whole


def test_whole_order_adds_up_to_the_cent() -> None:
    # 300.00 + 17.28 + 100.80 + a pack each of starter clips 27.50, clips 34.00, edge clips 15.00
    plan = order()
    assert [str(line.price) for line in plan.takeoff] == ["300.00", "17.28", "100.80", "27.50", "34.00", "15.00"]
    assert str(total_price(plan.takeoff)) == "494.58"


def test_tax_is_rounded_once_on_the_total() -> None:
    # 17.5 % of 494.58 is 86.5515
    plan = order(prices={"tax": 0.175})
    assert str(total_price(plan.takeoff)) == "494.58"
    assert str(tax_on(total_price(plan.takeoff), plan.site.prices)) == "86.55"
    assert str(payable(plan.takeoff, plan.site.prices)) == "581.13"


def test_no_tax_unless_asked_for() -> None:
    plan = order()
    assert payable(plan.takeoff, plan.site.prices) == total_price(plan.takeoff)


def test_every_line_tells_its_rule_and_where_that_comes_from() -> None:
    assert all(line.rule and line.source for line in order(order={"spare": 1}).takeoff)


@pytest.mark.slow
def test_edge_boards_may_have_screws_of_their_own() -> None:
    # A border alone is screwed here, so its screws move to the other product, and none of the plain ones is left.
    border = {"courses": 1}
    plain = lines(order(pattern={"border": border}))
    screw = {"name": "grey screw", "pack": 10, "price": 2.50}
    plan = order(pattern={"border": border}, fixings={"edge_screw": screw})
    own, count = lines(plan)["edge-screw"], int(plain["screw"].net)
    assert "screw" not in lines(plan)
    packs = -(-count // 10)
    assert (own.net, own.order, str(own.unit_price), own.price) == (count, packs, "2.50", packs * Decimal("2.50"))
    assert [(share.kind, share.price) for share in own.made_of] == [("border", own.price)]
    assert check_plan(json.loads(plan_json(plan))) == []
    # Where nothing lies along an edge there is nothing for them to hold.
    assert "edge-screw" not in lines(order(fixings={"edge_screw": screw}))


# What the cut plan and the saving say of money


def test_bounds_are_priced_at_the_break_that_the_order_reaches() -> None:
    # Ten boards, none fewer: 10 x 28.35; with two spare ones the same 10, at the price of twelve.
    breaks = [{"from": 10, "price": 28.35}, {"from": 12, "price": 27.00}]
    boards, timber = order(prices={"board": 30, "board_breaks": breaks}).bounds
    assert (str(boards.price), str(boards.least_price)) == ("283.50", "283.50")
    assert str(timber.price) == "118.08"
    spare = order(prices={"board": 30, "board_breaks": breaks}, order={"spare": 2}).bounds[0]
    assert (str(spare.price), str(spare.least_price)) == ("270.00", "270.00")


def test_bound_of_two_lengths_falls_by_the_length_that_falls_most() -> None:
    # Of 30.00 a length of 3000 costs 22.50, of 10.01 it costs 7.51 (7.5075): it falls to 7.51 / 22.50 = 0.33378. One of
    # 4000 falls to 10.01 / 30 = 0.33367. A bound may count on the second alone.
    boards, at = {"lengths": [3000, 4000]}, [{"from": 5, "price": 10.01}]
    before = order(boards=boards, prices={"board": 30}).bounds[0]
    after = order(boards=boards, prices={"board": 30, "board_breaks": at}).bounds[0]
    assert after.price == Decimal("100.10")
    assert before.least_price > 0
    assert after.least_price == (before.least_price * Decimal("10.01") / 30).quantize(Decimal("0.01"), ROUND_DOWN)


@pytest.mark.slow
def test_saving_is_what_the_order_would_cost_more() -> None:
    site = rectangle_site(6_500.0, FREE_DEPTH, prices={"board": 30})
    plan = design(site, "normal")
    (line,) = [line for line in plan.takeoff if line.unit == "board"]
    (check,) = [check for check in plan.checks if check.id == "site habit"]
    laid = lay_decks(site, "normal")
    assert [check] == saving(site, laid, plan.stock)
    saved = int(check.limit - check.value)
    assert saved > 0, "a deck on which planning saves boards is what this test needs"
    told = check.message
    assert told.endswith(f"the plan saves {saved} board{'s' * (saved > 1)}, GBP {30 * saved}.00")
    # From as many boards as the plan takes on, one costs 20; from as many as habit takes on, all would cost less.
    for start, words in (
        (line.order, f"GBP {20 * saved}.00"),
        (line.order + saved, "though so many more would reach a price break and cost no more"),
    ):
        breaks = (Break(start=start, price=20),)
        broken = replace(site, prices=replace(site.prices, board_breaks=breaks))
        (again,) = saving(broken, laid, plan.stock)  # a plan of its own would buy more boards where they cost less
        assert again.message.endswith(words)

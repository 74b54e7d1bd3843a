"""Lift-out panels (common practice, no source, unless a test says otherwise)."""

from __future__ import annotations

import json
from itertools import pairwise
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import design, plan_json
from courseline.engine.layout.courses import Run
from courseline.engine.layout.hatch import Hatch
from courseline.engine.plan import Check, Piece, Plan
from courseline.engine.site import site_from_table
from generated_sites import generated_site
from rectangles import BUTT_GAP, JOIST, WALL_DEPTH, orders, rectangle
from shapely.geometry import LineString, Polygon, box
from shares import shares

LENGTH, DEPTH = 6000, 2170  # 15 courses of 140 and 14 gaps of 5
LID: dict[str, Any] = {"name": "drain", "kind": "cover", "centre": [2500, 1085], "size": [600, 600], "clearance": 8}


def hatched(length: float = LENGTH, depth: float = DEPTH, *, lid: dict[str, Any] | None = None, **tables: Any) -> Plan:
    obstacles = [LID | (lid or {}) | {"treatment": "hatch"}, *tables.pop("others", [])]
    return rectangle(length, depth, obstacles=obstacles, **tables)


def panel(plan: Plan) -> list[Piece]:
    return [piece for piece in plan.pieces if piece.kind == "hatch"]


def ends(pieces: list[Piece]) -> tuple[float, float, float, float]:
    xs, ys = zip(*(xy for piece in pieces for xy in piece.polygon.outer), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def told(plan: Plan) -> Check:
    return next(check for check in plan.checks if check.id.startswith("hatch "))


def faults(plan: Plan) -> list[str]:
    return [str(fault) for fault in check_plan(json.loads(plan_json(plan)))]


def footprint(plan: Plan, name: str) -> Polygon:
    member = next(m for m in plan.members if m.id == name)
    line = LineString([member.start[:2], member.end[:2]])
    return line.buffer(member.section[0] / 2, cap_style="flat")


@pytest.mark.slow
def test_panel_is_whole_courses_wide() -> None:
    # By hand: the lid with clearance lies from 777 to 1393 mm, in courses 6 (725 to 865) to 10 (1305 to 1445).
    plan = hatched()
    assert [piece.id for piece in panel(plan)] == [f"A-H1-{n:02d}-1" for n in (6, 7, 8, 9, 10)]
    assert ends(panel(plan))[1::2] == (725, 1445)
    assert {piece.width for piece in panel(plan)} == {140}
    assert faults(plan) == []


def test_panel_lies_in_line_with_its_courses() -> None:
    plan = hatched()
    for piece in panel(plan):
        beside = [p for p in plan.pieces if p.course == piece.course and p.kind == "board"]
        assert beside
        assert {ends([p])[1::2] for p in beside} == {ends([piece])[1::2]}


def test_every_panel_board_is_jointed_to_the_field_at_both_ends() -> None:
    plan = hatched()
    names = {piece.id for piece in panel(plan)}
    joints = [joint for joint in plan.joints if names & set(joint.pieces)]
    assert len(joints) == 2 * len(names)
    assert {joint.gap for joint in joints} == {BUTT_GAP}
    # One straight line at each end, so that the panel lifts.
    assert len({round(joint.at[0], 2) for joint in joints}) == 2


def test_doubled_joists_at_both_ends_stand_clear_of_the_lid() -> None:
    plan = hatched()
    roles = {member.id: member.role for member in plan.members}
    lid = box(2500 - 308, 1085 - 308, 2500 + 308, 1085 + 308)
    for joint in plan.joints:
        if any(name.startswith("A-H1") for name in joint.pieces):
            assert [roles[name] for name in joint.joists] == ["double", "double"]
            assert joint.joists[0] != joint.joists[1]
    own = {piece.id for piece in panel(plan)}
    members = [m.id for m in plan.members if "-hatch-" not in m.id]
    assert own
    assert all(footprint(plan, name).intersection(lid).area < 1 for name in members)


def test_opening_is_trimmed_on_both_sides() -> None:
    plan = hatched()
    x0, y0, x1, y1 = ends(panel(plan))
    noggings = [footprint(plan, m.id) for m in plan.members if m.role == "nogging" and "-hatch-" not in m.id]
    for v in (y0 - JOIST / 2, y1 + JOIST / 2):
        clear = LineString([(x0 + JOIST, v), (x1 - JOIST, v)])
        assert any(n.intersection(clear).length > clear.length - 1 for n in noggings)


def test_battens_hold_the_panel_and_lift_with_it() -> None:
    plan = hatched()
    battens = [m for m in plan.members if m.id.startswith("A-hatch-1-")]
    assert [m.id for m in battens] == ["A-hatch-1-1", "A-hatch-1-2"]
    _, y0, _, y1 = ends(panel(plan))
    for batten in battens:
        assert batten.role == "nogging"
        assert batten.section == (JOIST, JOIST)
        assert batten.start[0] == pytest.approx(batten.end[0])
        assert batten.start[2] == 150 - 22 - JOIST / 2  # surface, board, half its own depth
        assert 0 < batten.start[1] - y0 <= 10
        assert 0 < y1 - batten.end[1] <= 10
        others = [m.id for m in plan.members if "-hatch-" not in m.id]
        assert all(footprint(plan, batten.id).distance(footprint(plan, other)) > 1 for other in others)


def test_panel_is_screwed_to_its_battens_and_to_nothing_else() -> None:
    plan = hatched()
    names = {piece.id for piece in panel(plan)}
    held = [fixing for fixing in plan.fixings if fixing.piece in names]
    assert {fixing.kind for fixing in held} == {"screw"}
    assert {fixing.member for fixing in held} == {"A-hatch-1-1", "A-hatch-1-2"}
    assert len(held) == len(names) * 2 * 2
    x0, y0, x1, y1 = ends(panel(plan))
    beside = [f for f in plan.fixings if x0 < f.at[0] < x1 and (abs(f.at[1] - y0) < 6 or abs(f.at[1] - y1) < 6)]
    assert {fixing.kind for fixing in beside} == {"edge clip"}


@pytest.mark.slow
def test_long_panel_bears_at_no_more_than_the_greatest_centres() -> None:
    plan = hatched(lid={"size": [2000, 300]})
    lines = sorted(m.start[0] for m in plan.members if m.id.startswith("A-hatch-1-"))
    x0, _, x1, _ = ends(panel(plan))
    stops = [x0 + JOIST / 2, *lines, x1 - JOIST / 2]
    assert max(b - a for a, b in pairwise(stops)) <= 400
    assert faults(plan) == []


@pytest.mark.slow
def test_panel_at_the_decks_edge_ends_there() -> None:
    plan = hatched(lid={"centre": [300, 1085]})
    assert ends(panel(plan))[0] == 0
    names = {piece.id for piece in panel(plan)}
    assert len([j for j in plan.joints if names & set(j.pieces)]) == len(names)
    assert faults(plan) == []


@pytest.mark.slow
def test_panel_beside_the_wall_starts_at_the_first_course() -> None:
    plan = hatched(LENGTH, WALL_DEPTH, lid={"centre": [2500, 200], "size": [400, 300]}, at_wall=True)
    assert {piece.course for piece in panel(plan)} == {1, 2, 3}
    assert ends(panel(plan))[1] == 8
    assert faults(plan) == []


@pytest.mark.slow
@pytest.mark.parametrize("direction", [0, 30, 45, 90])
def test_panel_follows_the_boards(direction: float) -> None:
    plan = hatched(deck={"direction": direction}, lid={"centre": [3000, 1085], "size": [300, 300]})
    assert panel(plan)
    assert {piece.direction for piece in panel(plan)} == {plan.zones[0].direction}
    assert faults(plan) == []


def test_joints_of_courses_beside_a_panel_are_kept_off_its_ends() -> None:
    plan = hatched(9500)
    lines = {round(j.at[0]) for j in plan.joints if any("-H1-" in name for name in j.pieces)}
    beside = [j.at[0] for j in plan.joints if j.course in (5, 11)]
    assert beside
    # Two bays of 364 mm: common practice, no source.
    assert min(abs(at - line) for at in beside for line in lines) > 2 * 364 - 1


def test_panel_is_named_with_its_size_and_mass() -> None:
    # By hand: 5 boards of 2.6 kg/m, and battens of 47 x 47 in C16 of 370 kg/m3 (EN 338:2016 Table 1).
    plan = hatched()
    x0, y0, x1, y1 = ends(panel(plan))
    check = told(plan)
    boards = 5 * (x1 - x0) / 1000 * 2.6
    battens = 2 * 0.047 * 0.047 * (y1 - y0 - 10) / 1000 * 370
    assert check.value == pytest.approx(boards + battens, abs=0.1)
    assert check.ok
    assert f"{x1 - x0:.0f} x {y1 - y0:.0f} mm" in check.message


def test_panel_above_25_kg_is_to_be_split() -> None:
    # HSE L23, lifting and lowering filter: 25 kg for a man, close to the body (from memory).
    check = told(hatched(lid={"size": [2000, 900]}))
    assert (check.ok, check.limit, check.unit) == (False, 25, "kg")
    assert check.value > 25
    assert "split it" in check.message


@pytest.mark.slow
@pytest.mark.parametrize(
    ("lid", "others", "why"),
    [
        ({"size": [3950, 300], "centre": [3000, 1085]}, [], "the longest to be had are 4000 mm"),
        ({}, [{"name": "post", "kind": "post", "centre": [2500, 1085], "diameter": 60}], "post stands in its panel"),
    ],
)
def test_where_no_panel_is_possible_is_told_with_the_reason(
    lid: dict[str, Any], others: list[dict[str, Any]], why: str
) -> None:
    plan = hatched(lid=lid, others=others)
    assert panel(plan) == []
    assert not told(plan).ok
    assert why in told(plan).message
    assert faults(plan) == []


def test_lid_in_an_opening_of_the_deck_needs_no_panel() -> None:
    opening = [[2000, 600], [3000, 600], [3000, 1600], [2000, 1600]]
    plan = hatched(deck={"openings": [opening]}, lid={"size": [300, 300]})
    assert panel(plan) == []
    assert "no board of a field lies over it" in told(plan).message


def test_second_panel_too_near_the_first_is_refused() -> None:
    near = LID | {"name": "valve", "centre": [3300, 1085], "treatment": "hatch"}
    plan = hatched(others=[near])
    assert {piece.id[:4] for piece in panel(plan)} == {"A-H1"}
    assert "valve has no lift-out panel: its panel would meet the one over drain" in " ".join(
        check.message for check in plan.checks
    )


def test_rim_that_crosses_the_lid_is_told() -> None:
    check = [c for c in hatched(lid={"centre": [0, 1085]}).checks if c.id == "hatch drain"]
    assert any("in the way" in c.message and "rim-" in c.message for c in check)


def test_standing_frame_takes_no_panel() -> None:
    joists = [[[x, 0], [x, DEPTH]] for x in range(0, LENGTH + 1, 400)]
    plan = hatched(frame={"state": "existing", "joists": joists, "doubled": [5, 10]})
    assert panel(plan) == []
    assert "the frame stands already" in next(c for c in plan.checks if c.id == "hatch drain").message


def test_panel_is_bought_with_the_rest() -> None:
    plan = hatched()
    cut = {name for item in plan.stock for name in item.pieces}
    assert {piece.id for piece in panel(plan)} <= cut
    assert "A-hatch-1-1" in cut
    assert orders(plan)["board-4000"] == sum(item.product == plan.site.boards.product for item in plan.stock)


@pytest.mark.slow
@pytest.mark.parametrize("across", [400, 1085, 1700])
def test_every_board_of_a_panel_at_a_slanted_edge_hangs_on_a_batten(across: float) -> None:
    outline = [[0, 0], [6000, 0], [5200, DEPTH], [0, DEPTH]]
    lid = {"centre": [5900 - across * 800 / DEPTH - 350, across], "size": [300, 300]}
    plan = hatched(deck={"outline": outline}, lid=lid)
    assert panel(plan)
    screwed = [fixing.piece for fixing in plan.fixings if fixing.member.startswith("A-hatch-1-")]
    assert all(screwed.count(piece.id) >= 2 for piece in panel(plan))
    assert faults(plan) == []


def test_panel_of_which_a_board_would_reach_no_batten_is_refused() -> None:
    # A deck that tapers across its boards: the last ones over the lid lie on the rim and are cut by the edge.
    outline = [[0, 0], [LENGTH, 0], [0, DEPTH]]
    plan = hatched(deck={"outline": outline}, lid={"centre": [600, 1700], "size": [300, 300]})
    assert panel(plan) == []
    assert "would reach no batten" in told(plan).message
    assert faults(plan) == []


@pytest.mark.slow
def test_small_panel_has_the_one_batten_for_which_there_is_room() -> None:
    plan = hatched(lid={"size": [60, 200]})
    assert panel(plan)
    assert len([m for m in plan.members if m.id.startswith("A-hatch-1-")]) == 1
    assert faults(plan) == []


@pytest.mark.parametrize(
    ("battens", "parts"),
    [
        ([], 3),
        ([(100, 5, 280)], 2),
        ([(100, 5, 280), (300, 150, 425)], 1),
        ([(100, 5, 135), (300, 150, 425)], 2),
        ([(100, 5, 425)], 1),
    ],
)
def test_panel_comes_up_in_as_many_parts_as_its_battens_leave(
    battens: list[tuple[float, float, float]], parts: int
) -> None:
    runs = [Run(n, box(0, v, 600, v + 140), 0, 600, v, v + 140, True, (0, 0)) for n, v in ((1, 0), (2, 145), (3, 290))]
    assert Hatch("drain", 1, 0, 600, (True, True), tuple(runs), tuple(battens)).parts == parts


@pytest.mark.slow
@pytest.mark.parametrize("number", shares(100, fast=3, tested=20))
def test_generated_site_holds_with_a_hatch_over_every_cover(number: int) -> None:
    site = generated_site(number)
    for obstacle in site["obstacles"]:
        if obstacle["kind"] == "cover":
            obstacle["treatment"] = "hatch"
    assert faults(design(site_from_table(site))) == []

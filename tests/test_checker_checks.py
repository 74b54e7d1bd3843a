"""The checker itself: a small plan made by hand passes, and each way of spoiling it is found by its own rule.

The deck is 2000 x 438 mm against a wall: a wall gap of 8, three courses of 140 and two gaps of 5 make 438.
Courses 1 and 3 meet over the doubled joist at x = 1000, course 2 over that at x = 600; with a butt gap of 8
the pieces are 996 + 996 and 596 + 1396, and each pair with one kerf of 3 takes 1995 of a 2000 mm board.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from checker import check_plan

CHECKER = Path(__file__).with_name("checker.py")
COURSE_Y = {1: 8.0, 2: 153.0, 3: 298.0}
JOINT_X = {1: 1000.0, 2: 600.0, 3: 1000.0}
JOIST_X = (23.5, 576.5, 623.5, 976.5, 1023.5, 1500.0, 1976.5)
CLIP_Y = {"starter clip": (4.0,), "clip": (150.5, 295.5), "edge clip": (438.0,)}

Plan = dict[str, Any]
Spoil = Callable[[Plan], None]


def site() -> Plan:
    return {
        "deck": {
            "outline": [[0, 0], [2000, 0], [2000, 438], [0, 438]],
            "openings": [],
            "house_edges": [0],
            "start_edge": 0,
            "direction": 0.0,
        },
        "obstacles": [],
        "boards": {"product": "plain-140", "lengths": [2000], "width": 140, "thickness": 22},
        "gaps": {"course": 5, "butt": 8, "wall": 8, "obstacle": 8},
        "pattern": {"joints": "half", "min_piece_bays": 2, "kerf": 3},
        "frame": {
            "state": "new", "section": [47, 147], "max_centres": 600, "stock_lengths": [4800],
            "joists": [], "doubled": [],
        },
    }  # fmt: skip


def box(x0: float, y0: float, x1: float, y1: float) -> Plan:
    return {"outer": [[x0, y0], [x1, y0], [x1, y1], [x0, y1]], "holes": []}


def board(course: int, number: int, x0: float, x1: float) -> Plan:
    y = COURSE_Y[course]
    return {
        "id": f"A-0{course}-{number}", "zone": "A", "course": course, "kind": "board",
        "polygon": box(x0, y, x1, y + 140), "length": x1 - x0, "width": 140, "stock": f"B{course}",
        "cuts": ["square"], "face": "grain",
    }  # fmt: skip


def joist(number: int, x: float) -> Plan:
    return {
        "id": f"joist-{number}", "role": "joist", "from": [x, 0, 50], "to": [x, 438, 50],
        "section": [47, 147], "length": 438, "stock": "T1",
    }  # fmt: skip


def joint(course: int) -> Plan:
    left = JOIST_X.index(JOINT_X[course] - 23.5)
    return {
        "zone": "A", "course": course, "pieces": [f"A-0{course}-1", f"A-0{course}-2"],
        "at": [JOINT_X[course], COURSE_Y[course] + 70], "gap": 8, "joists": [f"joist-{left}", f"joist-{left + 1}"],
    }  # fmt: skip


def stock(item: str, product: str, length: float, parts: list[Plan]) -> Plan:
    offcut = length - sum(p["length"] for p in parts) - 3 * (len(parts) - 1)
    ids = [p["id"] for p in parts]
    return {"id": item, "product": product, "length": length, "pieces": ids, "kerf": 3, "offcut": offcut}


def line(item: str, order: int, waste: float = 0.0) -> Plan:
    return {"item": item, "description": "", "unit": "each", "net": order, "waste": waste, "order": order}


@pytest.fixture
def plan() -> Plan:
    pieces = [
        board(c, n, *ends)
        for c, x in JOINT_X.items()
        for n, ends in enumerate(((0.0, x - 4), (x + 4, 2000.0)), start=1)
    ]
    joists = [joist(n, x) for n, x in enumerate(JOIST_X)]
    courses_at = {y: min(3, 1 + sum(y > y0 + 140 for y0 in COURSE_Y.values())) for ys in CLIP_Y.values() for y in ys}
    fixings = [
        {"kind": kind, "at": [x, y], "piece": f"A-0{c}-{1 if x < JOINT_X[c] else 2}", "member": f"joist-{n}"}
        for kind, ys in CLIP_Y.items()
        for y in ys
        for n, x in enumerate(JOIST_X)
        for c in (courses_at[y],)
    ]
    boards = [stock(f"B{c}", "plain-140", 2000, [p for p in pieces if p["course"] == c]) for c in (1, 2, 3)]
    return {
        "schema": 1, "name": "by hand", "site": site(),
        "zones": [{"id": "A", "direction": 0.0, "outline": box(0, 0, 2000, 438), "courses": 3}],
        "pieces": pieces, "joints": [joint(c) for c in (1, 2, 3)], "members": joists, "fixings": fixings,
        "stock": [*boards, stock("T1", "timber-47x147", 4800, joists)],
        "takeoff": [
            line("board-2000", 3, 1 - 1992 / 2000), line("timber-47x147-4800", 1, 1 - 7 * 438 / 4800),
            line("starter-clip", 7), line("clip", 14), line("edge-clip", 7), line("screw", 0),
        ],
        "checks": [{"id": "bays", "ok": False, "message": "piece A-02-1 near (300, 223) bears on 1 bay"}],
        "bounds": [{"product": "plain-140", "stock_used": 3, "lower_bound": 3, "method": "length"}],
    }  # fmt: skip


def rules_broken(plan: Plan) -> set[int]:
    return {fault.rule for fault in check_plan(json.loads(json.dumps(plan)))}


def part(plan: Plan, ident: str) -> Plan:
    return next(p for key in ("pieces", "members", "stock") for p in plan[key] if p["id"] == ident)


def shift(plan: Plan, ident: str, dx: float = 0.0, dy: float = 0.0) -> None:
    polygon = part(plan, ident)["polygon"]
    polygon["outer"] = [[x + dx, y + dy] for x, y in polygon["outer"]]


def move_joist(plan: Plan, ident: str, dx: float) -> None:
    member = part(plan, ident)
    for end in ("from", "to"):
        member[end][0] += dx


def without(records: list[Plan], **wanted: object) -> list[Plan]:
    kept = [r for r in records if any(r[k] != v for k, v in wanted.items())]
    assert len(kept) < len(records), "nothing was there to take away"
    return kept


def test_plan_made_by_hand_has_no_fault(plan: Plan) -> None:
    assert check_plan(plan) == []


def test_same_plan_turned_about_has_no_fault(plan: Plan) -> None:
    """Board axes: the deck turned by a quarter, its boards at 90 degrees, is the same deck."""

    def turn(value: Any) -> Any:
        if isinstance(value, list) and len(value) in (2, 3) and all(isinstance(v, int | float) for v in value):
            return [-value[1], value[0], *value[2:]]
        return [turn(v) for v in value] if isinstance(value, list) else value

    for piece in plan["pieces"]:
        piece["polygon"]["outer"] = turn(piece["polygon"]["outer"])
    for member in plan["members"]:
        member["from"], member["to"] = turn(member["from"]), turn(member["to"])
    for row in (*plan["fixings"], *plan["joints"]):
        row["at"] = turn(row["at"])
    plan["site"]["deck"]["outline"] = turn(plan["site"]["deck"]["outline"])
    plan["zones"][0]["direction"] = 90.0
    assert check_plan(plan) == []


def hole_under_board(plan: Plan) -> None:
    plan["site"]["deck"]["openings"] = [[[1100, 200], [1200, 200], [1200, 250], [1100, 250]]]


def post_under_board(plan: Plan) -> None:
    plan["site"]["obstacles"] = [{"centre": [1300, 446], "diameter": 1.0, "clearance": 8.6, "treatment": "cut"}]


def shorter_than_its_polygon(plan: Plan) -> None:
    part(plan, "A-02-2")["length"] -= 1


def short_board_end(plan: Plan) -> None:
    piece = part(plan, "A-02-1")
    piece["polygon"], piece["length"] = box(0, 153, 566, 293), 566
    part(plan, "B2")["offcut"] += 30


def course_dropped(plan: Plan) -> None:
    for ident in ("A-03-1", "A-03-2"):
        plan["pieces"] = without(plan["pieces"], id=ident)


def joints_in_line(plan: Plan) -> None:
    for ident, ends in (("A-02-1", (0, 996)), ("A-02-2", (1004, 2000))):
        part(plan, ident).update(polygon=box(ends[0], 153, ends[1], 293), length=996)
    plan["joints"][1].update(at=[1000, 223], joists=["joist-3", "joist-4"])


SPOILT: list[tuple[int, str, Spoil]] = [
    (1, "a piece runs past the outline", lambda p: shift(p, "A-03-2", dx=0.6)),
    (1, "a piece stands nearer to the wall than its gap", lambda p: shift(p, "A-01-1", dy=-0.6)),
    (1, "a board lies over an opening", hole_under_board),
    (1, "a board reaches into a post's clearance", post_under_board),
    (2, "two pieces overlap", lambda p: shift(p, "A-01-1", dx=9)),
    (2, "courses stand too far apart", lambda p: shift(p, "A-02-2", dy=-0.6)),
    (2, "a butt gap is too wide", lambda p: shift(p, "A-02-1", dx=-0.6)),
    (2, "course numbers skip", lambda p: part(p, "A-03-1").update(course=1)),
    (3, "a course is missing", course_dropped),
    (4, "a joint is not listed", lambda p: p["joints"].pop()),
    (4, "a listed joint is none", lambda p: p["joints"][0].update(pieces=["A-01-1", "A-03-1"])),
    (4, "both ends stand on one joist", lambda p: p["joints"][0].update(joists=["joist-3", "joist-3"])),
    (4, "an end bears too little", lambda p: move_joist(p, "joist-3", -24.5)),
    (4, "a short end is no joint at all", short_board_end),
    (4, "joints of neighbouring courses in line", joints_in_line),
    (5, "a joist is missing", lambda p: p.update(members=without(p["members"], id="joist-5"))),
    (5, "joists stand too far apart", lambda p: p["site"]["frame"].update(max_centres=550)),
    (5, "an end hangs over", lambda p: move_joist(p, "joist-6", -62)),
    (5, "a short piece is not owned up to", lambda p: p["checks"].clear()),
    (5, "another piece is named in its stead", lambda p: p["checks"][0].update(message="A-02-11 bears on 1 bay")),
    (6, "a piece is cut twice", lambda p: part(p, "B1")["pieces"].append("A-02-1")),
    (6, "a piece is cut from nothing", lambda p: part(p, "B1")["pieces"].remove("A-01-1")),
    (6, "a piece names another board", lambda p: part(p, "A-01-1").update(stock="B2")),
    (6, "a board is too short for its pieces", lambda p: part(p, "B1").update(length=1994)),
    (6, "kerfs do not fit", lambda p: part(p, "B1").update(kerf=9)),
    (6, "a board of a length that nobody sells", lambda p: p["site"]["boards"].update(lengths=[2400])),
    (6, "a piece measures more than it says", shorter_than_its_polygon),
    (6, "a ripped width that the polygon has not", lambda p: part(p, "A-01-1").update(width=120)),
    (6, "a joist measures more than it says", lambda p: part(p, "joist-2").update(length=400)),
    (7, "a clip is missing", lambda p: p.update(fixings=without(p["fixings"], member="joist-5", at=[1500.0, 150.5]))),
    (7, "starter clips are missing", lambda p: p.update(fixings=without(p["fixings"], kind="starter clip"))),
    (7, "edge clips are missing", lambda p: p.update(fixings=without(p["fixings"], kind="edge clip"))),
    (7, "a clip hangs in the air", lambda p: p["fixings"][3].update(at=[900.0, 4.0])),
    (7, "an edge clip in the middle of a board", lambda p: p["fixings"][3].update(at=[976.5, 78.0])),
    (7, "a clip is written twice", lambda p: p["fixings"].append(dict(p["fixings"][8]))),
    (7, "clips on another joist's line", lambda p: p["fixings"][12].update(member="joist-2")),
    (8, "too few boards ordered", lambda p: p["takeoff"][0].update(order=2)),
    (8, "too few clips ordered", lambda p: p["takeoff"][3].update(order=13)),
    (8, "a pack too many", lambda p: p["takeoff"][3].update(pack=10, order=3, over=16)),
    (8, "a wrong count of what is over", lambda p: p["takeoff"][3].update(pack=10, order=2, over=5)),
    (8, "a price that is not its units'", lambda p: p["takeoff"][3].update(unit_price=0.345, price=4.84)),
    (8, "edge clips forgotten", lambda p: p.update(takeoff=without(p["takeoff"], item="edge-clip"))),
    (8, "timber forgotten", lambda p: p.update(takeoff=without(p["takeoff"], item="timber-47x147-4800"))),
    (8, "waste made small", lambda p: p["takeoff"][0].update(waste=0.0)),
    (8, "a bound that proves more than was used", lambda p: p["bounds"][0].update(lower_bound=4)),
    (0, "two pieces with one id", lambda p: part(p, "A-02-1").update(id="A-01-1")),
    (0, "a piece wider than its board", lambda p: part(p, "A-01-1").update(width=141)),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "spoil"), [pytest.param(r, s, id=name) for r, name, s in SPOILT])
def test_spoilt_plan_breaks_its_rule(plan: Plan, rule: int, spoil: Spoil) -> None:
    spoil(plan)
    assert rule in rules_broken(plan)


def test_screws_through_the_face_hold_both_sides(plan: Plan) -> None:
    for fixing in plan["fixings"]:
        if fixing["kind"] == "edge clip":
            fixing.update(kind="screw", at=[fixing["at"][0], 400.0])
    plan["takeoff"] = without(plan["takeoff"], item="edge-clip")
    plan["takeoff"][-1]["order"] = 7
    assert check_plan(plan) == []


def test_clips_are_bought_in_whole_packs(plan: Plan) -> None:
    # 14 in packs of 10: two, six over; at 0.345 each pack 0.69
    plan["takeoff"][3].update(pack=10, order=2, over=6, unit_price=0.345, price=0.69)
    assert check_plan(plan) == []


def test_existing_frame_may_not_move(plan: Plan) -> None:
    plan["site"]["frame"].update(state="existing", joists=[[[x, 0], [x, 438]] for x in JOIST_X])
    assert rules_broken(plan) == set()
    move_joist(plan, "joist-5", 1.0)
    assert rules_broken(plan) == {9}


@pytest.mark.slow
def test_command_says_where_and_exits_with_one(plan: Plan, tmp_path: Path) -> None:
    file = tmp_path / "plan.json"
    runs = []
    for _ in range(2):
        file.write_text(json.dumps(plan), encoding="utf-8")
        runs.append(subprocess.run([sys.executable, CHECKER, file], capture_output=True, text=True, check=False))
        move_joist(plan, "joist-3", -24.5)
    assert [run.returncode for run in runs] == [0, 1]
    assert "rule 4: A-01-1, joist-3 at (1000, 78): end be" in runs[1].stdout

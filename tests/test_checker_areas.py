"""The checker on borders, fascias, hatches, dividers and further decks: each way of spoiling `bordered_plan`."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from typing import Any

import pytest
from bordered_plan import NOGGING_Y, Plan, bordered_plan
from checker import check_plan
from shapely import Point
from shapely import box as rectangle
from shapely.geometry import mapping

Spoil = Callable[[Plan], None]


@pytest.fixture
def plan() -> Plan:
    return bordered_plan()


def faults(plan: Plan) -> list[str]:
    return [str(fault) for fault in check_plan(json.loads(json.dumps(plan)))]


def part(plan: Plan, ident: str) -> Plan:
    return next(p for key in ("pieces", "members", "stock") for p in plan[key] if p["id"] == ident)


def redraw(plan: Plan, ident: str, move: Callable[[float, float], tuple[float, float]]) -> None:
    """Move the corners of a piece, its length and width with them."""
    row = part(plan, ident)
    row["polygon"]["outer"] = [list(move(x, y)) for x, y in row["polygon"]["outer"]]


def pull(plan: Plan, ident: str, dx: float = 0.0, dy: float = 0.0, **box: float) -> None:
    """Move the corners of a piece that lie in a part of the site: left_of, right_of, below."""
    left, right, below = (
        box.get(k, d) for k, d in (("left_of", math.inf), ("right_of", -math.inf), ("below", math.inf))
    )
    redraw(plan, ident, lambda x, y: (x + dx, y + dy) if right < x < left and y < below else (x, y))


def refix(plan: Plan, old: Plan, **new: Any) -> None:
    """Change each fixing that is as told."""
    rows = [row for row in plan["fixings"] if all(row[k] == v for k, v in old.items())]
    assert rows
    for row in rows:
        row.update(new)


def shift(plan: Plan, ident: str, dx: float = 0.0, dy: float = 0.0) -> None:
    redraw(plan, ident, lambda x, y: (x + dx, y + dy))


def move_member(plan: Plan, ident: str, dx: float = 0.0, dy: float = 0.0, dz: float = 0.0) -> None:
    row = part(plan, ident)
    for end in ("from", "to"):
        row[end] = [v + d for v, d in zip(row[end], (dx, dy, dz), strict=True)]


def without(plan: Plan, key: str, **wanted: object) -> None:
    kept = [row for row in plan[key] if any(row[k] != v for k, v in wanted.items())]
    assert len(kept) < len(plan[key]), "nothing was there to take away"
    plan[key] = kept


def test_plan_made_by_hand_has_no_fault(plan: Plan) -> None:
    assert faults(plan) == []


def turn_the_mitre(plan: Plan) -> None:
    # 45.3 instead of 45 degrees: 0.73 mm over 140, at both boards, so that the gap between them stays as wide.
    lean = math.tan(math.radians(0.3))
    redraw(plan, "A-E0R1-1", lambda x, y: (x - lean * y, y) if x < 1000 else (x, y))
    redraw(plan, "A-E3R1-1", lambda x, y: (x, y + lean * x) if y < 360 else (x, y))


def shift_the_mitre(plan: Plan) -> None:
    redraw(plan, "A-E0R1-1", lambda x, y: (x + 3, y) if x < 1000 else (x, y))
    redraw(plan, "A-E3R1-1", lambda x, y: (x, y - 3) if y < 360 else (x, y))


def butt_the_corner(plan: Plan) -> None:
    redraw(plan, "A-E0R1-1", lambda x, y: (0.0, y) if x < 1000 else (x, y))
    redraw(plan, "A-E3R1-1", lambda x, y: (x, 148.0) if y < 360 else (x, y))


def nosing_left_out(plan: Plan) -> None:
    without(plan, "pieces", id="A-E0R1-1")


def field_in_place_of_the_nosing(plan: Plan) -> None:
    part(plan, "A-E0R1-1").update(id="A-B01-1", kind="board", course=-1)


def divider_in_two_halves(plan: Plan) -> None:
    """A second piece of the divider, whose joint nobody listed."""
    row = part(plan, "B-S1R1-1")
    low, high = json.loads(json.dumps(row)), json.loads(json.dumps(row))
    low["polygon"]["outer"] = [[3930, 8], [4070, 8], [4070, 146], [3930, 146]]
    high["polygon"]["outer"] = [[3930, 154], [4070, 154], [4070, 293], [3930, 293]]
    low["length"], high["length"], high["id"] = 138, 139, "B-S1R1-2"
    plan["pieces"] = [p for p in plan["pieces"] if p["id"] != "B-S1R1-1"] + [low, high]


def round_the_post_in_one(plan: Plan) -> None:
    first, second = part(plan, "A-03-1"), part(plan, "A-03-2")
    hole = Point(1200, 505).buffer(22.05, quad_segs=64)
    whole = mapping(rectangle(145, 435, 1855, 575) - hole)["coordinates"]
    first["polygon"] = {"outer": whole[0][:-1], "holes": [whole[1][:-1]]}
    first["length"] = 1710
    plan["pieces"].remove(second)
    plan["joints"] = [j for j in plan["joints"] if j["course"] != 3]


def field_board_over_the_gully(plan: Plan) -> None:
    part(plan, "A-H1-02-1").update(id="A-02-3", kind="board")


def one_screw_at_a_nogging(plan: Plan) -> None:
    without(plan, "fixings", member="nogging-3-1", at=[60.0, 360.0])


def batten_as_a_joist_of_the_field(plan: Plan) -> None:
    """Carry course 1 on a batten where a joist should be: lengthen it, and take the joists away."""
    part(plan, "A-hatch-1-1").update({"from": [680, 150, 154.5], "to": [680, 430, 154.5], "length": 280})


def front_of_a_border_in_the_air(plan: Plan) -> None:
    """With its rim moved inwards and no nogging, the outer half rests on the rims at its ends, 631 mm apart."""
    move_member(plan, "rim-3", dx=80)
    for k in range(len(NOGGING_Y)):
        without(plan, "members", id=f"nogging-3-{k}")


def side_of_the_divider_in_the_air(plan: Plan) -> None:
    """On that side only the ledgers are left, 254 mm apart."""
    move_member(plan, "court-2", dx=-60)
    plan["site"]["frame"]["max_centres"] = 250


def frame_of_the_court_too_low(plan: Plan) -> None:
    for ident in ("court-1", "ledger-0", "ledger-1"):
        move_member(plan, ident, dz=-20)


def joint_in_line_with_the_border(plan: Plan) -> None:
    """Course 3 butted on the line on which the border beside it is."""
    plan["joints"][2]["at"] = [1000, 505]


def panel_screwed_to_the_frame(plan: Plan) -> None:
    plan["fixings"].append({"kind": "screw", "at": [620.0, 360.0], "piece": "A-H1-02-1", "member": "joist-2"})


def seam_moved(plan: Plan) -> None:
    plan["site"]["zones"][0]["outline"][0] = [3990, 0]


def second_ring_without_need(plan: Plan) -> None:
    part(plan, "A-E2R1-1").update(id="A-E2R2-1", course=2)


SPOILT: list[tuple[str, str, Spoil]] = [
    ("rule 1: A-E1R1-1", "a border runs past the outline", lambda p: shift(p, "A-E1R1-1", dx=0.6)),
    ("rule 1: C-02-1", "a board of a further deck runs past its outline", lambda p: shift(p, "C-02-1", dy=9)),
    ("rule 1: A-E3R1-1", "a border stands back from its edge", lambda p: shift(p, "A-E3R1-1", dx=1)),
    ("rule 1: A-B01-1", "field boards where the nosing belongs", field_in_place_of_the_nosing),
    ("rule 1: edge 0", "a nosing is missing at its corners", nosing_left_out),
    ("rule 1: A-E0R1-1", "a border where a nosing belongs", lambda p: part(p, "A-E0R1-1").update(kind="border")),
    ("rule 1: A-E2R2-1", "a ring too many", second_ring_without_need),
    ("rule 1: B-S1R1-1", "a divider off its seam", seam_moved),
    ("rule 1: A-02-3", "a field board over the gully", field_board_over_the_gully),
    ("rule 1: A-F0R1-1", "a fascia flush with the nosing", lambda p: shift(p, "A-F0R1-1", dy=-10)),
    ("rule 1: A-F0R1-1", "a fascia that hangs", lambda p: part(p, "A-F0R1-1").update(top=170.0)),
    ("rule 1: A-F0R1-1", "a fascia where none was asked for", lambda p: p["site"]["deck"].update(edge_finish={})),
    ("rule 2: A-01-1, A-E0R1-1", "border and field overlap", lambda p: shift(p, "A-01-1", dy=-6)),
    ("rule 2: A-E3R1-1, A-01-1", "an end too far from the border", lambda p: pull(p, "A-01-1", 0.6, left_of=200)),
    ("rule 2: A-E0R1-1, A-01-1", "a side too near to the border", lambda p: shift(p, "A-01-1", dy=-0.6)),
    ("rule 2: A-E2R1-1, A-E2R1-2", "a border joint stands open", lambda p: pull(p, "A-E2R1-2", -0.6, right_of=900)),
    ("rule 2: A-E0R1-1, A-E1R1-1", "a mitre stands open", lambda p: pull(p, "A-E1R1-1", dy=1, below=360)),
    ("rule 2: A-E0R1-1", "a mitre off its angle", turn_the_mitre),
    ("rule 2: A-E0R1-1", "a mitre beside the bisector", shift_the_mitre),
    ("rule 2: A-E3R1-1", "a butt where a mitre was asked for", butt_the_corner),
    ("rule 2: B-S1R1-1, C-01-1", "a board too far from the divider", lambda p: pull(p, "C-01-1", 0.6, left_of=4500)),
    ("rule 2: A-F0R1-1, rim-0", "a fascia stands in the rim", lambda p: move_member(p, "rim-0", dy=-20)),
    ("rule 3: bare spot", "a nosing is missing", nosing_left_out),
    ("rule 3: bare spot", "a board of a further deck is missing", lambda p: without(p, "pieces", id="B-02-1")),
    ("rule 3: gully", "a hatch is missing", lambda p: without(p, "pieces", id="A-H1-02-1")),
    ("rule 3: edge 0", "a fascia is missing", lambda p: without(p, "pieces", kind="fascia")),
    ("rule 3: edge 0", "a fascia is too short", lambda p: pull(p, "A-F0R1-1", -300, right_of=1700)),
    ("rule 3: edge 0", "a fascia too far from the ground", lambda p: part(p, "A-F0R1-1").update(width=120)),
    ("rule 4: A-E2R1-1, A-E2R1-2", "a joint of a border is not listed", lambda p: p["joints"].pop()),
    ("rule 4: B-S1R1-1, B-S1R1-2", "a joint of a divider is not listed", divider_in_two_halves),
    ("rule 4: A-02-1, A-H1-02-1", "a hatch's end is not listed", lambda p: p["joints"].pop(0)),
    ("rule 4: A-H1-02-1, joist-2", "a hatch bears too little", lambda p: move_member(p, "joist-2", dx=-24.5)),
    ("rule 4: A-E2R1-2, joist-3", "a border's end bears too little", lambda p: move_member(p, "joist-3", dx=-24.5)),
    ("rule 4: A-03-1", "a board that could not be got over its post", round_the_post_in_one),
    ("rule 4: A-03-1", "a tongue beside the post in the air", lambda p: move_member(p, "nogging-post-1", dy=60)),
    ("rule 4: A-03-1", "joints of border and field in line", joint_in_line_with_the_border),
    ("rule 5: A-E3R1-1", "a border tips", front_of_a_border_in_the_air),
    ("rule 5: A-E0R1-1", "a nosing tips", lambda p: move_member(p, "rim-0", dy=60)),
    ("rule 5: B-S1R1-1", "a divider tips", side_of_the_divider_in_the_air),
    ("rule 5: A-H1-02-1", "a panel spans too far", lambda p: p["site"]["frame"].update(max_centres=200)),
    ("rule 5: A-hatch-1-1", "a batten under more than its panel", batten_as_a_joist_of_the_field),
    ("rule 5: A-hatch-1-1, joist-2", "a batten caught by a joist", lambda p: move_member(p, "A-hatch-1-1", dx=-20)),
    ("rule 5: joist-5", "a joist across the gully", lambda p: move_member(p, "joist-5", dx=-600)),
    ("rule 5: B-01-1", "members of another deck's height", frame_of_the_court_too_low),
    ("rule 6: A-E1R1-1", "a border measures more than it says", lambda p: part(p, "A-E1R1-1").update(length=700)),
    ("rule 6: A-F0R1-1", "a fascia measures more than it says", lambda p: part(p, "A-F0R1-1").update(length=1900)),
    ("rule 6: A-F0R1-1", "a fascia of another board", lambda p: p["site"]["boards"].update(thickness=25)),
    ("rule 6: B-S1R1-1", "a divider cut from nothing", lambda p: without(p, "stock", id="stock B-S1R1-1")),
    ("rule 7: A-E3R1-1, nogging-3-1", "one screw where two belong", one_screw_at_a_nogging),
    ("rule 7: A-H1-02-1, A-hatch-1-2", "a loose panel", lambda p: without(p, "fixings", member="A-hatch-1-2")),
    ("rule 7: A-H1-02-1", "a panel screwed to the frame", panel_screwed_to_the_frame),
    ("rule 7: A-01-1", "a clip holds the panel and the field", lambda p: refix(p, {"at": [623.5, 287.5]}, kind="clip")),
    ("rule 7: B-S1R1-1, ledger-1", "a divider without screws", lambda p: without(p, "fixings", piece="B-S1R1-1")),
    ("rule 7: A-F0R1-1", "a fascia with a screw missing", lambda p: without(p, "fixings", at=[1000.0, 32.0])),
    ("rule 7: A-F0R1-1, rim-2", "a fascia screwed to air", lambda p: refix(p, {"piece": "A-F0R1-1"}, member="rim-2")),
    ("rule 7: A-E0R1-1", "a screw beside its board", lambda p: refix(p, {"at": [576.5, 125.0]}, at=[576.5, 142.0])),
    ("rule 8: screw", "screws of the border forgotten", lambda p: without(p, "takeoff", item="screw")),
    ("rule 0: A-E2R1-1", "an id that tells another ring", lambda p: part(p, "A-E2R1-1").update(course=2)),
    ("rule 0: A-E1R1-1", "a border that runs across its edge", lambda p: part(p, "A-E1R1-1").update(direction=0)),
    ("rule 0: C-01-1", "a board at another deck's height", lambda p: part(p, "C-01-1").update(top=200)),
    ("rule 0: C", "a zone of a deck that is not there", lambda p: p["zones"][2].update(deck=2)),
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(("told", "spoil"), [pytest.param(t, s, id=name) for t, name, s in SPOILT])
def test_spoilt_plan_breaks_its_rule(plan: Plan, told: str, spoil: Spoil) -> None:
    spoil(plan)
    rule, _, names = told.partition(": ")
    wanted = set(names.split(", "))
    found = [line.split(": ") for line in faults(plan)]
    assert any(line[0] == rule and wanted <= set(line[1].split(" at (")[0].split(", ")) for line in found), found


def test_a_cover_keeps_its_hole(plan: Plan) -> None:
    round_the_post_in_one(plan)
    plan["site"]["obstacles"][1]["kind"] = "cover"
    assert not any("could not be got over" in line for line in faults(plan))


def test_butted_corners_want_the_butt_gap_alone(plan: Plan) -> None:
    butt_the_corner(plan)
    plan["site"]["pattern"]["border"]["corners"] = "butt"
    corner = [line for line in faults(plan) if "corner" in line or "mitre" in line]
    assert corner == []


def test_a_ring_left_out_may_be_owned_up_to(plan: Plan) -> None:
    nosing_left_out(plan)
    plan["checks"] = [{"id": "border edge 0", "ok": False, "message": "edge 0 has no room for its nosing"}]
    assert not any(line.startswith("rule 1: edge 0") for line in faults(plan))

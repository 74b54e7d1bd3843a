"""Borders, nosings and fascias counted by hand, and their mitres held against the bisector of the corner.

Each test states its sum; the trade's rules in them are common practice, no source.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from itertools import pairwise
from typing import Any

import pytest
from courseline.engine import design
from courseline.engine.plan import Piece, Plan
from courseline.engine.site import site_from_table
from rectangles import BUTT_GAP, COURSE_GAP, WIDTH, rectangle
from shapely import Point, Polygon

RING = WIDTH + COURSE_GAP
"""From a ring to the next, or to the field [mm]."""
MITRE = BUTT_GAP / math.sqrt(2)
"""What the butt gap of a square mitre takes off a board, measured along its outer side: half the gap, slanted [mm]."""


def bordered(courses: int, corners: str = "mitre", **tables: Any) -> dict[str, Any]:
    return {"pattern": {"border": {"courses": courses, "edges": [], "corners": corners}}, **tables}


def of_kind(plan: Plan, *kinds: str) -> list[Piece]:
    return [piece for piece in plan.pieces if piece.kind in kinds]


def area_of(piece: Piece) -> float:
    return Polygon(piece.polygon.outer, piece.polygon.holes).area


@pytest.fixture(scope="module")
def four_by_three() -> Plan:
    return rectangle(4000, 3000, **bordered(1))


@pytest.mark.slow
def test_border_of_four_by_three_metres(four_by_three: Plan) -> None:
    # One ring: its boards reach from corner to corner less half a mitre gap at each end.
    lengths = sorted(piece.length for piece in of_kind(four_by_three, "border"))
    sides = [3000 - 2 * MITRE] * 2 + [4000 - 2 * MITRE] * 2
    assert lengths == pytest.approx(sides, abs=0.01)


def test_field_within_the_border(four_by_three: Plan) -> None:
    # 3000 less two rings and their gaps (2 x 145) leaves 2710: 18 courses take 18 x 145 - 5 = 2605, then a gap of 5
    # and a rip of 100. Each is 4000 - 2 x 145 = 3710 long.
    field = of_kind(four_by_three, "board")
    assert [piece.length for piece in field] == pytest.approx([3710] * 19)
    assert Counter(piece.width for piece in field) == {WIDTH: 18, 100: 1}


def test_boards_to_buy_with_a_border(four_by_three: Plan) -> None:
    # 19 of the field, 2 long sides of 3988.7, 2 short sides of 2988.7: none of the rests reaches for another.
    assert next(line.order for line in four_by_three.takeoff if line.item == "board-4000") == 19 + 2 + 2


def test_area_of_border_field_and_gaps_is_that_of_the_deck(four_by_three: Plan) -> None:
    # A mitre gap is 8 wide and as long as the diagonal of a square of 140. Between ring and field lies a frame 5 wide
    # outside 3710 x 2710; between 19 courses, 18 gaps.
    mitres = 4 * BUTT_GAP * WIDTH * math.sqrt(2)
    frame = 3720 * 2720 - 3710 * 2710
    gaps = 18 * COURSE_GAP * 3710
    boards = sum(area_of(piece) for piece in four_by_three.pieces)
    assert boards + mitres + frame + gaps == pytest.approx(4000 * 3000, abs=1.0)


@pytest.mark.slow
def test_two_rings_lie_a_course_gap_apart() -> None:
    plan = rectangle(4000, 3000, **bordered(2))
    rings = Counter(piece.course for piece in of_kind(plan, "border"))
    assert rings == {1: 4, 2: 4}
    low = sorted(min(y for _, y in p.polygon.outer) for p in of_kind(plan, "border") if p.id.startswith("A-E0"))
    assert low == pytest.approx([0, RING])
    # 4000 - 4 x 145 = 3420
    assert {round(p.length, 3) for p in of_kind(plan, "board")} == {3420.0}


def test_longer_board_runs_through_a_butted_corner() -> None:
    plan = rectangle(4000, 3000, **bordered(1, "butt"))
    # 3000 less two boards of 140 and two butt gaps of 8.
    assert sorted(p.length for p in of_kind(plan, "border")) == pytest.approx([2704, 2704, 4000, 4000])


@pytest.mark.slow
def test_side_of_a_border_longer_than_a_board_is_jointed_on_two_joists() -> None:
    plan = rectangle(6000, 3000, **bordered(1))
    long_sides = [p for p in of_kind(plan, "border") if p.id.startswith(("A-E0", "A-E2"))]
    assert len(long_sides) == 4
    joined = [j for j in plan.joints if j.pieces[0].startswith(("A-E0", "A-E2"))]
    assert len(joined) == 2
    assert all(len(set(joint.joists)) == 2 for joint in joined)
    # Both pieces of a side and the gap between them reach from mitre to mitre.
    assert sum(p.length for p in long_sides) + 2 * BUTT_GAP == pytest.approx(2 * (6000 - 2 * MITRE), abs=0.01)


def test_chosen_edges_alone_are_bordered() -> None:
    pattern = {"border": {"courses": 1, "edges": [2], "corners": "mitre"}}
    plan = rectangle(4000, 3000, at_wall=True, pattern=pattern)
    (board,) = of_kind(plan, "border")
    # Nothing to be mitred with: it runs from side to side.
    assert board.length == pytest.approx(4000)


def test_step_has_a_nosing_and_a_fascia_down_to_the_ground() -> None:
    deck = {"edge_finish": {"default": "flush", "2": "step"}, "surface": 180}
    plan = rectangle(4000, 3000, at_wall=True, deck=deck)
    (nosing,) = of_kind(plan, "nosing")
    assert nosing.id == "A-E2R1-1"
    assert {y for _, y in nosing.polygon.outer} == {2860, 3000}
    # Under boards of 22 the fascia begins at 158; a board of 140 leaves 18 mm of air.
    (fascia,) = of_kind(plan, "fascia")
    assert (fascia.top, fascia.id) == (158, "A-F2R1-1")
    assert 10 <= fascia.top - fascia.width <= 50
    assert fascia.length == pytest.approx(4000, abs=50)


def test_higher_step_has_more_fascia_boards() -> None:
    deck = {"edge_finish": {"default": "flush", "2": "step"}, "surface": 450}
    plan = rectangle(4000, 3000, at_wall=True, deck=deck)
    # 450 - 22 = 428 to fill down to 10..50 over the ground, so 378 to 418: with boards of at most 140 and gaps of 5,
    # two reach 285 and three 430, so three.
    rings = sorted(of_kind(plan, "fascia"), key=lambda piece: piece.course)
    assert [piece.course for piece in rings] == [1, 2, 3]
    for upper, lower in pairwise(rings):
        assert upper.top - upper.width - lower.top == pytest.approx(COURSE_GAP)
    assert 10 <= rings[-1].top - rings[-1].width <= 50


def corner_deck(chance: random.Random, angle: float) -> list[tuple[float, float]]:
    """An outline with a corner of a given inner angle [degrees] at the origin, as its point 0."""
    turn = chance.uniform(0, 360)
    spread = math.radians(angle)
    # The ends of both sides, and far points behind them so that the rest of the deck keeps away from the corner.
    arms = [(chance.uniform(2000, 3500), 0.0), (chance.uniform(2000, 3500), spread)]
    ring = [(0.0, 0.0), arms[0]]
    steps = 1 + int(angle // 100)
    ring += [(4500.0, spread * k / (steps + 1)) for k in range(1, steps + 1)]
    ring += [arms[1]]
    return [
        (round(r * math.cos(t + math.radians(turn)), 3), round(r * math.sin(t + math.radians(turn)), 3))
        for r, t in ring
    ]


def cut_angles(plan: Plan, outline: list[tuple[float, float]], angle: float) -> list[float]:
    """Angles [degrees] between the cuts of both boards at point 0 and their own edges."""
    found = []
    last = len(outline) - 1
    middle = (angle / 2, WIDTH / 2 / math.sin(math.radians(angle / 2)))
    for edge, end in ((0, outline[1]), (last, outline[last])):
        along = math.atan2(end[1], end[0])
        lean = along + math.radians(middle[0]) * (1 if edge == 0 else -1)
        spot = Point(middle[1] * math.cos(lean), middle[1] * math.sin(lean))
        pieces = [p for p in plan.pieces if p.id.startswith(f"A-E{edge}R1-")]
        piece = min(pieces, key=lambda p: Polygon(p.polygon.outer).distance(spot))
        corners = piece.polygon.outer
        sides = list(zip(corners, corners[1:] + corners[:1], strict=True))
        near = [(Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2).distance(spot), a, b) for a, b in sides]
        _, a, b = min(near)
        cut = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]) - along) % 180
        found.append(cut if edge == 0 else 180 - cut)
    return found


@pytest.mark.slow
@pytest.mark.parametrize("number", range(24))
def test_mitre_halves_the_corner(number: int) -> None:
    # Convex corners of 30 to 170 degrees and such as turn back, of 190 to 300: each board is cut at half the angle.
    chance = random.Random(number)
    angle = chance.uniform(30, 170) if number % 2 else chance.uniform(190, 300)
    outline = corner_deck(chance, angle)
    assert Polygon(outline).is_valid
    deck = {"outline": outline, "house_edges": []}
    plan = design(site_from_table({"schema": 1, "name": "corner", "deck": deck, **bordered(1)}))
    exact = math.degrees(math.atan2(outline[-1][1], outline[-1][0]) - math.atan2(outline[1][1], outline[1][0])) % 360
    for cut in cut_angles(plan, outline, exact):
        assert cut == pytest.approx(exact / 2, abs=0.1)

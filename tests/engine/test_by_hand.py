"""Rectangles counted by hand: each test states its sum; the trade's rules in them are common practice, no source."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

import pytest
from courseline.engine.plan import Plan
from rectangles import (
    BOARD,
    BUTT_GAP,
    COURSE_GAP,
    COURSES,
    FREE_DEPTH,
    JOIST,
    WALL_DEPTH,
    WALL_GAP,
    WIDTH,
    clips,
    orders,
    rectangle,
    roles,
)

MAX_CENTRES = 400


@pytest.fixture(scope="module")
def at_wall() -> Plan:
    return rectangle(BOARD, WALL_DEPTH, at_wall=True)


@pytest.fixture(scope="module")
def free_standing() -> Plan:
    return rectangle(BOARD, FREE_DEPTH)


@pytest.fixture(scope="module")
def two_boards() -> Plan:
    return rectangle(2 * BOARD + BUTT_GAP, WALL_DEPTH, at_wall=True)


# One board long, ten courses deep, at a wall


def test_one_board_a_course_and_no_joint(at_wall: Plan) -> None:
    # Deck 4000 x 1453: the wall gap 8, then 10 x 140 and 9 gaps of 5.
    assert at_wall.zones[0].courses == COURSES
    assert [piece.length for piece in at_wall.pieces] == [BOARD] * COURSES
    assert {piece.width for piece in at_wall.pieces} == {WIDTH}
    assert {piece.cuts for piece in at_wall.pieces} == {("square",)}
    assert at_wall.joints == ()


def test_courses_keep_wall_gap_and_course_gap(at_wall: Plan) -> None:
    fronts = sorted(min(y for _, y in piece.polygon.outer) for piece in at_wall.pieces)
    assert fronts == [WALL_GAP + k * (WIDTH + COURSE_GAP) for k in range(COURSES)]


def test_whole_boards_are_bought_without_waste(at_wall: Plan) -> None:
    boards = at_wall.takeoff[0]
    assert (boards.item, boards.net, boards.waste, boards.order) == ("board-4000", 10.0, 0.0, COURSES)
    assert boards.price == Decimal("300.00")  # 10 x 30.00, the product table's price
    assert boards.mass == pytest.approx(104.0)  # 10 x 4 m x 2.6 kg/m


def test_joists_at_even_centres_within_the_greatest(at_wall: Plan) -> None:
    # Between the middles of the end rims lie 4000 - 47 = 3953 mm: 10 bays of 395.3 (9 would be 439), so 9 joists.
    assert roles(at_wall) == {"joist": 9, "ledger": 1, "rim": 3}
    places = sorted(member.start[0] for member in at_wall.members if member.role == "joist")
    assert places == pytest.approx([JOIST / 2 + k * 395.3 for k in range(1, 10)], abs=1e-3)


def test_members_fit_between_each_other(at_wall: Plan) -> None:
    # Joists between ledger and rim: 1453 - 2 x 47. Each edge member starts in a corner and butts against the next.
    lengths = Counter((member.role, member.length) for member in at_wall.members)
    assert lengths == {
        ("joist", WALL_DEPTH - 2 * JOIST): 9,
        ("ledger", BOARD - JOIST): 1,
        ("rim", BOARD - JOIST): 1,
        ("rim", WALL_DEPTH - JOIST): 2,
    }


def test_clip_in_every_gap_over_every_joist(at_wall: Plan) -> None:
    # Boards cross 9 joists and the 2 end rims: 11 bearings. Clips 9 gaps x 11; starter clips 11 at the wall; and
    # edge clips 11 at the last course.
    assert clips(at_wall) == {"starter clip": 11, "clip": 9 * 11, "edge clip": 11}


def test_timber_is_cut_from_six_lengths(at_wall: Plan) -> None:
    # From stock of 3600, 4200, 4800 with a kerf of 3: ledger 3953 and rim 3953 alone in 4200 each;
    # 1406 + 1406 + 1359 and two kerfs = 4177 in 4200; 3 x 1359 and two kerfs = 4083 in 4200, twice;
    # the last two joists, 2721, in 3600.
    assert {item: n for item, n in orders(at_wall).items() if item.startswith("timber")} == {
        "timber-47x147-3600": 1,
        "timber-47x147-4200": 5,
    }
    prices = {line.item: line.price for line in at_wall.takeoff}
    assert prices["timber-47x147-3600"] == Decimal("17.28")  # 3.6 m x 4.80
    assert prices["timber-47x147-4200"] == Decimal("100.80")  # 5 x 4.2 m x 4.80


def test_fixings_cost_by_the_pack(at_wall: Plan) -> None:
    bought = {line.item: (line.net, line.order, line.over, line.price) for line in at_wall.takeoff}
    assert bought["starter-clip"] == (11, 1, 39, Decimal("27.50"))  # a pack of 50
    assert bought["clip"] == (99, 1, 1, Decimal("34.00"))  # a pack of 100
    assert bought["edge-clip"] == (11, 1, 14, Decimal("15.00"))  # a pack of 25


def test_nothing_fails_on_a_plain_rectangle(at_wall: Plan) -> None:
    assert [check.id for check in at_wall.checks if not check.ok] == []


# The same, free-standing


def test_free_standing_deck_has_rims_all_round_and_no_starter_clips(free_standing: Plan) -> None:
    # Deck 4000 x 1445: no wall gap. Edge clips on 11 bearings at the first course and at the last.
    assert roles(free_standing) == {"joist": 9, "rim": 4}
    assert clips(free_standing) == {"clip": 9 * 11, "edge clip": 2 * 11}
    assert orders(free_standing)["board-4000"] == COURSES


def test_free_standing_deck_starts_flush_with_its_edge(free_standing: Plan) -> None:
    assert min(y for piece in free_standing.pieces for _, y in piece.polygon.outer) == 0.0


def test_deck_turned_about_has_the_same_order() -> None:
    turned = [[0, 0], [0, BOARD], [-WALL_DEPTH, BOARD], [-WALL_DEPTH, 0]]
    plan = rectangle(0, 0, deck={"outline": turned, "house_edges": [0]})
    again = rectangle(BOARD, WALL_DEPTH, at_wall=True)
    assert plan.takeoff == again.takeoff


def test_outline_drawn_the_other_way_round_has_the_same_order() -> None:
    clockwise = [[0, 0], [0, WALL_DEPTH], [BOARD, WALL_DEPTH], [BOARD, 0]]
    plan = rectangle(0, 0, deck={"outline": clockwise, "house_edges": [3], "start_edge": 3})
    assert plan.takeoff == rectangle(BOARD, WALL_DEPTH, at_wall=True).takeoff


# Two boards and a butt gap long


def test_bay_is_an_even_part_of_board_and_butt_gap(two_boards: Plan) -> None:
    # (4000 + 8) / 400 = 10.02, so 11 bays of 364.36 mm; full boards meet at 4004 = 11 bays - 4.
    for joint in two_boards.joints:
        bays = (joint.at[0] - 4004) / (4008 / 11)
        assert bays == pytest.approx(round(bays), abs=1e-4)
    full = [piece for piece in two_boards.pieces if piece.length == pytest.approx(4000)]
    assert len(full) >= COURSES  # each course has one at least


def test_stagger_alternates_course_by_course(two_boards: Plan) -> None:
    per_course = Counter(joint.course for joint in two_boards.joints)
    assert per_course == {course: 1 if course % 2 else 2 for course in range(1, COURSES + 1)}


def test_pieces_of_a_jointed_course_fill_it(two_boards: Plan) -> None:
    # Odd courses: two full boards. Even ones: 2178.18, a full board, 1813.82, which with two gaps of 8 make 8008.
    lengths = Counter(piece.length for piece in two_boards.pieces)
    assert lengths == {4000.0: 5 * 2 + 5, 2178.182: 5, 1813.818: 5}


def test_both_parts_of_a_cut_board_are_laid(two_boards: Plan) -> None:
    # 2178.18 + kerf 3 + 1813.82 = 3995, one board: 10 for the odd courses, 5 + 5 for the even ones.
    assert orders(two_boards)["board-4000"] == 20
    offcuts = Counter(item.offcut for item in two_boards.stock if item.product == "plain-140")
    assert offcuts == {0.0: 15, 2.0: 5}  # 4000 - 3992 less two kerfs


def test_joists_are_doubled_on_three_lines_and_nowhere_else(two_boards: Plan) -> None:
    # 21 lines between the end rims, 3 of them doubled: 18 joists and 6 doubles.
    assert roles(two_boards) == {"joist": 18, "double": 6, "ledger": 2, "rim": 4}


def test_joint_lands_on_two_joists_one_under_each_end(two_boards: Plan) -> None:
    members = {member.id: member for member in two_boards.members}
    for joint in two_boards.joints:
        left, right = (members[name] for name in joint.joists)
        assert {left.role, right.role} == {"double"}
        assert left.start[0] == pytest.approx(joint.at[0] - JOIST / 2, abs=2e-3)
        assert right.start[0] == pytest.approx(joint.at[0] + JOIST / 2, abs=2e-3)


def test_doubles_are_fixed_to_one_by_one(two_boards: Plan) -> None:
    # 18 joists + 6 doubles + 2 end rims = 26 bearings under every course.
    assert clips(two_boards) == {"starter clip": 26, "clip": 9 * 26, "edge clip": 26}


def test_edge_members_longer_than_stock_are_spliced(two_boards: Plan) -> None:
    # Ledger and front rim are 8008 - 47 = 7961 long; the longest timber is 4800, so two halves of 3980.5 each.
    lengths = [member.length for member in two_boards.members if member.role == "ledger"]
    assert lengths == [3980.5, 3980.5]


# What is left beside the last full course


def widths(plan: Plan) -> list[float]:
    return [piece.width for piece in sorted(plan.pieces, key=lambda piece: piece.course)]


def test_wide_last_rip_leaves_the_first_board_whole() -> None:
    # 100 mm more than ten courses: a gap of 5 and a rip of 95, over two joist breadths (94).
    plan = rectangle(BOARD, WALL_DEPTH + 100, at_wall=True)
    assert widths(plan) == [WIDTH] * COURSES + [95]


def test_narrow_last_rip_is_shared_with_the_first_course() -> None:
    # 60 mm more: a gap of 5 and a rip of 55. 140 + 55 = 195, shared on the millimetre: 98 and 97.
    plan = rectangle(BOARD, WALL_DEPTH + 60, at_wall=True)
    assert widths(plan) == [98] + [WIDTH] * (COURSES - 1) + [97]
    assert [piece.cuts for piece in plan.pieces if piece.width < WIDTH] == [("square", "rip")] * 2


def test_least_rip_of_the_site_is_kept() -> None:
    # 95 would do for the frame, not for min_rip 110: 140 + 95 = 235, shared: 118 and 117.
    plan = rectangle(BOARD, WALL_DEPTH + 100, at_wall=True, pattern={"min_rip": 110})
    assert widths(plan) == [118] + [WIDTH] * (COURSES - 1) + [117]


def test_ripped_course_is_bought_as_whole_boards() -> None:
    plan = rectangle(BOARD, WALL_DEPTH + 60, at_wall=True)
    assert orders(plan)["board-4000"] == COURSES + 1


@pytest.mark.parametrize("more", [20, 30, 45, 60, 80, 99, 120, 144])
def test_no_course_is_narrower_than_the_least_rip(more: int) -> None:
    plan = rectangle(BOARD, WALL_DEPTH + more, at_wall=True)
    assert min(widths(plan)) >= 40
    backs = max(y for piece in plan.pieces for _, y in piece.polygon.outer)
    assert backs == pytest.approx(WALL_DEPTH + more)


# Other gaps


def test_boards_laid_without_gaps_fill_the_deck() -> None:
    # Ten boards of 140 with no gap: 1400 deep; two boards of 4000 with no butt gap: 8000 long.
    plan = rectangle(2 * BOARD, COURSES * WIDTH, gaps={"course": 0, "butt": 0, "wall": 0}, at_wall=True)
    assert sum(piece.length * piece.width for piece in plan.pieces) == pytest.approx(8000 * 1400)
    # Ten bays of 400 to a board, so every joint lies on a multiple of 400.
    assert all(joint.at[0] % 400 == 0 for joint in plan.joints)
    # Butting odd courses in the middle would take 5 x 2 boards, and even ones of 2000, 4000, 2000 three each, as two
    # of 2000 and a kerf of 3 do not come from one board: 25. Begun at 800 the same bond has 800, 4000, 3200 and
    # 2800, 4000, 1200: 10 full ones, 5 of 3200, 5 of 2800 and 800, and five of 1200 from 2: 22.
    assert orders(plan)["board-4000"] == 10 + 5 + 5 + 2


def test_wider_centres_want_fewer_joists() -> None:
    # max_centres 600: 3953 / 600 = 6.6, so 7 bays and 6 joists.
    plan = rectangle(BOARD, WALL_DEPTH, at_wall=True, frame={"max_centres": 600})
    assert roles(plan)["joist"] == 6
    assert clips(plan)["starter clip"] == 8

from itertools import pairwise
from math import ceil

import pytest
from courseline.engine.scene.brickwork import BRICK_DEPTH, BRICK_LENGTH, COURSE, JOINT, QUEEN, set_out
from courseline.engine.scene.coursing import Course, Cutting, Void, lay

QUOIN, INNER, STRAIGHT = 1, -1, 0
BONDS = ("stretcher", "flemish", "english")
CUTTING = Cutting(JOINT, BRICK_DEPTH, BRICK_LENGTH)
EASED = 0.016
"""Share by which bricks may be eased, and a little for rounding."""
BOX = {"stretcher": [2240.0, 1790.0], "flemish": [2240.0 + 3 * 112.5 * 2, 2240.0], "english": [2240.0, 1790.0]}
"""Two walls of whole bricks for each bond: 20 halves; 16; 26, which leaves 2 over thirds as flemish bond needs."""


def box(bond, lengths=None, turns=(QUOIN,) * 4, jambs=((),) * 4):
    lengths = list(lengths or BOX[bond]) * 2 if len(lengths or BOX[bond]) == 2 else list(lengths)
    return lengths, set_out(bond, lengths, turns, jambs, [length / 2 for length in lengths])


def units(setting, parity, voids=()):
    ends = setting.ends[parity]
    beside = setting.perpends[0] if parity else ()
    return lay(Course(parity, 0.0, 65.0, *ends, setting.perpends[parity], beside), voids, CUTTING)


def faces(setting, parity, voids=()):
    return [unit.length for unit in units(setting, parity, voids)]


def about(value):
    return pytest.approx(value, rel=EASED)


def test_60_bricks_to_the_square_metre():
    # BRICK-60, BRICK-size and BRICK-coord (Designing Buildings wiki, 'Brick sizes'; BS EN 771-1 practice):
    # 215 x 102.5 x 65 mm in 10 mm joints, 60 to the square metre of a half-brick wall in stretcher bond.
    # By geometry it is 1 / (0.225 x 0.075) = 59.26, which the trade rounds up.
    _, walls = box("stretcher", [8990.0, 4490.0])
    laid = sum(faces(walls[0], course % 2) and sum(faces(walls[0], course % 2)) / BRICK_LENGTH for course in range(40))
    # 8.99 m and a joint by 40 courses of 75 mm: 9 m by 3 m.
    mortar = sum(len(faces(walls[0], course % 2)) for course in range(40)) * JOINT / BRICK_LENGTH
    assert (laid + mortar) * BRICK_LENGTH / (BRICK_LENGTH + JOINT) / 27.0 == pytest.approx(59.26, abs=0.1)
    assert ceil(59.26) == 60
    assert COURSE == 75.0


@pytest.mark.parametrize(
    ("bond", "even", "odd"),
    [
        ("stretcher", [BRICK_LENGTH] * 4, [BRICK_DEPTH, *[BRICK_LENGTH] * 3]),
        (
            "flemish",
            [BRICK_LENGTH, BRICK_DEPTH, BRICK_LENGTH, BRICK_DEPTH],
            [BRICK_DEPTH, QUEEN, BRICK_LENGTH, BRICK_DEPTH],
        ),
        ("english", [BRICK_LENGTH] * 4, [BRICK_DEPTH, QUEEN, BRICK_DEPTH, BRICK_DEPTH]),
    ],
)
def test_each_bond_shows_its_own_courses(bond, even, odd):
    # Brick Development Association, 'Brickwork bonds' and any bricklaying handbook, from memory: stretcher bond all
    # stretchers; flemish bond stretchers and headers in turn in every course; english bond courses of either in turn;
    # with a queen closer next to the quoin header.
    _, walls = box(bond)
    wall = walls[0]
    if faces(wall, 0)[0] < faces(wall, 1)[0]:
        even, odd = odd, even
    assert faces(wall, 0)[:4] == [about(length) for length in even]
    assert faces(wall, 1)[:4] == [about(length) for length in odd]


@pytest.mark.parametrize("bond", BONDS)
def test_a_quoin_shows_a_brick_by_its_length_on_one_wall_and_by_its_end_on_the_other(bond):
    lengths, walls = box(bond)
    for i in range(4):
        for parity in (0, 1):
            ending, beginning = units(walls[i], parity)[-1], units(walls[(i + 1) % 4], parity)[0]
            assert sorted((ending.length, beginning.length)) == [about(BRICK_DEPTH), about(BRICK_LENGTH)]
            assert (ending.end, beginning.start) == (lengths[i], 0.0)


@pytest.mark.parametrize("bond", BONDS)
def test_walls_of_whole_bricks_have_none_cut(bond):
    whole = {BRICK_LENGTH, BRICK_DEPTH} | ({QUEEN} if bond != "stretcher" else set())
    for wall in box(bond)[1]:
        for parity in (0, 1):
            assert all(any(length == about(size) for size in whole) for length in faces(wall, parity))


@pytest.mark.parametrize("bond", BONDS)
def test_no_perpend_stands_over_another(bond):
    for wall in box(bond)[1]:
        for at in wall.perpends[0]:
            assert min(abs(at - other) for other in wall.perpends[1]) > QUEEN


def test_a_flemish_header_stands_over_the_middle_of_a_stretcher():
    # Any bricklaying handbook, from memory.
    wall = box("flemish")[1][0]
    below, above = units(wall, 0), units(wall, 1)
    if below[0].length < above[0].length:
        below, above = above, below
    stretchers = [(unit.start + unit.end) / 2 for unit in below if unit.length > 200]
    headers = [(unit.start + unit.end) / 2 for unit in above[2:-2] if 90 < unit.length < 110]
    assert headers
    assert all(min(abs(middle - other) for other in stretchers) < 2.0 for middle in headers)


def test_an_inner_corner_has_one_wall_run_past_the_other_in_turn():
    lengths = [4490.0, 2240.0 + 10.0, 2250.0, 2250.0, 2240.0, 4490.0]
    turns = [QUOIN, QUOIN, QUOIN, INNER, QUOIN, QUOIN]
    walls = set_out("stretcher", lengths, turns, [()] * 6, [length / 2 for length in lengths])
    for parity in (0, 1):
        left_over = lengths[2] - units(walls[2], parity)[-1].end
        set_back = units(walls[3], parity)[0].start
        # One of the two reaches the corner with half a brick, the other stops at its face, a joint short of it.
        assert sorted((round(left_over, 3), round(set_back, 3))) == [0.0, JOINT]


@pytest.mark.parametrize("bond", BONDS)
@pytest.mark.parametrize("corners", [(QUOIN,) * 4, (QUOIN, STRAIGHT, QUOIN, INNER)])
@pytest.mark.parametrize("length", [610.0, 1234.0, 2000.0, 4056.0, 12345.0])
@pytest.mark.parametrize("opening", [None, (0.21, 0.47), (0.1, 0.9)])
def test_no_brick_is_cut_to_less_than_half_but_for_queen_closers(bond, corners, length, opening):
    # Least unit of a quarter brick, but for queen closers: bricklaying practice, from memory. Ours keep to a half.
    lengths = [length, 3365.0, length, 3365.0]
    span = (round(opening[0] * length), round(opening[1] * length)) if opening else ()
    settings = set_out(bond, lengths, corners, [span, (), (), ()], [length / 2, 1700.0] * 2)
    voids = [Void(*span, -100.0, 2000.0, 0.0)] if span else []
    for i, setting in enumerate(settings):
        for parity in (0, 1):
            laid = units(setting, parity, voids if i == 0 else ())
            for number, unit in enumerate(laid):
                beside_a_quoin = number in (1, len(laid) - 2) and bond != "stretcher"
                least = QUEEN if beside_a_quoin else BRICK_DEPTH
                whole_pier = unit.jambs == (True, True) or (unit.first, unit.last) == unit.jambs[::-1]
                whole_pier = whole_pier and any(unit.jambs)
                assert unit.length >= least * 0.94 or whole_pier
                assert unit.length <= BRICK_LENGTH * 1.04
            for one, following in pairwise(laid):
                gap = following.start - one.end
                assert gap == pytest.approx(JOINT) or (span and gap == pytest.approx(span[1] - span[0]))


def test_bricks_are_eased_onto_jambs_and_cut_nowhere():
    # 1790 = 8 modules less a joint to the jamb, an opening of 16 modules and a joint: what a bricklayer calls gauge.
    jambs = (1800.0, 1800.0 + 3600.0)
    settings = set_out("stretcher", [7200.0, 5400.0] * 2, [QUOIN] * 4, [jambs, (), (), ()], [3600.0, 2700.0] * 2)
    for parity in (0, 1):
        laid = units(settings[0], parity, [Void(*jambs, -100.0, 2000.0, 0.0)])
        assert all(any(unit.length == about(size) for size in (BRICK_LENGTH, BRICK_DEPTH)) for unit in laid)


def test_bricks_over_an_opening_are_cut_in_height():
    wall = box("stretcher", [4490.0, 2240.0])[1][0]
    course = Course(0, 0.0, 65.0, *wall.ends[0], wall.perpends[0])
    laid = lay(course, [Void(1000.0, 2000.0, -500.0, 30.0, 0.0)], CUTTING)
    over = [unit for unit in laid if unit.low == 30.0]
    assert (over[0].start, over[-1].end) == (1010.0, 1990.0)  # a joint from the bricks at the jambs
    assert all(unit.high == 65.0 for unit in laid)


@pytest.mark.parametrize("bond", BONDS)
@pytest.mark.parametrize("jamb", [1800.0, 1830.0, 1867.0, 1900.0, 1951.0])
def test_no_straight_joint_runs_up_beside_an_opening(bond, jamb):
    # Perpends of neighbouring courses keep apart: any bricklaying handbook, from memory.
    jambs = (jamb, jamb + 1200.0)
    wall = set_out(bond, [7200.0, 5400.0] * 2, [QUOIN] * 4, [jambs, (), (), ()], [2500.0, 2700.0] * 2)[0]
    void = [Void(*jambs, -100.0, 2000.0, 0.0)]
    perpends = [[unit.end for unit in units(wall, parity, void)] for parity in (0, 1)]
    near = [[at for at in course if 0 < jamb - at < 250.0] for course in perpends]
    assert all(abs(one - other) > 20.0 for one in near[0] for other in near[1])

from math import ceil

import pytest
from courseline.engine.scene.brickwork import BRICK_DEPTH, BRICK_HEIGHT, BRICK_LENGTH, bricks, set_out

QUOIN, INNER = 1, -1


def test_60_bricks_to_the_square_metre():
    # BRICK-60, BRICK-size and BRICK-coord (Designing Buildings wiki, 'Brick sizes'; BS EN 771-1 practice):
    # 215 x 102.5 x 65 mm in 10 mm joints, 60 to the square metre of a half-brick wall in stretcher bond.
    # By geometry it is 1 / (0.225 x 0.075) = 59.26, which the trade rounds up.
    laid = bricks(0.0, 9000.0, 0.0, 3000.0)
    whole = sum(brick.length * brick.height for brick in laid) / (BRICK_LENGTH * BRICK_HEIGHT)
    assert whole / 27.0 == pytest.approx(59.26, abs=0.1)
    assert ceil(whole / 27.0) == 60


def test_bricks_of_a_course_stand_half_a_module_over_those_below():
    laid = bricks(0.0, 2250.0, 0.0, 150.0)
    below = [brick.u for brick in laid if brick.course == 0]
    above = [brick.u for brick in laid if brick.course == 1]
    assert below[:2] == [0.0, 225.0]
    assert above[:3] == [0.0, 112.5, 337.5]


def test_a_quoin_shows_a_brick_by_its_length_on_one_wall_and_by_its_end_on_the_other():
    # Four brick lengths by three, in whole half-bricks less the joint that an outer corner lacks.
    walls = set_out([2240.0, 1790.0] * 2, [QUOIN] * 4, [1000.0] * 4)
    for wall in range(4):
        last, first = walls[wall][-1], walls[(wall + 1) % 4][0]
        for course in range(6):
            v = course * 75.0 + 1.0
            ending = bricks(last.u_start, last.u_end, v, v + 10)[-1]
            beginning = bricks(first.u_start, first.u_end, v, v + 10)[0]
            assert {round(ending.length, 3), round(beginning.length, 3)} == {BRICK_LENGTH, BRICK_DEPTH}
            if wall < 3:  # and it is one brick: the same number, hence the same colour, on both walls
                assert ending.number == beginning.number


def test_an_inner_corner_has_one_wall_run_past_the_other_in_turn():
    lengths = [4490.0, 2240.0 + 10.0, 2250.0, 2250.0, 2240.0, 4490.0]
    turns = [QUOIN, QUOIN, QUOIN, INNER, QUOIN, QUOIN]
    walls = set_out(lengths, turns, [length / 2 for length in lengths])
    last, first = walls[2][-1], walls[3][0]
    for course in range(4):
        v = course * 75.0 + 1.0
        ending = bricks(last.u_start, last.u_end, v, v + 10)[-1]
        beginning = bricks(first.u_start, first.u_end, v, v + 10)[0]
        left_over = last.u_end - (ending.u + ending.length)
        set_back = beginning.u - first.u_start
        # One of the two reaches the corner with half a brick, the other stops at its face, a joint short of it.
        assert sorted((round(left_over, 3), round(set_back, 3))) == [0.0, 10.0]


def test_the_bond_comes_out_even_once_round_the_house():
    # Taken each for itself these come to an odd number of half bricks, so that one has to give.
    lengths, turns = [4113.0, 3377.0, 4225.5, 3377.0], [QUOIN] * 4
    walls = set_out(lengths, turns, [2000.0] * 4)
    assert (walls[-1][-1].u_end - BRICK_DEPTH - walls[0][0].u_start) % 225.0 == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("length", [610.0, 1234.0, 4056.0, 12345.0])
def test_bricks_keep_their_size_whatever_the_wall_measures(length):
    walls = set_out([length, 3365.0, length, 3365.0], [QUOIN] * 4, [length / 2, 1000.0] * 2)
    for run in (run for wall in walls for run in wall):
        assert (run.u_end - run.u_start) / (run.end - run.start) == pytest.approx(1.0, abs=0.015)  # 3 mm a brick
    assert walls[0][0].start == 0.0
    assert walls[0][-1].end == length

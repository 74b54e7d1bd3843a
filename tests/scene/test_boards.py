import dataclasses

import numpy as np
import pytest
from courseline.engine.plan import Area
from courseline.engine.scene.board_mesh import join_boards
from courseline.engine.scene.boards import board_shapes
from courseline.engine.scene.model import BoardShape
from courseline.engine.scene.profile import GROOVE_DEPTH, top_profile
from meshes import section, volume
from plans import GAP, SURFACE, WIDTH, small_plan
from shapely.geometry import Polygon


def shape(outer, holes=(), face="grain", width=140.0):
    return BoardShape("A-01-1", "S1", "plain-140", face, (0.0, 0.0, 0.0), 0.0, Area(outer, holes), width, 22.0, 0.0)


@pytest.mark.parametrize("face", ["grain", "grooved"])
def test_a_plain_piece_is_as_long_as_it_is_times_its_section(face):
    joined = join_boards([shape(((0, -70), (1000, -70), (1000, 70), (0, 70)), face=face)])
    assert volume(joined) == pytest.approx(1000 * section(140.0, face), rel=1e-6)


NOTCHED = ((0, -70), (900, -70), (900, -20), (1100, -20), (1100, -70), (2000, -70), (1930, 70), (0, 70))
HOLE = ((400, -20), (400, 30), (470, 30), (470, -20))


def test_notches_mitres_and_holes_are_cut_right_through():
    joined = join_boards([shape(NOTCHED, (HOLE,))])
    plan = Polygon(NOTCHED, [HOLE]).area
    assert plan * 21.9 < volume(joined) < plan * 22.0
    top = joined.vertices[:, 2] > -3.0
    assert not np.any(top & (np.abs(joined.vertices[:, 0] - 435) < 34) & (np.abs(joined.vertices[:, 1] - 5) < 24))


def test_a_side_that_is_level_but_for_its_last_digits_reaches_no_further_than_its_ends():
    joined = join_boards([shape(((0, -70), (1000, -70 + 6e-7), (1000, 70), (0, 70)))])
    assert (joined.vertices[:, 0].min(), joined.vertices[:, 0].max()) == pytest.approx((0.0, 1000.0))


def test_rings_of_a_plan_may_run_either_way_round():
    plan = small_plan()
    outer = plan.pieces[0].polygon.outer
    hole = ((500.0, -60.0), (500.0, -90.0), (530.0, -90.0), (530.0, -60.0))
    volumes = []
    for ring, cut in ((outer, hole), (outer[::-1], hole), (outer, hole[::-1]), (outer[::-1], hole[::-1])):
        piece = dataclasses.replace(plan.pieces[0], polygon=Area(ring, (cut,)))
        volumes.append(volume(join_boards(board_shapes(dataclasses.replace(plan, pieces=(piece,))))))
    assert volumes == pytest.approx([1988 * section(140.0, "grain") - 30 * 30 * 22] * 4)


def test_a_rip_leaves_a_sharp_arris_and_the_works_edge_keeps_its_own():
    joined = join_boards([shape(((0, -70), (1000, -70), (1000, 10), (0, 10)))])
    ripped, made = (joined.vertices[np.isclose(joined.vertices[:, 1], side), 2].max() for side in (10.0, -70.0))
    assert ripped == 0.0
    assert made < -2.0


def test_grooves_are_as_deep_as_they_say_and_none_is_cut_through_the_arris():
    profile = top_profile(146.0, "grooved")
    assert profile[:, 1].min() == pytest.approx(-2.5)
    inner = profile[np.abs(profile[:, 0]) < 66.0]
    assert inner[:, 1].min() == -GROOVE_DEPTH
    assert np.all(np.diff(profile[:, 0]) >= 0.0)


def test_a_piece_begins_in_its_stock_where_the_one_before_it_was_cut_off():
    first, second = board_shapes(small_plan())[:2]
    assert first.from_end == 0.0
    assert second.from_end == pytest.approx(1996.0 - 8.0 + 3.0)  # the first piece and a kerf of 3


def test_pieces_lie_in_the_plan_where_the_layout_put_them():
    plan = small_plan()
    joined = join_boards(board_shapes(plan))
    at = np.cumsum(joined.corners)[:-1]
    for number, piece in enumerate(plan.pieces[:6]):
        own = np.concatenate(
            [part for part, whose in zip(np.split(joined.vertices, at), joined.piece, strict=True) if whose == number]
        )
        bounds = Polygon(piece.polygon.outer).bounds
        assert (*own.min(axis=0)[:2], *own.max(axis=0)[:2]) == pytest.approx(bounds)
        assert own[:, 2].max() == pytest.approx(SURFACE)
        assert own[:, 2].min() == pytest.approx(SURFACE - 22.0)


def test_boards_are_modelled_the_same_whichever_way_they_run():
    straight = board_shapes(small_plan())[0]
    joined = join_boards([straight, dataclasses.replace(straight, angle=33.0)])
    half = len(joined.vertices) // 2
    assert joined.board_co[:half] == pytest.approx(joined.board_co[half:])
    level = joined.vertices[half:, :2] - straight.origin[:2]
    turned = level @ np.array(
        [[np.cos(np.radians(33)), -np.sin(np.radians(33))], [np.sin(np.radians(33)), np.cos(np.radians(33))]]
    )
    assert turned + straight.origin[:2] == pytest.approx(joined.vertices[:half, :2])


def test_the_last_course_when_ripped_keeps_its_works_edge_towards_its_neighbour():
    plan = small_plan()
    last = plan.pieces[-1]
    top = -GAP - (last.course - 1) * (WIDTH + GAP)
    ring = ((3504.0, top - 60), (5992.0, top - 60), (5992.0, top), (3504.0, top))
    ripped = dataclasses.replace(last, polygon=Area(ring), width=60.0)
    shapes = board_shapes(dataclasses.replace(plan, pieces=(*plan.pieces[:-1], ripped)))
    across = [point[1] for point in shapes[-1].polygon.outer]
    assert (min(across), max(across)) == pytest.approx((10.0, 70.0))


def test_pieces_of_one_board_share_its_numbers_and_no_two_boards_do():
    joined = join_boards(board_shapes(small_plan()))
    assert np.array_equal(joined.randoms[0], joined.randoms[1])
    assert len(np.unique(joined.randoms, axis=0)) == 20

"""Ends of hollow boards: chambers where a board is cut across, and core wherever it was sawn."""

import dataclasses
from itertools import pairwise

import numpy as np
import pytest
from courseline.engine.plan import Area
from courseline.engine.scene.board_ends import SEEN_DEPTH, SHARE
from courseline.engine.scene.board_mesh import join_boards
from courseline.engine.scene.boards import board_shapes
from courseline.engine.scene.model import BoardShape
from courseline.engine.scene.profile import FLANGE, SIDE_WALL, WEB, chambers
from meshes import THICKNESS, section, volume
from plans import WIDTH, small_plan

WHOLE = ((0, -70), (1000, -70), (1000, 70), (0, 70))
MITRED = ((0, -70), (1000, -70), (860, 70), (0, 70))


def shape(outer=WHOLE, holes=(), face="grain", *, hollow=True, open_sides=(False, True, False, True)):
    return BoardShape(
        "A-01-1", "S1", "plain-140", face, (0.0, 0.0, 0.0), 0.0, Area(outer, holes), WIDTH, THICKNESS, 0.0,
        open_sides=open_sides, hollow=hollow,
    )  # fmt: skip


def area_of(outline):
    x, y = outline.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2


def hollow_volume(depth):
    return depth * sum(area_of(outline) for outline in chambers(WIDTH, THICKNESS))


@pytest.mark.parametrize("face", ["grain", "grooved"])
@pytest.mark.parametrize(("outer", "length"), [(WHOLE, 1000.0), (MITRED, 930.0)])
def test_both_ends_of_a_hollow_board_are_open_as_deep_as_one_can_see(face, outer, length) -> None:
    mesh = join_boards([shape(outer, face=face)])
    assert volume(mesh) == pytest.approx(length * section(WIDTH, face) - hollow_volume(2 * SEEN_DEPTH), rel=1e-9)


def test_chambers_leave_the_walls_of_the_board() -> None:
    outlines = chambers(WIDTH, THICKNESS)
    sides = [(outline[:, 0].min(), outline[:, 0].max()) for outline in outlines]
    assert sides[0][0] == pytest.approx(-WIDTH / 2 + SIDE_WALL)
    assert sides[-1][1] == pytest.approx(WIDTH / 2 - SIDE_WALL)
    assert [b[0] - a[1] for a, b in pairwise(sides)] == pytest.approx([WEB] * (len(sides) - 1))
    heights = np.concatenate(outlines)[:, 1]
    assert (heights.min(), heights.max()) == pytest.approx((FLANGE - THICKNESS, -FLANGE))


def test_a_solid_board_shows_a_solid_end() -> None:
    mesh = join_boards([shape(hollow=False)])
    assert volume(mesh) == pytest.approx(1000 * section(WIDTH, "grain"), rel=1e-9)
    assert mesh.is_end.sum() == 2


def test_chambers_of_a_short_piece_do_not_meet() -> None:
    mesh = join_boards([shape(((0, -70), (90, -70), (90, 70), (0, 70)))])
    assert volume(mesh) == pytest.approx(90 * section(WIDTH, "grain") - hollow_volume(2 * SHARE * 90), rel=1e-9)


def test_an_end_down_a_gap_stays_closed() -> None:
    mesh = join_boards([shape(open_sides=(False, True, False, False))])
    assert volume(mesh) == pytest.approx(1000 * section(WIDTH, "grain") - hollow_volume(SEEN_DEPTH), rel=1e-9)


def test_an_end_with_a_notch_opens_the_chambers_that_it_crosses_whole() -> None:
    notched = ((0, -70), (900, -70), (900, -30), (1000, -30), (1000, 70), (0, 70))
    mesh = join_boards([shape(notched, open_sides=(False, False, False, True, False, False))])
    crossed = [each for each in chambers(WIDTH, THICKNESS) if each[:, 0].min() > -30]
    assert 0 < len(crossed) < len(chambers(WIDTH, THICKNESS))
    whole = join_boards([shape(notched, hollow=False)])
    assert volume(mesh) == pytest.approx(volume(whole) - SEEN_DEPTH * sum(map(area_of, crossed)))


def test_a_rip_shows_the_core_and_the_works_edge_does_not() -> None:
    mesh = join_boards([shape(((0, -70), (1000, -70), (1000, 10), (0, 10)), hollow=False)])
    faces = np.repeat(np.arange(len(mesh.corners)), mesh.corners)
    across = {
        side: mesh.is_end[[number for number in np.unique(faces) if np.all(mesh.vertices[faces == number, 1] == side)]]
        for side in (-70.0, 10.0)
    }
    assert not across[-70.0].any()
    assert across[10.0].all()
    assert across[10.0].size == 1


@pytest.mark.parametrize("profile", ["hollow", "solid"])
def test_a_site_says_whether_its_boards_are_hollow(profile) -> None:
    plan = small_plan()
    boards = dataclasses.replace(plan.site.boards, profile=profile)
    plan = dataclasses.replace(plan, site=dataclasses.replace(plan.site, boards=boards))
    assert {board.hollow for board in board_shapes(plan)} == {profile == "hollow"}

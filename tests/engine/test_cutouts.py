"""Cuts that obstacles ask of a piece, measured as on the bench: from its first end and its lower side."""

from __future__ import annotations

import pytest
from courseline.engine.layout.cutouts import Cutout, cutouts
from shapely.geometry import Point, Polygon, box

BOARD = box(1000, 200, 3000, 340)
"""2 m of a 140 mm board, away from the origin."""


def cut(*obstacles: Polygon) -> tuple[Cutout, ...]:
    piece = BOARD
    for obstacle in obstacles:
        piece = piece.difference(obstacle)
    return cutouts(piece, obstacles)


def test_post_inside_the_board_makes_a_hole() -> None:
    assert cut(box(1500, 240, 1560, 300)) == (Cutout("hole", (500, 560), (40, 100)),)


def test_post_over_the_side_makes_a_notch_as_deep_as_it_reaches() -> None:
    (notch,) = cut(box(1500, 300, 1560, 400))
    assert notch == Cutout("notch", (500, 560), (100, 140))
    assert notch.wood_beside(140) == 100


def test_pipe_at_the_end_makes_an_end_scribe() -> None:
    (end,) = cut(Point(3000, 270).buffer(50))
    assert end.kind == "end"
    assert end.along == pytest.approx((1950, 2000))
    assert end.across == pytest.approx((20, 120))
    assert end.wood_beside(140) == pytest.approx(20)


def test_board_cut_off_square_at_an_obstacle_has_no_cutout() -> None:
    assert cut(box(2900, 100, 3100, 400)) == ()


def test_cuts_are_told_from_the_first_end_on() -> None:
    kinds = [(c.kind, c.along[0]) for c in cut(box(2500, 180, 2600, 230), box(1200, 240, 1260, 300))]
    assert kinds == [("hole", 200), ("notch", 1500)]


def test_tongue_too_thin_to_be_laid_counts_with_the_cut() -> None:
    # The post reaches to 12 mm from the upper side; those 12 mm are not laid.
    post = box(1500, 250, 1560, 328)
    piece = BOARD.difference(box(1500, 250, 1560, 340))
    assert cutouts(piece, [post]) == (Cutout("notch", (500, 560), (50, 140)),)


def test_obstacle_beside_another_board_asks_no_cut() -> None:
    assert cutouts(BOARD, [box(1500, 400, 1600, 500)]) == ()


def test_slanted_end_is_no_cut_for_an_obstacle() -> None:
    piece = Polygon([(1000, 200), (3000, 200), (2860, 340), (1000, 340)])
    assert cutouts(piece, [box(1500, 150, 1560, 199)]) == ()

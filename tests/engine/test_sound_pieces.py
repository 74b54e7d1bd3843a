"""What is found at once for all plain pieces agrees with what is found by looking at each."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from courseline.engine.frame.footprints import footprints
from courseline.engine.frame.resting import Body, supports
from courseline.engine.frame.sound import sound_pieces
from courseline.engine.frame.support import bays, bearings, gaps, rests
from courseline.engine.lay import lay_decks
from courseline.engine.layout.axes import Axes
from courseline.engine.layout.chords import chords, chords_of_each
from courseline.engine.layout.pieces import LaidPiece
from courseline.engine.site import site_from_table
from generated_sites import generated_site


@pytest.mark.slow
@pytest.mark.parametrize("number", range(0, 60, 5))
def test_sound_pieces_lack_nothing_looked_at_one_by_one(number: int) -> None:
    site = site_from_table(generated_site(number))
    breadth, clear = site.frame.section[0], site.frame.max_centres - site.frame.section[0]
    for zone in lay_decks(site):
        strips = footprints(zone.frame, breadth)
        members, least = supports(list(strips)), site.pattern.min_piece_bays
        sound = sound_pieces(zone.pieces, strips, clear, least, breadth)
        for piece, is_sound, bay in zip(zone.pieces, sound.pieces, sound.bay, strict=True):
            if not is_sound:
                continue
            body = Body(piece.polygon, piece.whole, members)
            carried = bearings([body])[0]
            assert piece.whole and rests(body)
            assert not gaps(body, carried, clear)
            assert bays(body, breadth, enough=99) >= least
            assert bay == pytest.approx(max((high - low for (_, low), (high, _) in pairwise(carried)), default=0.0))


@pytest.mark.parametrize(
    ("start", "clear", "least", "is_sound"),
    [
        (0.0, 353.0, 2, True),
        (-50.0, 353.0, 2, True),
        (-51.0, 353.0, 2, False),  # reaches out further than a board may
        (0.0, 352.0, 2, False),  # spans too far
        (0.0, 353.0, 3, False),  # bears on too few bays
    ],
)
def test_board_on_three_joists(start: float, clear: float, least: int, is_sound: bool) -> None:
    joists = shapely.box([0, 400, 800], -500, [47, 447, 847], 500)
    shape = shapely.box(start, 0, 847, 140)
    board = LaidPiece("A-01-1", "board", Axes(0.0), 1, shape, shape.bounds, True, 847.0, 140.0, ("square",), (shape,))
    assert sound_pieces([board], joists, clear, least, 47.0).pieces.tolist() == [is_sound]


def test_most_pieces_of_a_plain_deck_are_sound() -> None:
    outline = [(0.0, 0.0), (9000.0, 0.0), (9000.0, 5000.0), (0.0, 5000.0)]
    site = site_from_table({"schema": 1, "name": "plain", "deck": {"outline": outline}})
    (zone,) = lay_decks(site)
    breadth, least = site.frame.section[0], site.pattern.min_piece_bays
    sound = sound_pieces(zone.pieces, footprints(zone.frame, breadth), site.frame.max_centres - breadth, least, breadth)
    assert np.count_nonzero(sound.pieces) > 0.8 * len(zone.pieces)


def test_chords_measure_what_shapely_measures() -> None:
    reach = zip(np.arange(12) / 2, [1.0, 0.4] * 6, strict=True)
    ring = [(700 * r * math.cos(t), 500 * r * math.sin(t)) for t, r in reach]
    shape = shapely.Polygon(ring).buffer(0).difference(shapely.Point(100, 20).buffer(60))
    places = np.linspace(-650.0, 650.0, 53)
    found = chords(shape, places)
    lines = shapely.linestrings([[(u, -1000.0), (u, 1000.0)] for u in places])
    wanted = shapely.length(shapely.intersection(lines, shape))
    assert wanted.max() > 100.0
    assert np.bincount(found.place, found.length, len(places)) == pytest.approx(wanted, abs=1e-6)


def test_chords_of_each_shape_are_those_of_the_shape_alone() -> None:
    shapes = [shapely.box(0, 0, 100, 50), shapely.Point(60, 0).buffer(60), shapely.box(0, 0, 9, 9)]
    places, owner = np.array([60.0, 0.0, 50.0, 100.0, 30.0]), np.array([1, 0, 0, 0, 1])
    found = chords_of_each(shapes, places, owner)
    for number, (place, shape) in enumerate(zip(places, owner, strict=True)):
        alone, here = chords(shapes[shape], np.array([place])), found.place == number
        assert found.low[here].tolist() == alone.low.tolist()
        assert found.high[here].tolist() == alone.high.tolist()

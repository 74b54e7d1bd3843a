"""What grooves leave of a colour in even light, against what radiation in an enclosure must do."""

import numpy as np
import pytest
from courseline.engine.scene import cavity
from courseline.engine.scene.cavity import albedo_for, seen_mean
from courseline.engine.scene.profile import GROOVE_BOTTOM, GROOVE_DEPTH, GROOVE_TOP

WIDTH = 140.0


def clean(_height):
    return 1.0


def test_a_white_board_shows_no_grooves_in_even_light():
    """Nothing is absorbed, so as much comes out of a groove as goes in (conservation of energy)."""
    assert seen_mean(1.0, clean, WIDTH) == pytest.approx(1.0, abs=1e-9)


def test_all_that_enters_a_groove_meets_its_sides():
    """Reciprocity and closure of view factors: what the sides see of the mouth adds up to the mouth."""
    line = np.array([(-GROOVE_TOP / 2, 0), (-GROOVE_BOTTOM / 2, -GROOVE_DEPTH), (GROOVE_BOTTOM / 2, -GROOVE_DEPTH)])
    line = np.concatenate([line, -line[:1]])
    sides = np.linalg.norm(np.diff(line, axis=0), axis=1)
    to_sky = cavity._form_factors(line[:-1], line[1:], line[-1:], line[:1])[:, 0]
    assert (sides * to_sky).sum() == pytest.approx(GROOVE_TOP)
    among = cavity._form_factors(line[:-1], line[1:], line[:-1], line[1:])
    assert to_sky + among.sum(axis=1) == pytest.approx(1.0)


def test_a_level_bottom_far_down_sees_the_sky_as_hottels_strings_say():
    """Two equal strips face to face: F = sqrt(1 + (h/w)^2) - h/w (Hottel's crossed strings, from memory)."""
    low, high = np.array([[0.0, 0.0]]), np.array([[1.0, 0.0]])
    far, near = np.array([[1.0, 2.0]]), np.array([[0.0, 2.0]])
    seen = cavity._form_factors(low, high, far, near)
    assert seen[0, 0] == pytest.approx(np.sqrt(1 + 2.0**2) - 2.0)


def test_finer_strips_change_nothing(monkeypatch):
    coarse = seen_mean(0.3, clean, WIDTH)
    monkeypatch.setattr(cavity, "STRIPS", 2 * cavity.STRIPS)
    assert seen_mean(0.3, clean, WIDTH) == pytest.approx(coarse, rel=1e-3)


@pytest.mark.parametrize("mean", [0.02, 0.15, 0.5, 0.8])
@pytest.mark.parametrize("gloss", [0.0, 0.016])
def test_the_material_found_is_seen_as_asked(mean, gloss):
    albedo = albedo_for(mean, clean, WIDTH, gloss)
    assert seen_mean(albedo, clean, WIDTH, gloss) == pytest.approx(mean, rel=1e-4)
    if gloss == 0:
        assert albedo > mean


def test_dirt_in_the_grooves_darkens_the_board():
    assert seen_mean(0.3, lambda height: 1 + height / 10, WIDTH) < seen_mean(0.3, clean, WIDTH)

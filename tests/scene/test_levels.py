"""Several decks in one picture: each at its own height, over soil of its own."""

from __future__ import annotations

import pytest
from courseline.engine import design
from courseline.engine.scene import build_scene
from courseline.engine.scene.model import SceneModel
from courseline.engine.scene.outlook import EYES
from courseline.engine.site import site_from_table
from shapely.geometry import Point, Polygon

FRONT = [[0, 0], [0, -3000], [6000, -3000], [6000, 0]]
SIDE = [[9000, 1000], [12000, 1000], [12000, 6000], [9000, 6000]]
LOW, HIGH = 150.0, 450.0
FRAME = 22.0 + 147.0
"""Board and joist as a site file has them by default [mm]."""


def scene(**tables: object) -> SceneModel:
    doors = [
        {"wall": 0, "offset": 1000, "width": 1800, "height": 2000, "kind": "sliding", "leaves": 2},
        {"wall": 1, "offset": 3000, "width": 1200, "height": 1700, "kind": "door"},
    ]
    table = {
        "schema": 1,
        "name": "two decks",
        "house": {"walls": [[0, 0], [9000, 0], [9000, 6000], [0, 6000]], "openings": doors},
        "deck": {"outline": FRONT, "surface": LOW},
        "decks": [{"name": "side", "outline": SIDE, "surface": HIGH}],
        "obstacles": [
            {"name": "low", "kind": "cover", "centre": [3000, -1500], "size": [600, 450]},
            {"name": "high", "kind": "cover", "centre": [10500, 3000], "size": [600, 450]},
        ],
    }
    return build_scene(design(site_from_table(table | tables)))


@pytest.fixture(scope="module")
def two_decks() -> SceneModel:
    return scene()


def top_of(model: SceneModel, name: str) -> float:
    (surface,) = (each for each in model.surfaces if each.id == name)
    return max(vertex[2] for vertex in surface.vertices)


def lowest_of(model: SceneModel, name: str) -> float:
    (surface,) = (each for each in model.surfaces if each.id == name)
    return min(vertex[2] for vertex in surface.vertices)


@pytest.mark.slow
def test_boards_and_fixings_lie_on_their_own_deck(two_decks: SceneModel) -> None:
    heights = {(board.origin[0] > 7500, board.origin[2]) for board in two_decks.boards}
    assert heights == {(False, LOW), (True, HIGH)}
    for fixing in two_decks.fixings:
        surface = HIGH if fixing.at[0] > 7500 else LOW
        assert surface - 22.0 < fixing.at[2] < surface


def test_covers_lie_flush_with_the_deck_round_them(two_decks: SceneModel) -> None:
    assert LOW - 10 < top_of(two_decks, "cover low") < LOW
    assert HIGH - 10 < top_of(two_decks, "cover high") < HIGH


def test_no_door_is_lower_than_the_deck_before_it(two_decks: SceneModel) -> None:
    for name, floor in (("opening 0.0 frame", LOW), ("opening 1.0 frame", HIGH)):
        assert lowest_of(two_decks, name) == pytest.approx(floor - 40.0, abs=1.0)  # the lip falls below the boards


def test_ground_is_dug_under_the_low_deck_alone(two_decks: SceneModel) -> None:
    (soil,) = (each for each in two_decks.surfaces if each.id == "soil")
    low = [z for x, _, z in soil.vertices if x < 7500]
    high = [z for x, _, z in soil.vertices if x > 7500]
    assert min(low) == pytest.approx(LOW - FRAME - 60.0)
    assert min(high) >= 0.0


def test_lawn_has_no_part_under_a_deck(two_decks: SceneModel) -> None:
    (lawn,) = (each for each in two_decks.surfaces if each.id == "lawn")
    decks = [Polygon(FRONT).buffer(-1.0), Polygon(SIDE).buffer(-1.0)]
    for face in lawn.faces:
        shape = Polygon([lawn.vertices[i][:2] for i in face])
        assert not any(shape.intersects(deck) for deck in decks)


def test_eye_is_above_what_one_stands_on(two_decks: SceneModel) -> None:
    for camera in two_decks.cameras:
        if camera.name in ("garden", "doorway"):
            at = Point(camera.position[:2])
            floor = LOW if Polygon(FRONT).covers(at) else HIGH if Polygon(SIDE).covers(at) else 0.0
            assert camera.position[2] == EYES["standing"] + floor


@pytest.mark.slow
def test_view_from_above_takes_in_every_deck(two_decks: SceneModel) -> None:
    """It stands further off than for the one deck, and looks between the two."""
    (above,) = (camera for camera in two_decks.cameras if camera.name == "above")
    (alone,) = (camera for camera in scene(decks=[], obstacles=[]).cameras if camera.name == "above")
    assert above.position[2] > alone.position[2] + 1000.0

"""The colour that was asked for against what the delivered picture shows, by CIEDE2000.

In flat light, the same from all sides, a white card shows as white, and the picture is compared as it is. In open
shade, under our sky with the sun behind a wall, it is the light of the shade that falls on boards, while the picture is
exposed and balanced for the sun. So a grey card of 18 % lies beside them in the same shade, and each part of the linear
picture is divided by what the card shows of it, as a photographer does who takes exposure and white from a card.
Means are taken of linear light, over boards from edge to edge.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

bpy = pytest.importorskip("bpy")

from colours import apart, difference, parts  # noqa: E402
from courseline import render  # noqa: E402 - these import bpy
from courseline.build.collection import deck_collection  # noqa: E402
from courseline.build.surfaces import add_surfaces  # noqa: E402
from courseline.engine.scene.finishes import faced_walls  # noqa: E402
from courseline.engine.scene.model import Material, Sun  # noqa: E402
from courseline.engine.scene.walls import walls_of  # noqa: E402
from courseline.engine.spec import House  # noqa: E402
from courseline.materials import material_for  # noqa: E402
from courseline.materials.sky import sky_for  # noqa: E402
from swatches import (  # noqa: E402
    COUNT,
    PITCH,
    WIDTH,
    delivered,
    eye_at,
    flat_light,
    lay_plate,
    lay_swatch,
    level,
    matt,
)

slow = pytest.mark.long

FLAT_LIMIT, SHADE_LIMIT = 2.0, 4.0
"""dE2000 that a colour may be off by."""
BOARDS = ("#d9d2c4", "#b8a88c", "#7a6a5c", "#45474a", "#2f3234")
FRAMES = ("#f1f0ea", "#8d9295", "#383e42")
"""Traffic white, telegrey 1 and anthracite grey of RAL Classic."""
WALLS = (("#8f4a37", "#b3aa9b"), ("#c9a878", "#d8d4c8"), ("#4a3a36", "#8a857c"))
"""Bricks and mortars: red, buff, dark."""
GREY = 0.18
PAIRS = json.loads((Path(__file__).parents[1] / "reference" / "ciede2000_pairs.json").read_text("utf-8"))


@pytest.mark.parametrize("pair", PAIRS, ids=[str(pair["pair"]) for pair in PAIRS])
def test_the_measure_gives_the_published_differences(pair) -> None:
    """Sharma, Wu and Dalal, Color Res. Appl. 30(1), 2005, table 1, as scikit-image and colour-science have it."""
    assert difference(tuple(pair["lab1"]), tuple(pair["lab2"])) == pytest.approx(pair["dE00"], abs=1e-4)


@pytest.fixture
def scene():
    bpy.ops.wm.read_factory_settings(use_empty=True)
    return bpy.context.scene


SHOWN = 0.6
"""Side of the square that is seen from above [m]."""


def in_open_shade(scene) -> None:
    """Stand a wall between the sun and what lies about the origin, under our sky."""
    scene.world = sky_for(Sun(180.0, 45.0))
    render.calibrate(scene)
    lay_plate(
        scene, "wall", matt("wall", 0.5), [(-4.0, -1.5, 0.0), (4.0, -1.5, 0.0), (4.0, -1.5, 3.5), (-4.0, -1.5, 3.5)]
    )


def seen_from_above(scene, folder: Path) -> np.ndarray:
    eye_at(scene, (SHOWN / 2, SHOWN / 2 - PITCH / 2000, 2.0), SHOWN)
    return delivered(scene, folder, (300, 300))


def beside_card(seen: np.ndarray, card: np.ndarray) -> np.ndarray:
    """Give colours as the card says that the light was."""
    return seen / card.mean(axis=(0, 1)) * GREY


def lay_boards(scene, side: str, colour: str, *, card: bool) -> None:
    lay_swatch(scene, side, colour)
    if card:
        lay_plate(scene, "card", matt("card", GREY), level(0.45, -0.0725, 0.3, 0.7, z=0.002))


def board_means(seen: np.ndarray) -> list[np.ndarray]:
    """Take the mean of each board from edge to edge, left of where a card may lie."""
    pixel = 1000 * SHOWN / len(seen)
    starts = [(i * PITCH + (PITCH - WIDTH) / 2) / pixel for i in range(COUNT)]
    return [seen[int(s + 1) : int(s + WIDTH / pixel), 10 : int(400 / pixel)].mean(axis=(0, 1)) for s in starts]


@slow
@pytest.mark.parametrize("colour", BOARDS)
@pytest.mark.parametrize("side", ["grain", "grooved"])
def test_boards_in_flat_light(scene, tmp_path: Path, side: str, colour: str) -> None:
    lay_boards(scene, side, colour, card=False)
    flat_light(scene)
    boards = board_means(seen_from_above(scene, tmp_path))
    assert apart(np.mean(boards, axis=0), colour) < FLAT_LIMIT
    assert max(apart(board, colour) for board in boards) < FLAT_LIMIT


@slow
@pytest.mark.parametrize("colour", BOARDS)
@pytest.mark.parametrize("side", ["grain", "grooved"])
def test_boards_in_open_shade(scene, tmp_path: Path, side: str, colour: str) -> None:
    lay_boards(scene, side, colour, card=True)
    in_open_shade(scene)
    seen = seen_from_above(scene, tmp_path)
    boards = board_means(beside_card(seen, seen[20:-40, 240:290]))
    assert apart(np.mean(boards, axis=0), colour) < SHADE_LIMIT


def lay_frames(scene) -> None:
    for place, colour in enumerate(FRAMES):
        material = material_for(Material(f"frame {colour}", "frame", (colour,)))
        lay_plate(scene, colour, material, level(0.15 * place, -0.0725, 0.15, 0.7))
    lay_plate(scene, "card", matt("card", GREY), level(0.45, -0.0725, 0.3, 0.7))


def frame_means(seen: np.ndarray) -> list[np.ndarray]:
    return [seen[20:-40, 75 * place + 10 : 75 * place + 65].mean(axis=(0, 1)) for place in range(len(FRAMES))]


@slow
def test_frames_in_flat_light(scene, tmp_path: Path) -> None:
    lay_frames(scene)
    flat_light(scene)
    found = frame_means(seen_from_above(scene, tmp_path))
    assert max(apart(seen, colour) for seen, colour in zip(found, FRAMES, strict=True)) < FLAT_LIMIT


@slow
def test_frames_in_open_shade(scene, tmp_path: Path) -> None:
    lay_frames(scene)
    in_open_shade(scene)
    seen = seen_from_above(scene, tmp_path)
    found = frame_means(beside_card(seen, seen[20:-40, 240:290]))
    assert max(apart(seen, colour) for seen, colour in zip(found, FRAMES, strict=True)) < SHADE_LIMIT


def wall_and_card(
    scene, folder: Path, brick: str, mortar: str, pointing: str = "bucket-handle"
) -> tuple[np.ndarray, np.ndarray]:
    """Look square on at brickwork and at a card that stands beside it."""
    ring = ((0, 0), (3375, 0), (3375, 2250), (0, 2250))
    house = House(walls=ring, brick_colour=brick, mortar_colour=mortar, pointing=pointing)
    material = material_for(Material("wall", "brick", (brick, mortar)))
    faced = faced_walls(house, walls_of(house, 0.0), 0.0)
    add_surfaces(deck_collection(scene, "house"), faced, lambda _: material)
    corners = [(1.7, -0.01, 0.8), (2.6, -0.01, 0.8), (2.6, -0.01, 2.6), (1.7, -0.01, 2.6)]
    lay_plate(scene, "card", matt("card", GREY), corners)
    eye_at(scene, (1.4, -3.0, 1.5), 1.2, np.pi / 2)
    seen = delivered(scene, folder, (480, 480))
    return seen[:, :340], seen[:, 380:]


def of_brick_and_mortar(wall: np.ndarray, brick: str, mortar: str) -> tuple[np.ndarray, np.ndarray]:
    """Tell bricks from joints by where a pixel lies between their two colours, and take the mean of each.

    A load of bricks spreads round its colour, so each side keeps all but what lies near the middle, and at an edge.
    """
    way = parts(mortar) - parts(brick)
    share = np.cbrt(np.maximum((wall - parts(brick)) @ way / (way @ way), 0.0))
    joint = share > np.cbrt(0.5)
    inner = joint.copy()
    for axis in (0, 1):
        for step in (-1, 1):
            inner &= np.roll(joint, step, axis)
    outer = joint.copy()
    for axis in (0, 1):
        for step in (-2, -1, 1, 2):
            outer |= np.roll(joint, step, axis)
    return wall[~outer].mean(axis=0), wall[inner].mean(axis=0)


@slow
@pytest.mark.parametrize("pointing", ["bucket-handle", "recessed"])
@pytest.mark.parametrize(("brick", "mortar"), WALLS)
def test_brick_and_mortar_in_flat_light(scene, tmp_path: Path, brick: str, mortar: str, pointing: str) -> None:
    flat_light(scene)
    wall, _ = wall_and_card(scene, tmp_path, brick, mortar, pointing)
    bricks, joints = of_brick_and_mortar(wall, brick, mortar)
    assert apart(bricks, brick) < FLAT_LIMIT
    assert apart(joints, mortar) < FLAT_LIMIT


@slow
@pytest.mark.parametrize(("brick", "mortar"), WALLS)
def test_brick_and_mortar_in_open_shade(scene, tmp_path: Path, brick: str, mortar: str) -> None:
    scene.world = sky_for(Sun(0.0, 45.0))  # behind the house
    render.calibrate(scene)
    wall, card = wall_and_card(scene, tmp_path, brick, mortar)
    bricks, joints = of_brick_and_mortar(beside_card(wall, card), brick, mortar)
    assert apart(bricks, brick) < SHADE_LIMIT
    assert apart(joints, mortar) < SHADE_LIMIT

"""The two faces of a board, measured on renders in real Blender."""

from __future__ import annotations

from itertools import combinations, product
from pathlib import Path

import numpy as np
import pytest

bpy = pytest.importorskip("bpy")

from colours import lab  # noqa: E402
from courseline import render  # noqa: E402 - these import bpy
from courseline.engine.scene.model import Sun  # noqa: E402
from courseline.engine.scene.profile import GROOVE_PITCH  # noqa: E402
from courseline.materials.boards import BLEACH, RUN_SPREAD  # noqa: E402
from courseline.materials.sky import sky_for  # noqa: E402
from mathutils import Vector  # noqa: E402
from swatches import (  # noqa: E402
    BROWN,
    COUNT,
    LENGTH,
    MARGIN,
    PITCH,
    SAND,
    WIDTH,
    delivered,
    eye_at,
    flat_light,
    from_above,
    lay_swatch,
    swatch,
)

pytestmark = pytest.mark.long

EYE, AWAY, LENS = 1.6, 4.0, 28.0
"""A standing eye's height and its distance on the ground [m], and the lens [mm] of a picture from the garden."""
CLIENT = (1920, 1080)


@pytest.fixture
def scene():
    return fresh()


def fresh():
    bpy.ops.wm.read_factory_settings(use_empty=True)
    return bpy.context.scene


def from_the_garden(folder: Path, side: str) -> tuple[np.ndarray, float]:
    """See boards that run away from the viewer, in the sun, as a client's picture has them from 4 m.

    Returns
    -------
    ndarray
        (columns,) light across the boards, in the middle of the swatch.
    float
        What a column covers there [mm].
    """
    scene = fresh()
    lay_swatch(scene, side, BROWN)
    scene.world = sky_for(Sun(130.0, 50.0))
    render.calibrate(scene)
    middle = Vector((LENGTH / 2000, (COUNT - 1) / 2 * PITCH / 1000, 0.0))
    eye_at(scene, (0, 0, 0), 1.0)
    data, eye = scene.camera.data, scene.camera
    data.type, data.lens, data.sensor_width = "PERSP", LENS, 36.0
    eye.location = middle + Vector((-AWAY, 0.0, EYE))
    eye.rotation_euler = (middle - eye.location).to_track_quat("-Z", "Y").to_euler()
    view, half = scene.render, 0.06
    view.use_border = view.use_crop_to_border = True
    view.border_min_x, view.border_max_x, view.border_min_y, view.border_max_y = 0.5 - half, 0.5 + half, 0.49, 0.51
    seen = delivered(scene, folder, CLIENT, render.QUALITIES["client"].samples)
    pixel = (middle - eye.location).length * 36.0 / LENS / CLIENT[0] * 1000
    return seen.mean(axis=(0, 2)), pixel


def test_grain_and_grooves_are_told_apart_at_four_metres(tmp_path: Path) -> None:
    """The groove's pitch is three columns of the picture there: it stands out from all else across a board."""

    def share_at_pitch(side: str) -> float:
        across, pixel = from_the_garden(tmp_path, side)
        of_board = int((WIDTH - 2 * MARGIN) / pixel)
        first = len(across) / 2 - (COUNT * PITCH / 2 - (PITCH - WIDTH) / 2 - MARGIN) / pixel
        shares = []
        for board in range(COUNT):
            start = round(first + board * PITCH / pixel)
            line = across[start : start + of_board]
            line = (line - line.mean()) * np.hanning(of_board)
            power = np.abs(np.fft.rfft(line)) ** 2
            cycles = of_board * pixel / GROOVE_PITCH
            band = np.abs(np.arange(len(power)) - cycles) < 1.6
            shares.append(power[band].sum() / power[3:].sum())
        return float(np.mean(shares))

    grooved, grain = share_at_pitch("grooved"), share_at_pitch("grain")
    assert grooved > 0.6
    assert grain < 0.35


def test_no_two_boards_are_more_alike_than_chance(scene, tmp_path: Path) -> None:
    """Chance: how much boards are alike when one of them is turned end for end, so that nothing can match."""
    boards = swatch(scene, tmp_path, "grain", BROWN).mean(axis=3)
    boards = boards - boards.mean(axis=(1, 2), keepdims=True)

    def alike(one: np.ndarray, other: np.ndarray) -> float:
        return float((one * other).sum() / np.sqrt((one**2).sum() * (other**2).sum()))

    chance = np.std([alike(one, other[::-1, ::-1]) for one, other in product(boards, repeat=2)])
    assert alike(boards[0], boards[0]) > 10 * chance
    assert max(abs(alike(one, other)) for one, other in combinations(boards, 2)) < 4 * chance


def test_boards_differ_as_one_production_run_does(scene, tmp_path: Path) -> None:
    count = 16
    lay_swatch(scene, "grain", BROWN, count)
    flat_light(scene)
    rows = count * round(PITCH / 5)
    seen = from_above(scene, tmp_path, (LENGTH / 2, (count - 1) / 2 * PITCH), count * PITCH, (100, rows))
    boards = seen.reshape(count, -1, 100, 3)[:, 3:-3, 40:60].mean(axis=(1, 2))  # the picture is as wide as it is high
    lightness = np.array([lab(board)[0] for board in boards])
    assert np.abs(lightness - lightness.mean()).max() < RUN_SPREAD + 0.5  # 100 mm of a board have streaks of their own
    assert np.ptp(lightness) > 0.8  # seen side by side


@pytest.mark.parametrize("colour", [BROWN, SAND])
@pytest.mark.parametrize("side", ["grain", "grooved"])
def test_two_summers_bleach_and_grey_a_board(tmp_path: Path, side: str, colour: str) -> None:
    found = []
    for weathered in (0.0, 0.5, 1.0):
        scene = fresh()
        lay_swatch(scene, side, colour, weathered=weathered)
        flat_light(scene)
        eye_at(scene, (0.3, (COUNT - 1) / 2 * PITCH / 1000, 2.0), 0.4)
        found.append(lab(delivered(scene, tmp_path, (100, 100), 16).mean(axis=(0, 1))))
    lightness, chroma = [each[0] for each in found], [float(np.hypot(*each[1:])) for each in found]
    assert lightness[2] - lightness[0] == pytest.approx(BLEACH, abs=1.0)
    assert lightness[0] < lightness[1] < lightness[2]
    assert chroma[0] > chroma[1] > chroma[2] > 0.5 * chroma[0]

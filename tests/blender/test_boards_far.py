"""What stands in for grooves that are too fine for a picture, held against the grooves themselves in real Blender."""

from __future__ import annotations

from math import cos, radians, sin
from pathlib import Path

import numpy as np
import pytest

bpy = pytest.importorskip("bpy")

from colours import difference, lab  # noqa: E402
from courseline import render  # noqa: E402 - these import bpy
from courseline.build.boards import FAR  # noqa: E402
from courseline.build.collection import PART  # noqa: E402
from courseline.engine.scene.model import Sun  # noqa: E402
from courseline.materials.nodes import PIXEL_ANGLE  # noqa: E402
from courseline.materials.sky import sky_for  # noqa: E402
from mathutils import Vector  # noqa: E402
from swatches import BROWN, COUNT, LENGTH, PITCH, delivered, eye_at, flat_light, lay_swatch, pixels_of  # noqa: E402

pytestmark = pytest.mark.slow

MIDDLE = Vector((LENGTH / 2000, (COUNT - 1) / 2 * PITCH / 1000, 0.0))
"""Of a swatch [m]."""
EDGE = 4
"""Pixels at the edge of a small picture that a denoiser does not see all round."""
NOON, EVENING = Sun(0.0, 50.0), Sun(45.0, 30.0)
"""Square across the boards, from the side that views below look to; and aslant, low."""


def fresh(sun: Sun | None, side: str = "grooved", **laid):
    """Lay a swatch in the sun, or in even light from all sides."""
    bpy.ops.wm.read_factory_settings(use_empty=True)
    scene = bpy.context.scene
    lay_swatch(scene, side, BROWN, **laid)
    if sun is None:
        flat_light(scene)
    else:
        scene.world = sky_for(sun)
        render.calibrate(scene)
    return scene


def look_from(scene, round_about: float, up: float, away: float) -> None:
    """Look at the middle of the swatch, from so far round from +x [degrees], so high [degrees] and so far off [m]."""
    eye_at(scene, (0, 0, 0), 0.25)
    turn, high = radians(round_about), radians(up)
    scene.camera.location = MIDDLE + away * Vector((cos(turn) * cos(high), sin(turn) * cos(high), sin(high)))
    scene.camera.rotation_euler = (MIDDLE - scene.camera.location).to_track_quat("-Z", "Y").to_euler()


def mean_light(scene, folder: Path, pixel_angle: float) -> np.ndarray:
    """Render linear light as if a pixel took up so much of the view [rad]; return its mean colour."""
    render.set_up(scene, render.Quality(64, 36, samples=48, noise=0.001))
    scene.cycles.use_denoising = scene.cycles.use_adaptive_sampling = False
    scene[PIXEL_ANGLE] = pixel_angle
    scene.render.image_settings.file_format, scene.render.filepath = "OPEN_EXR", str(folder / "seen.exr")
    bpy.ops.render.render(write_still=True)
    return pixels_of(folder / "seen.exr").mean(axis=(0, 1))


@pytest.mark.parametrize(
    ("sun", "round_about", "up"),
    [
        pytest.param(None, 90, 89, id="even light, above"),
        pytest.param(None, 90, 20, id="even light, across"),
        pytest.param(None, 0, 20, id="even light, along"),
        pytest.param(NOON, 90, 20, id="sun behind, across"),
        pytest.param(NOON, 270, 20, id="against the sun, across"),
        pytest.param(NOON, 0, 20, id="sun from the side, along"),
        pytest.param(EVENING, 120, 40, id="low sun, aslant"),
    ],
)
def test_far_grooves_send_the_light_that_near_ones_send(
    tmp_path: Path, sun: Sun | None, round_about: float, up: float
) -> None:
    scene = fresh(sun)
    look_from(scene, round_about, up, 3.0)
    near, far = (mean_light(scene, tmp_path, angle) for angle in (1e-9, 1.0))
    assert not np.array_equal(near, far)  # the stand-in is there at all
    assert difference(lab(near), lab(far)) < 2.0


def test_boards_too_far_off_for_grooves_show_no_ripples(tmp_path: Path) -> None:
    """Held against the grooves themselves at hundreds of samples, where a client's picture has ten and a denoiser."""

    def seen(samples: int, *, stand_in: bool) -> np.ndarray:
        # One broad board, its middle where that of a swatch is: gaps have an unrest of their own.
        scene = fresh(NOON, count=1, width=2 * COUNT * PITCH)
        look_from(scene, 40, 14, 5.0)
        scene.camera.data.type, scene.camera.data.lens = "PERSP", 28.0
        for thing in scene.objects:
            thing.hide_render = thing.get(PART) == FAR and not stand_in
        view = scene.render
        view.use_border = view.use_crop_to_border = True
        view.border_min_x, view.border_max_x, view.border_min_y, view.border_max_y = 0.47, 0.53, 0.488, 0.512
        return delivered(scene, tmp_path, (1920, 1080), samples)[EDGE:-EDGE, EDGE:-EDGE].mean(axis=2)

    def unrest(picture: np.ndarray) -> float:
        """Give how much light changes from pixel to pixel, as a share of its mean."""
        return float(np.std(np.diff(picture, axis=0)) + np.std(np.diff(picture, axis=1))) / float(picture.mean())

    client = render.QUALITIES["client"].samples
    truth, calm, rippled = (
        unrest(seen(samples, stand_in=there)) for samples, there in ((400, False), (client, True), (client, False))
    )
    assert calm < 0.8 * rippled
    assert calm < 1.1 * truth


def test_only_the_camera_of_a_picture_sees_the_stand_in() -> None:
    scene = fresh(None)
    (thing,) = (each for each in scene.objects if each.get(PART) == FAR)
    assert thing.visible_camera
    assert not any(getattr(thing, f"visible_{ray}") for ray in ("diffuse", "glossy", "transmission", "shadow"))
    assert thing.hide_viewport
    assert not any(each.get(PART) == FAR for each in fresh(None, "grain").objects)

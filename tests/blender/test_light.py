"""The light of a picture, measured on cards in real Blender: exposure, shade, and the same sky everywhere."""

from math import cos, radians, sin
from pathlib import Path

import pytest

bpy = pytest.importorskip("bpy")

from courseline import render  # noqa: E402 - these import bpy
from courseline.engine.scene.model import Sun  # noqa: E402
from courseline.materials.sky import sky_for  # noqa: E402
from swatches import delivered, eye_at, from_above, lay_plate, level, matt  # noqa: E402

pytestmark = pytest.mark.slow
LUMINANCE = (0.2126, 0.7152, 0.0722)


@pytest.fixture
def scene():
    bpy.ops.wm.read_factory_settings(use_empty=True)
    return bpy.context.scene


@pytest.mark.parametrize("elevation", [35.0, 60.0])
def test_a_grey_card_in_the_sun_is_shown_as_grey_as_it_is(scene, tmp_path: Path, elevation: float) -> None:
    """A photographer's grey card reflects 18 % (common practice, no source)."""
    lay_plate(scene, "card", matt("grey", 0.18), level(-1, -1, 2, 2))
    scene.world = sky_for(Sun(215.0, elevation))
    render.calibrate(scene)
    eye_at(scene, (0, 0, 2.0), 0.5)
    shown = delivered(scene, tmp_path, (16, 16)).mean(axis=(0, 1))
    assert shown == pytest.approx([0.18, 0.18, 0.18], rel=0.03)


def test_shade_has_the_share_of_the_light_that_a_fair_day_leaves_it(scene, tmp_path: Path) -> None:
    """Diffuse share at a clearness index of 0.67 by Erbs, Klein and Duffie, Solar Energy 28(4), 1982 (from memory)."""
    index = 0.67
    share = 0.9511 - 0.1604 * index + 4.388 * index**2 - 16.638 * index**3 + 12.336 * index**4
    sun = Sun(180.0, 50.0)
    lay_plate(scene, "card", matt("white", 0.5), level(-2, -2, 4, 4))
    scene.world = sky_for(sun)
    render.calibrate(scene)
    lit = from_above(scene, tmp_path, (0, 0), 50, (8, 8)).mean(axis=(0, 1)) @ LUMINANCE
    # A small plate far off hides the sun and next to nothing of the sky.
    far = 40.0
    x, y, z = (far * part for part in _towards(sun))
    lay_plate(scene, "plate", matt("black", 0.0), level(x - 0.6, y - 0.6, 1.2, 1.2, z))
    shaded = from_above(scene, tmp_path, (0, 0), 50, (8, 8)).mean(axis=(0, 1)) @ LUMINANCE
    assert shaded / lit == pytest.approx(share, abs=0.02)


def test_the_sky_is_the_same_in_every_blender(scene, tmp_path: Path) -> None:
    """Nine parts of the sky beside the sun, as Blender 4.5 and 5.2 both draw them (ours, measured)."""
    scene.world = sky_for(Sun(250.0, 45.0))
    render.calibrate(scene)
    data = bpy.data.cameras.new("eye")
    data.lens = 18.0
    scene.camera = bpy.data.objects.new("eye", data)
    scene.collection.objects.link(scene.camera)
    scene.camera.rotation_euler = (radians(115.0), 0.0, 0.0)
    shown = delivered(scene, tmp_path, (48, 27), samples=16)
    parts = shown.reshape(3, 9, 3, 16, 3).mean(axis=(1, 3)) @ LUMINANCE
    assert parts.ravel() == pytest.approx(SKY, abs=0.01)


def _towards(sun: Sun) -> tuple[float, float, float]:
    flat = cos(radians(sun.elevation))
    return (
        flat * sin(radians(sun.azimuth)),
        flat * cos(radians(sun.azimuth)),
        sin(radians(sun.elevation)),
    )


SKY = [0.7084, 0.6767, 0.6992, 0.5279, 0.4532, 0.4970, 0.4222, 0.3640, 0.3615]
"""Luminance, from the lowest row up."""

"""The house as it is seen, measured on small renders in real Blender: bonds, joints, the deck in the glass."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import groupby, pairwise
from math import radians
from pathlib import Path

import numpy as np
import pytest

bpy = pytest.importorskip("bpy")

from bpy_extras.object_utils import world_to_camera_view  # noqa: E402 - these import bpy
from courseline import render  # noqa: E402
from courseline.build import build_deck  # noqa: E402
from courseline.build.collection import deck_collection  # noqa: E402
from courseline.build.surfaces import add_surfaces  # noqa: E402
from courseline.engine import design, read_site  # noqa: E402
from courseline.engine.scene import build_scene  # noqa: E402
from courseline.engine.scene.finishes import faced_walls  # noqa: E402
from courseline.engine.scene.model import Material  # noqa: E402
from courseline.engine.scene.walls import walls_of  # noqa: E402
from courseline.engine.spec import House, View  # noqa: E402
from courseline.materials import material_for  # noqa: E402
from courseline.materials.nodes import clear_tree  # noqa: E402
from courseline.materials.sky import sky_for  # noqa: E402

pytestmark = pytest.mark.long

SCENE = Path(__file__).parents[2] / "demo_scenes" / "one_wall.toml"
COURSE, STRETCHER, HEADER, JOINT = 75.0, 215.0, 102.5, 10.0
"""Of the common brick [mm] (BRICK-60, BRICK-size and BRICK-coord: Designing Buildings wiki, 'Brick sizes';
BS EN 771-1 practice)."""
PIXEL = 2.5
LEFT, FOOT, WIDE, HIGH = 600.0, 300.0, 3600.0, 900.0
"""The part of the wall that is looked at [mm]."""


@pytest.fixture
def scene():
    bpy.ops.wm.read_factory_settings(use_empty=True)
    return bpy.context.scene


def elevation(scene, folder: Path, **house) -> np.ndarray:
    """Look square on at part of a brick wall in flat light; return its linear colours, rows from the bottom."""
    built = House(walls=((0, 0), (5615, 0), (5615, 4490), (0, 4490)), height=1800.0, **house)
    wall = Material("wall", "brick", (built.brick_colour, built.mortar_colour))
    surfaces = faced_walls(built, walls_of(built, 0.0), 0.0)
    add_surfaces(deck_collection(scene, "house"), surfaces, lambda _: material_for(wall))
    scene.world = bpy.data.worlds.new("flat")
    graph = clear_tree(scene.world)
    background = graph.add("ShaderNodeBackground")
    graph.feed(background.inputs["Color"], (1.0, 1.0, 1.0))
    graph.feed(graph.add("ShaderNodeOutputWorld").inputs["Surface"], background.outputs[0])
    data = bpy.data.cameras.new("eye")
    data.type, data.ortho_scale = "ORTHO", WIDE / 1000
    scene.camera = bpy.data.objects.new("eye", data)
    scene.collection.objects.link(scene.camera)
    scene.camera.location = ((LEFT + WIDE / 2) / 1000, -5.0, (FOOT + HIGH / 2) / 1000)
    scene.camera.rotation_euler = (radians(90.0), 0.0, 0.0)
    return linear_picture(scene, folder, (round(WIDE / PIXEL), round(HIGH / PIXEL)), 8)


def linear_picture(scene, folder: Path, size: tuple[int, int], samples: int, seed: int = 0) -> np.ndarray:
    render.set_up(scene, render.Quality(*size, samples=samples, noise=0.001))
    scene.cycles.use_denoising, scene.cycles.seed = False, seed
    settings = scene.render.image_settings
    settings.file_format, settings.color_depth = "OPEN_EXR", "32"
    scene.render.filepath = str(folder / "seen.exr")
    bpy.ops.render.render(write_still=True)
    image = bpy.data.images.load(str(folder / "seen.exr"), check_existing=False)
    columns, rows = image.size
    pixels = np.array(image.pixels[:]).reshape(rows, columns, -1)[..., :3]
    bpy.data.images.remove(image)
    return pixels


def faces_along(seen: np.ndarray) -> list[list[float]]:
    """Measure the brick faces [mm] of all whole courses of dark bricks in white mortar, but for those at the sides."""
    light = seen.mean(axis=2)
    bricks = light.mean(axis=1) < (light.min() + light.max()) / 2.8
    courses = []
    for is_brick, rows in groupby(range(len(bricks)), key=lambda row: bool(bricks[row])):
        band = list(rows)
        if is_brick and band[0] > 0 and band[-1] < len(bricks) - 1:
            line = light[band].mean(axis=0)
            dark = line < (line.min() + line.max()) / 2
            runs = [(key, len(list(group)) * PIXEL) for key, group in groupby(dark)]
            courses.append([length for key, length in runs[1:-1] if key])
    return courses


@pytest.mark.parametrize("bond", ["stretcher", "flemish", "english"])
def test_a_wall_shows_its_bond_at_true_size(scene, tmp_path: Path, bond: str) -> None:
    seen = elevation(scene, tmp_path, bond=bond, brick_colour="#3a2a26", mortar_colour="#f4f4f0")
    rows = seen.mean(axis=(1, 2))
    power = np.abs(np.fft.rfft(rows - rows.mean())) ** 2
    assert np.argmax(power[2:]) + 2 == round(HIGH / COURSE)  # courses of 75 mm

    courses = faces_along(seen)
    assert len(courses) >= HIGH / COURSE - 2
    shares = []
    for course in courses:
        kinds = Counter("S" if abs(x - STRETCHER) < 12 else "H" if abs(x - HEADER) < 12 else "?" for x in course)
        assert kinds["?"] == 0
        shares.append(kinds["S"] / len(course))
    # Bonds: Brick Development Association handbooks, from memory.
    if bond == "stretcher":
        assert shares == [1.0] * len(courses)
        # BRICK-60: by geometry 1 / (0.225 x 0.075) = 59.3 to the square metre, which the trade calls 60.
        module = np.mean([x for course in courses for x in course]) + JOINT
        assert 1e6 / (module * COURSE) == pytest.approx(60.0, abs=1.5)
    elif bond == "flemish":
        assert shares == pytest.approx([0.5] * len(courses), abs=0.1)
        for course in courses:
            assert all((one > 160) != (other > 160) for one, other in pairwise(course))
    else:
        assert {tuple(sorted(pair)) for pair in pairwise(shares)} == {(0.0, 1.0)}


def test_perpends_of_stretcher_bond_shift_by_half_a_brick_from_course_to_course(scene, tmp_path: Path) -> None:
    light = elevation(scene, tmp_path, brick_colour="#3a2a26", mortar_colour="#f4f4f0").mean(axis=2)
    middles = [round((COURSE * course + 32.5 - FOOT) / PIXEL) for course in range(5, 13)]
    lines = [light[row - 4 : row + 4].mean(axis=0) for row in middles]
    lines = [line - line.mean() for line in lines]
    half = round((STRETCHER + JOINT) / 2 / PIXEL)

    def likeness(one: np.ndarray, other: np.ndarray) -> float:
        return float(one @ other / np.sqrt((one @ one) * (other @ other)))

    for below, above in pairwise(lines):
        shifted = max(likeness(below[: -half - k], above[half + k :]) for k in range(-3, 4))
        assert shifted > 0.6
        assert likeness(below, above) < 0.1


def test_joints_lie_back_so_that_raking_light_shades_them(scene, tmp_path: Path) -> None:
    one_colour = {"brick_colour": "#8f8f8f", "mortar_colour": "#8f8f8f"}
    elevation(scene, tmp_path, pointing="recessed", **one_colour)
    lamp = bpy.data.lights.new("sun", "SUN")
    lamp.energy, lamp.angle = 3.0, 0.01
    sun = bpy.data.objects.new("sun", lamp)
    sun.rotation_euler = (radians(20.0), 0.0, 0.0)  # from nearly overhead, a little in front of the wall
    scene.collection.objects.link(sun)
    scene.world = None
    seen = linear_picture(scene, tmp_path, (720, 180), 8).mean(axis=(1, 2))
    per_course = seen.reshape(-1)[: 180 // 15 * 15].reshape(-1, 15).mean(axis=0)  # 15 pixels of 5 mm a course
    assert per_course.min() < 0.7 * np.median(per_course)


def glass_pixels(scene, thing, size: tuple[int, int]) -> np.ndarray:
    """Say which pixels lie within the lower half of one pane, edges left out."""
    places = [world_to_camera_view(scene, scene.camera, vertex.co)[:2] for vertex in thing.data.vertices]
    shown = np.array(places).reshape(-1, 4, 2)
    corners = max(shown, key=lambda pane: np.ptp(pane[:, 0]))
    left, right = np.sort(corners[:, 0])[1:3]
    low, high = np.sort(corners[:, 1])[1:3]
    columns, rows = (np.arange(number) + 0.5 for number in size)
    inside = (columns > (left + 0.15 * (right - left)) * size[0]) & (
        columns < (right - 0.15 * (right - left)) * size[0]
    )
    lower = (rows > (low + 0.1 * (high - low)) * size[1]) & (rows < (low + 0.45 * (high - low)) * size[1])
    return lower[:, None] & inside[None, :]


def test_the_deck_is_mirrored_in_the_glass(scene, tmp_path: Path) -> None:
    site = read_site(SCENE)
    # Yellow boards, as no lawn, room or sky is; seen from the far edge of the deck at the height of an eye.
    view = View(start=(2900.0, -5200.0, 1600.0), target=(2900.0, 0.0, 900.0), lens=30.0)
    site = replace(site, look=replace(site.look, view=view), boards=replace(site.boards, colour="#d8b020"))
    model = build_scene(design(site))
    model = replace(model, surfaces=tuple(each for each in model.surfaces if each.group != "Garden"), plantings=())
    deck = build_deck(model, scene)
    scene.world = sky_for(model.sun)
    render.calibrate(scene)
    size = (160, 90)
    pane = glass_pixels(
        scene, next(each for each in deck.all_objects if each.name.startswith("opening 0.0 glass")), size
    )
    assert pane.sum() > 60
    with_deck, again = (linear_picture(scene, tmp_path, size, 48, seed) for seed in (1, 2))
    boards = next(each for each in deck.all_objects if each.get("courseline_part") == "boards")
    boards.hide_render = True
    without = linear_picture(scene, tmp_path, size, 48, 1)
    noise = abs(with_deck[pane].mean(axis=0) - again[pane].mean(axis=0)).max()
    gained = with_deck[pane].mean(axis=0) - without[pane].mean(axis=0)
    assert gained[0] > 10 * noise
    assert gained[0] > 0.01
    assert gained[0] > 2 * gained[2]  # the boards' yellow, not light at large

"""Materials, light and the picture, measured on small renders in real Blender."""

from pathlib import Path
from typing import get_args

import numpy as np
import pytest

bpy = pytest.importorskip("bpy")

from colours import lab  # noqa: E402
from courseline import render  # noqa: E402 - these import bpy
from courseline.engine.scene.model import Material, MaterialKind, Sun  # noqa: E402
from courseline.engine.scene.profile import GROOVE_PITCH  # noqa: E402
from courseline.materials import material_for  # noqa: E402
from courseline.materials.nodes import clear_tree, linear  # noqa: E402
from courseline.materials.sky import sky_for  # noqa: E402
from swatches import (  # noqa: E402
    ANTHRACITE,
    BROWN,
    SAND,
    flat_light,
    from_above,
    lay_swatch,
    pixels_of,
    swatch,
    swatch_material,
)


@pytest.fixture
def scene():
    bpy.ops.wm.read_factory_settings(use_empty=True)
    return bpy.context.scene


@pytest.mark.parametrize("kind", get_args(MaterialKind))
def test_every_kind_has_a_material_that_is_made_once(scene, kind: str) -> None:
    colours = {"brick": ("#8f4a37", "#b3aa9b"), "glass": ()}.get(kind, ("#7a6a5c",))
    made = material_for(Material(kind, kind, colours))
    output = next(node for node in made.node_tree.nodes if node.type == "OUTPUT_MATERIAL")
    assert output.inputs["Surface"].is_linked
    assert material_for(Material(kind, kind, colours)) is made


def test_two_colours_are_two_materials(scene) -> None:
    assert material_for(swatch_material("grain", BROWN)) is not material_for(swatch_material("grain", SAND))


@pytest.mark.slow
@pytest.mark.parametrize("colour", [BROWN, ANTHRACITE, SAND])
@pytest.mark.parametrize("side", ["grain", "grooved"])
def test_a_board_has_the_mean_colour_that_was_asked_for(scene, tmp_path: Path, side: str, colour: str) -> None:
    boards = swatch(scene, tmp_path, side, colour)
    asked = lab(np.array(linear(colour)))
    # CIE76; for browns and greys like these it is never far below dE2000.
    assert np.linalg.norm(np.subtract(lab(boards.mean(axis=(0, 1, 2))), asked)) < 2.0
    assert max(np.linalg.norm(np.subtract(lab(board.mean(axis=(0, 1))), asked)) for board in boards) < 4.0


@pytest.mark.slow
def test_grooves_show_their_pitch_and_grain_does_not(scene, tmp_path: Path) -> None:
    def share_at_pitch(side: str) -> float:
        bpy.ops.wm.read_factory_settings(use_empty=True)
        boards = swatch(bpy.context.scene, tmp_path, side, BROWN)[:, :117].mean(axis=(2, 3))  # 13 grooves
        power = np.abs(np.fft.rfft(boards - boards.mean(axis=1, keepdims=True))) ** 2
        # Of all boards: the lines of a single one, where chance has set them, may happen to lie at the pitch.
        return float((power[:, round(117 / GROOVE_PITCH)] / power.sum(axis=1)).mean())

    assert share_at_pitch("grooved") > 0.5
    assert share_at_pitch("grain") < 0.1


@pytest.mark.slow
def test_grain_runs_along_the_board(scene, tmp_path: Path) -> None:
    board = swatch(scene, tmp_path, "grain", BROWN)[0].mean(axis=2)
    assert np.abs(np.diff(board, axis=0)).mean() > 3 * np.abs(np.diff(board, axis=1)).mean()


@pytest.mark.slow
def test_no_two_boards_are_alike(scene, tmp_path: Path) -> None:
    boards = swatch(scene, tmp_path, "grain", BROWN).mean(axis=3)
    flat = np.array([board.ravel() for board in boards])
    correlation = np.corrcoef(flat) - np.eye(len(flat))
    assert np.abs(correlation).max() < 0.35  # over 0.04 m2 each; a board with itself gives 1
    means = flat.mean(axis=1)
    assert 0.01 < (means.max() - means.min()) / means.mean() < 0.20  # seen, but one production run


@pytest.mark.slow
@pytest.mark.parametrize(("azimuth", "lit"), [(0, "north"), (90, "east"), (180, "south"), (270, "west")])
def test_the_sun_stands_clockwise_from_the_plans_y(scene, tmp_path: Path, azimuth: float, lit: str) -> None:
    corners = [(-1, -1, 0), (1, -1, 0), (1, 1, 0), (-1, 1, 0), (0, 0, 1)]
    mesh = bpy.data.meshes.new("pyramid")
    mesh.from_pydata(corners, [], [(0, 1, 4), (1, 2, 4), (2, 3, 4), (3, 0, 4)])
    scene.collection.objects.link(bpy.data.objects.new("pyramid", mesh))
    scene.world = sky_for(Sun(azimuth, 30.0))
    seen = from_above(scene, tmp_path, (0, 0), 2000, (40, 40)).mean(axis=2)
    sides = {"south": seen[6, 20], "east": seen[20, 34], "north": seen[34, 20], "west": seen[20, 6]}
    assert max(sides, key=sides.get) == lit


@pytest.mark.slow
def test_calibration_makes_a_white_card_white_and_leaves_the_scene_alone(scene, tmp_path: Path) -> None:
    lay_swatch(scene, "grain", BROWN, count=1)
    scene.render.filepath = "//mine"
    scene.world = sky_for(Sun(215.0, 50.0))
    kinds = ("scenes", "objects", "meshes", "materials", "cameras")
    before = [len(getattr(bpy.data, kind)) for kind in kinds]
    render.calibrate(scene)
    assert [len(getattr(bpy.data, kind)) for kind in kinds] == before
    assert not [image for image in bpy.data.images if image.type == "IMAGE"]
    assert (scene.render.filepath, scene.camera) == ("//mine", None)
    bpy.data.batch_remove(list(scene.objects))
    mesh = bpy.data.meshes.new("card")
    mesh.from_pydata([(-1, -1, 0), (1, -1, 0), (1, 1, 0), (-1, 1, 0)], [], [(0, 1, 2, 3)])
    card = bpy.data.materials.new("card")
    graph = clear_tree(card)
    matt = graph.add("ShaderNodeBsdfDiffuse")
    graph.feed(matt.inputs["Color"], (1.0, 1.0, 1.0))
    graph.feed(graph.add("ShaderNodeOutputMaterial").inputs["Surface"], matt.outputs[0])
    mesh.materials.append(card)
    scene.collection.objects.link(bpy.data.objects.new("card", mesh))
    assert from_above(scene, tmp_path, (0, 0), 200, (8, 8)).mean(axis=(0, 1)) == pytest.approx([1, 1, 1], abs=0.02)


@pytest.mark.slow
def test_calibration_asks_for_a_sky_of_ours(scene) -> None:
    flat_light(scene)
    with pytest.raises(ValueError, match="sky_for"):
        render.calibrate(scene)


@pytest.mark.slow
def test_the_picture_shows_light_as_it_is_and_rolls_off_what_is_brighter(scene, tmp_path: Path) -> None:
    lights = [linear(colour)[0] for colour in ("#202020", "#454545", "#7a7a7a", "#c0c0c0")] + [1.0, 1.5]
    for place, light in enumerate(lights):
        mesh = bpy.data.meshes.new("patch")
        mesh.from_pydata([(place + x, y, 0) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))], [], [(0, 1, 2, 3)])
        glow = bpy.data.materials.new("patch")
        graph = clear_tree(glow)
        lamp = graph.add("ShaderNodeEmission")
        graph.feed(lamp.inputs["Strength"], light)
        graph.feed(lamp.inputs["Color"], (1.0, 1.0, 1.0))
        graph.feed(graph.add("ShaderNodeOutputMaterial").inputs["Surface"], lamp.outputs[0])
        mesh.materials.append(glow)
        scene.collection.objects.link(bpy.data.objects.new("patch", mesh))
    data = bpy.data.cameras.new("eye")
    data.type, data.ortho_scale = "ORTHO", len(lights)
    scene.camera = bpy.data.objects.new("eye", data)
    scene.collection.objects.link(scene.camera)
    scene.camera.location = (len(lights) / 2, 0.5, 1.0)
    told: list[float] = []
    picture = tmp_path / "new folder" / "patches.png"
    small = render.Quality(width=10 * len(lights), height=10, samples=8, noise=0.01)
    render.render_still(scene, picture, small, progress=lambda done, _: told.append(done))
    assert [file.name for file in picture.parent.iterdir()] == ["patches.png"]
    assert told == sorted(told)
    assert told[-1] == 1.0
    shown = [float(value) * 255 for value in pixels_of(picture, raw=True)[5, 5::10, 0]]
    assert shown[:4] == pytest.approx([0x20, 0x45, 0x7A, 0xC0], abs=1.01)
    assert shown[3] < shown[4] < shown[5] < 254

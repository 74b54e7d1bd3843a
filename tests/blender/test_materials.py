"""Materials, light and the picture, measured on small renders in real Blender."""

from pathlib import Path
from typing import get_args

import numpy as np
import pytest

bpy = pytest.importorskip("bpy")

from courseline import render  # noqa: E402 - these import bpy
from courseline.build.boards import add_boards  # noqa: E402
from courseline.engine.plan import Area  # noqa: E402
from courseline.engine.scene.model import BoardShape, Material, MaterialKind, Sun  # noqa: E402
from courseline.engine.scene.profile import GROOVE_PITCH  # noqa: E402
from courseline.materials import material_for  # noqa: E402
from courseline.materials.nodes import clear_tree, linear  # noqa: E402
from courseline.materials.sky import sky_for  # noqa: E402

WIDTH, PITCH, LENGTH, COUNT = 140.0, 145.0, 600.0, 4
"""Boards and courses of the swatches below [mm]."""
BROWN, ANTHRACITE, SAND = "#7a6a5c", "#45474a", "#b8a88c"


@pytest.fixture
def scene():
    bpy.ops.wm.read_factory_settings(use_empty=True)
    return bpy.context.scene


def swatch_material(side: str, colour: str) -> Material:
    return Material(f"board {side}", "board", (colour,))


def lay_swatch(scene, side: str, colour: str, count: int = COUNT) -> None:
    """Lay some boards side by side from the origin, each of a stock board of its own."""
    outline = Area(((0, -WIDTH / 2), (LENGTH, -WIDTH / 2), (LENGTH, WIDTH / 2), (0, WIDTH / 2)))
    boards = [
        BoardShape(
            f"A-{i}", f"stock-{i}", "broad", side, (0.0, i * PITCH, 0.0), 0.0, outline, width=WIDTH, thickness=22.0,
            from_end=0.0,
        )
        for i in range(count)
    ]  # fmt: skip
    end = Material("board end", "board end", (colour,))
    add_boards(
        scene.collection, boards, lambda key: material_for(end if key == "board end" else swatch_material(side, colour))
    )


def flat_light(scene) -> None:
    scene.world = bpy.data.worlds.new("flat")
    graph = clear_tree(scene.world)
    background = graph.add("ShaderNodeBackground")
    graph.feed(background.inputs["Color"], (1.0, 1.0, 1.0))
    graph.feed(graph.add("ShaderNodeOutputWorld").inputs["Surface"], background.outputs[0])


def from_above(scene, folder: Path, centre: tuple[float, float], width: float, size: tuple[int, int]) -> np.ndarray:
    """Render square on from above; return linear colours (rows from the bottom, columns, 3)."""
    data = bpy.data.cameras.new("above")
    data.type, data.ortho_scale = "ORTHO", width / 1000
    eye = bpy.data.objects.new("above", data)
    scene.collection.objects.link(eye)
    eye.location = (centre[0] / 1000, centre[1] / 1000, 2.0)
    scene.camera = eye
    render.set_up(scene, render.Quality(*size, samples=32, noise=0.001))
    scene.cycles.use_denoising = False
    settings = scene.render.image_settings
    settings.file_format, settings.color_depth = "OPEN_EXR", "32"
    scene.render.filepath = str(folder / "above.exr")
    bpy.ops.render.render(write_still=True)
    return pixels_of(folder / "above.exr")


def pixels_of(path: Path, *, raw: bool = False) -> np.ndarray:
    image = bpy.data.images.load(str(path), check_existing=False)
    if raw:
        image.colorspace_settings.name = "Non-Color"
    columns, rows = image.size
    pixels = np.array(image.pixels[:]).reshape(rows, columns, -1)[..., :3]
    bpy.data.images.remove(image)
    return pixels


def swatch(scene, folder: Path, side: str, colour: str) -> np.ndarray:
    """Return the boards of a swatch in flat light at 1 mm a pixel: (boards, across, along, 3), edges left out."""
    lay_swatch(scene, side, colour)
    flat_light(scene)
    columns, rows = 300, int(COUNT * PITCH)
    seen = from_above(scene, folder, (LENGTH / 2, (COUNT - 1) / 2 * PITCH), max(columns, rows), (columns, rows))
    margin = 8  # arris and gap
    starts = [round(i * PITCH + (PITCH - WIDTH) / 2) + margin for i in range(COUNT)]
    return np.stack([seen[start : start + int(WIDTH) - 2 * margin] for start in starts])


def lab(colour: np.ndarray) -> np.ndarray:
    """Turn linear sRGB into CIE L*a*b*, D65 (IEC 61966-2-1 for the matrix, CIE 15 for the rest)."""
    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    x, y, z = (to_xyz @ colour) / (0.9505, 1.0, 1.089)
    fx, fy, fz = (np.cbrt(v) if v > 216 / 24389 else (24389 / 27 * v + 16) / 116 for v in (x, y, z))
    return np.array([116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)])


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
    # CIE76, for want of a library; for browns and greys like these it is never far below dE2000.
    assert np.linalg.norm(lab(boards.mean(axis=(0, 1, 2))) - asked) < 2.0
    assert max(np.linalg.norm(lab(board.mean(axis=(0, 1))) - asked) for board in boards) < 4.0


@pytest.mark.slow
def test_grooves_show_their_pitch_and_grain_does_not(scene, tmp_path: Path) -> None:
    def share_at_pitch(side: str) -> float:
        bpy.ops.wm.read_factory_settings(use_empty=True)
        across = swatch(bpy.context.scene, tmp_path, side, BROWN)[0, :117].mean(axis=(1, 2))  # 13 grooves
        power = np.abs(np.fft.rfft(across - across.mean())) ** 2
        return float(power[round(117 / GROOVE_PITCH)] / power.sum())

    assert share_at_pitch("grooved") > 0.5
    assert share_at_pitch("grain") < 0.2


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

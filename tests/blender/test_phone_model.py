"""The model for a phone as Blender makes it and reads it back: its pictures show the colour that was asked for."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import courseline
import numpy as np
import pytest
from courseline.command_line import main
from courseline.engine import design, read_site
from courseline.engine.effort import FOR_AN_ORDER

bpy = pytest.importorskip("bpy")
from colours import apart, to_linear  # noqa: E402 - only where Blender is
from courseline.phone import pictures, write_phone_model  # noqa: E402
from courseline.phone.building import own_building  # noqa: E402

pytestmark = pytest.mark.slow

WALL = Path(__file__).parents[2] / "demo_scenes" / "one_wall.toml"
CORNER = WALL.with_name("house_corner.toml")
COLOUR_LIMIT = 2.0
"""dE2000 that the boards may be off by, as in pictures."""


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pictures, "PIXELS", (96, 192))
    monkeypatch.setattr(pictures, "TILE_PIXELS", {"wall": 96, "roof": 48})
    monkeypatch.setattr(pictures, "SAMPLES", {"DIFFUSE": 4, "NORMAL": 1})


def contents() -> dict[str, list[str]]:
    kinds = ("objects", "meshes", "materials", "images", "worlds", "scenes", "collections", "cameras", "node_groups")
    return {kind: sorted(block.name for block in getattr(bpy.data, kind)) for kind in kinds}


def skin(path: Path, mesh: str):
    """Read a mesh's material by trimesh."""
    trimesh = pytest.importorskip("trimesh")
    return trimesh.load_scene(path).geometry[mesh].visual.material


def shown_by_strips(picture, boards) -> np.ndarray:
    """Give the linear mean of what the strips of boards show; they lie below the bands of edge, gap and end."""
    pixels = np.asarray(picture.convert("RGB"), float) / 255
    bands = 3 * boards.thickness / (6 * boards.width + 3 * boards.thickness)
    return to_linear(pixels[round(bands * len(pixels)) + 1 :]).mean(axis=(0, 1))


def test_the_model_comes_back_at_true_size_in_the_colour_asked_for(tmp_path: Path, small: None) -> None:
    bpy.ops.wm.read_factory_settings()
    before = contents()
    assert main(["export", str(WALL), "--out", str(tmp_path)]) == 0
    assert contents() == before  # nothing of it stays in the file that is open
    plan, path = design(read_site(WALL), FOR_AN_ORDER), tmp_path / "one_wall.glb"
    assert [each.name for each in tmp_path.iterdir()] == [path.name]

    bpy.ops.wm.read_factory_settings(use_empty=True)
    bpy.ops.import_scene.gltf(filepath=str(path))
    deck, wall = bpy.data.objects["Deck"], bpy.data.objects["Wall"]
    outline, walls = np.array(plan.site.deck.outline), np.array(plan.site.house.walls)
    assert deck.dimensions.x * 1000 == pytest.approx(np.ptp(outline[:, 0]), abs=0.5)
    assert deck.dimensions.z * 1000 == pytest.approx(plan.site.boards.thickness, abs=0.5)
    assert tuple(wall.dimensions[:2]) == pytest.approx(tuple(np.ptp(walls, axis=0) / 1000), abs=0.0005)
    top = max((deck.matrix_world @ vertex.co).z for vertex in deck.data.vertices)
    assert top * 1000 == pytest.approx(plan.site.deck.surface, abs=0.5)

    boards = skin(path, "Deck")
    within = shown_by_strips(boards.baseColorTexture, plan.site.boards)
    # KHR_materials_specular: what is reflected square on is 4 % times the factor, and the rest comes from within.
    gloss = 0.04 * gloss_factor(path, "boards")
    assert apart(within * (1 - gloss) + gloss, plan.site.boards.colour) < COLOUR_LIMIT
    bricks = np.asarray(skin(path, "Wall").baseColorTexture.convert("RGB"), float) / 255
    assert apart(to_linear(bricks).mean(axis=(0, 1)), plan.site.house.brick_colour) < 12  # mortar is in it too


def gloss_factor(path: Path, name: str) -> float:
    content = path.read_bytes()
    (size,) = struct.unpack_from("<I", content, 12)
    said = json.loads(content[20 : 20 + size])
    made = next(each for each in said["materials"] if each["name"] == name)
    return float(made["extensions"]["KHR_materials_specular"]["specularFactor"])


def test_grooves_are_in_the_relief(tmp_path: Path, small: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pictures, "PIXELS", (16, 1024))
    monkeypatch.setattr(pictures, "SAMPLES", {"DIFFUSE": 1, "NORMAL": 1})
    slopes = {}
    for side in ("grain", "grooved"):
        assert main(["export", str(WALL), "--out", str(tmp_path / side), "--side", side, "--effort", "quick"]) == 0
        normal = np.asarray(skin(tmp_path / side / "one_wall.glb", "Deck").normalTexture.convert("RGB"), float) / 255
        across = normal[..., 1] * 2 - 1
        slopes[side] = (np.abs(across) > 0.5).mean()
        assert across.mean() == pytest.approx(0.0, abs=0.05)  # as many slopes one way as the other
    assert slopes["grooved"] > 4 * slopes["grain"]


def test_a_file_that_cannot_be_written_is_told(tmp_path: Path, small: None, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "taken").write_text("a file, not a folder")
    assert main(["export", str(WALL), "--out", str(tmp_path / "taken"), "--format", "usdz"]) == 2
    assert "cannot be written" in capsys.readouterr().err


def test_the_users_own_building_stands_in_place_of_ours(tmp_path: Path, small: None) -> None:
    bpy.ops.wm.read_factory_settings()
    scene = bpy.context.scene
    cube = bpy.data.objects["Cube"]  # 2 m wide, about its own middle
    cube.location, cube.scale = (3.0, 5.0, 1.0), (1.0, -2.0, 1.0)
    paint = bpy.data.materials.new("paint")
    if bpy.app.version < (5, 0, 0):
        paint.use_nodes = True
    paint.node_tree.nodes["Principled BSDF"].inputs["Base Color"].default_value = (0.5, 0.25, 0.125, 1.0)
    cube.data.materials.clear()
    cube.data.materials.append(paint)
    bpy.context.view_layer.update()
    plan, path = design(read_site(WALL), "quick"), tmp_path / "own.glb"
    model = write_phone_model(plan, path, building=own_building([cube], scene))
    trimesh = pytest.importorskip("trimesh")
    found = trimesh.load_scene(path).geometry
    assert not {"Wall", "Roof", "Glass"} & set(found)
    shape = found["Cube 0"]
    x, y = model.centre
    assert shape.bounds[0] * 1000 == pytest.approx((2000 - x, 0.0, -(7000 - y)), abs=0.5)  # glTF: y up, -z to the north
    assert shape.bounds[1] * 1000 == pytest.approx((4000 - x, 2000.0, -(3000 - y)), abs=0.5)
    assert shape.volume == pytest.approx(2 * 4 * 2)  # positive: mirrored as it is, its faces look out
    assert tuple(shape.visual.material.baseColorFactor[:3] / 255) == pytest.approx((0.5, 0.25, 0.125), abs=0.005)


@pytest.mark.long
def test_the_buttons_file_is_that_of_the_command_line(tmp_path: Path) -> None:
    """At full size, the button's made by a Blender in the background; the user's file stays as it is."""
    bpy.ops.wm.read_factory_settings()
    courseline.register()
    try:
        bpy.ops.courseline.open_site(filepath=str(CORNER))
        bpy.ops.courseline.build_deck()
        before = contents()
        for kind in ("glb", "usdz"):
            bpy.ops.courseline.write_phone_model(directory=str(tmp_path / "button"), format=kind)
        assert contents() == before
    finally:
        courseline.unregister()
    typed = tmp_path / "typed"
    for kind in ("glb", "usdz"):
        assert main(["export", str(CORNER), "--out", str(typed), "--format", kind]) == 0
        (button,) = (tmp_path / "button").glob(f"*.{kind}")
        assert button.read_bytes() == (typed / f"house_corner.{kind}").read_bytes()


@pytest.mark.long
@pytest.mark.parametrize("side", ["grain", "grooved"])
def test_boards_at_full_size_show_the_colour_asked_for(tmp_path: Path, side: str) -> None:
    plan = design(read_site(WALL), "quick")
    assert main(["export", str(WALL), "--out", str(tmp_path), "--side", side, "--effort", "quick"]) == 0
    path = tmp_path / "one_wall.glb"
    assert path.stat().st_size < 3e6
    gloss = 0.04 * gloss_factor(path, "boards")
    within = shown_by_strips(skin(path, "Deck").baseColorTexture, plan.site.boards)
    assert apart(within * (1 - gloss) + gloss, plan.site.boards.colour) < COLOUR_LIMIT

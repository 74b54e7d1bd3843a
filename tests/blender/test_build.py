"""A plan becomes Blender objects, in whatever real Blender runs these tests."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

bpy = pytest.importorskip("bpy", reason="needs Blender's Python module")

import numpy as np  # noqa: E402 - only where Blender is
from courseline.build import (  # noqa: E402
    build_deck,
    change_boards,
    count_back,
    find_deck,
    look_through,
    remove_deck,
)
from courseline.build.collection import DECK  # noqa: E402
from courseline.engine import design, read_site, with_choices  # noqa: E402
from courseline.engine.scene import build_scene  # noqa: E402

SCENE = Path(__file__).parents[2] / "demo_scenes" / "house_corner.toml"

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def plan():
    return design(read_site(SCENE))


@pytest.fixture(scope="module")
def model(plan):
    return build_scene(plan)


@pytest.fixture
def scene():
    """Open a scene with something of the user's own in it, which must come through untouched."""
    bpy.ops.wm.read_factory_settings(use_empty=True)
    scene = bpy.context.scene
    mesh = bpy.data.meshes.new("Boards")
    mesh.from_pydata([(0, 0, 0), (1, 0, 0), (0, 1, 0)], [], [(0, 1, 2)])
    scene.collection.objects.link(bpy.data.objects.new("Boards", mesh))
    scene.collection.objects.link(bpy.data.objects.new("View: garden", bpy.data.cameras.new("own")))
    return scene


def boards_of(deck):
    return next(thing for thing in deck.all_objects if thing.get("courseline_part") == "boards")


def ordered(plan, kind):
    """How many the takeoff orders of a kind of thing, in all its lengths."""
    return sum(line.order for line in plan.takeoff if line.item == kind or line.item.startswith(f"{kind}-"))


def data_counts():
    kinds = ("objects", "meshes", "cameras", "collections", "materials", "lights")
    return {kind: len(getattr(bpy.data, kind)) for kind in kinds}


def test_the_scene_counts_back_what_the_plan_and_its_takeoff_hold(scene, plan, model):
    held = count_back(build_deck(model, scene))
    assert held["pieces"] == len(plan.pieces)
    assert held["members"] == Counter(member.role for member in plan.members)
    assert held["fixings"] == Counter(fixing.kind for fixing in plan.fixings)
    assert held["boards"] == {plan.site.boards.product: ordered(plan, "board")}
    assert sum(held["timbers"].values()) == ordered(plan, "timber")
    for kind, count in held["fixings"].items():
        assert sum(line.net for line in plan.takeoff if line.item == kind.replace(" ", "-")) == count


def test_counting_reads_the_mesh_and_no_list(scene, plan, model):
    deck = build_deck(model, scene)
    mesh = boards_of(deck).data
    attribute = mesh.attributes["piece"]
    numbers = np.empty(len(attribute.data), np.int32)
    attribute.data.foreach_get("value", numbers)
    attribute.data.foreach_set("value", np.where(numbers == 0, 1, numbers))
    assert count_back(deck)["pieces"] == len(plan.pieces) - 1


def test_building_again_replaces_and_adds_nothing(scene, model):
    first = build_deck(model, scene)
    before, held, names = data_counts(), count_back(first), sorted(thing.name for thing in first.all_objects)
    second = build_deck(model, scene)
    assert first == second
    assert data_counts() == before
    assert count_back(second) == held
    assert sorted(thing.name for thing in second.all_objects) == names


def test_what_is_not_ours_stays(scene, model):
    deck = build_deck(model, scene)
    chair = bpy.data.objects.new("Chair", bpy.data.meshes.new("Chair"))
    deck.children[0].objects.link(chair)
    build_deck(model, scene)
    remove_deck(scene, model.name)
    assert {thing.name for thing in scene.objects} == {"Boards", "View: garden", "Chair"}
    assert len(bpy.data.objects["Boards"].data.polygons) == 1


def test_removing_a_deck_leaves_no_data_behind(scene, model):
    before = data_counts()
    build_deck(model, scene)
    remove_deck(scene, model.name)
    after = data_counts()
    assert {kind: after[kind] for kind in after if kind != "materials"} == {
        kind: before[kind] for kind in before if kind != "materials"
    }


def test_boards_are_metres_in_the_scene(scene, plan, model):
    mesh = boards_of(build_deck(model, scene)).data
    points = np.empty(len(mesh.vertices) * 3, np.float32)
    mesh.vertices.foreach_get("co", points)
    points = points.reshape(-1, 3)
    corners = np.array([corner for piece in plan.pieces for corner in piece.polygon.outer]) / 1000
    assert points[:, :2].min(axis=0) == pytest.approx(corners.min(axis=0), abs=1e-5)
    assert points[:, :2].max(axis=0) == pytest.approx(corners.max(axis=0), abs=1e-5)
    assert points[:, 2].max() == pytest.approx(plan.site.deck.surface / 1000)
    assert points[:, 2].min() == pytest.approx(0.020, abs=1e-6)  # a fascia of 146 under boards of 25, from 191


def test_meshes_are_sound_and_shade_flat(scene, model):
    deck = build_deck(model, scene)
    for thing in deck.all_objects:
        if thing.type == "MESH":
            assert not thing.data.validate(), thing.name
            assert len(thing.data.materials) >= 1
    sharp = boards_of(deck).data.attributes["sharp_face"].data
    assert all(face.value for face in sharp)


def test_board_coordinates_count_from_the_end_of_the_stock_board(scene, model):
    mesh = boards_of(build_deck(model, scene)).data
    values = np.empty(len(mesh.vertices) * 3, np.float32)
    mesh.attributes["board_co"].data.foreach_get("vector", values)
    along = values.reshape(-1, 3)[:, 0]
    later = [board for board in model.boards if board.from_end > 0]
    assert later
    reach = max(board.from_end + max(point[0] for point in board.polygon.outer) for board in model.boards)
    assert along.max() == pytest.approx(reach / 1000, abs=1e-5)
    across, up = values.reshape(-1, 3)[:, 1], values.reshape(-1, 3)[:, 2]
    assert (across.min(), across.max()) == pytest.approx((-0.073, 0.073), abs=1e-5)  # a board 146 mm wide
    assert up.max() == pytest.approx(0.0, abs=1e-6)


def test_the_ids_on_the_boards_are_the_plans(scene, plan, model):
    thing = boards_of(build_deck(model, scene))
    assert thing["piece"].split("\n") == [piece.id for piece in plan.pieces]


def test_each_view_can_be_looked_through(scene, model):
    deck = build_deck(model, scene)
    for view in ("garden", "doorway", "above"):
        camera = look_through(scene, deck, view)
        assert scene.camera == camera
    with pytest.raises(KeyError, match="cellar"):
        look_through(scene, deck, "cellar")


def test_a_camera_looks_the_way_it_heads(scene, model):
    deck = build_deck(model, scene)
    garden = next(camera for camera in model.cameras if camera.name == "garden")
    thing = look_through(scene, deck, "garden")
    bpy.context.view_layer.update()
    forward = -np.array(thing.matrix_world)[:3, 2]
    heading = np.degrees(np.arctan2(forward[0], forward[1])) % 360
    assert heading == pytest.approx(garden.heading, abs=1e-3)
    assert forward[2] == pytest.approx(0.0, abs=1e-6)


def test_changed_boards_are_undone_and_redone(scene, plan, model):
    """What a deck holds changes together with its objects: undo leaves collections that it finds as they were."""
    other = design(with_choices(plan.site, direction=90.0))
    deck = build_deck(model, scene)
    name = deck[DECK]
    bpy.ops.ed.undo_push(message="built")
    parts = {child.name: child.session_uid for child in deck.children}
    change_boards(deck, build_scene(other), scene)
    bpy.ops.ed.undo_push(message="changed")
    changed = {child.name.partition(".")[0] for child in deck.children if child.session_uid not in parts.values()}
    assert changed == {"Boards", "Frame", "Fixings", "Cameras"}
    assert len(other.pieces) != len(plan.pieces)
    for step, expected in ((bpy.ops.ed.undo, plan), (bpy.ops.ed.redo, other), (bpy.ops.ed.undo, plan)):
        step()
        held = find_deck(bpy.context.scene, name)
        bpy.context.view_layer.update()
        assert count_back(held)["pieces"] == len(expected.pieces)
        assert all(thing.users_collection for thing in held.all_objects)
        assert bpy.context.scene.camera in set(held.all_objects)

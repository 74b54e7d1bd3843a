"""The add-on as its user meets it: through its operators and what the scene remembers, in real Blender."""

from math import radians
from pathlib import Path
from typing import get_args

import courseline
import pytest
from courseline.engine import design, plan_json, read_site, with_choices
from courseline.engine.effort import FOR_AN_ORDER
from courseline.engine.papers.takeoff_csv import takeoff_csv
from courseline.engine.spec import JointPattern, Side

bpy = pytest.importorskip("bpy")
from courseline import bridge, build, ids, properties, render  # noqa: E402 - they import bpy
from courseline.operators.build_deck import BuildDeck  # noqa: E402
from courseline.operators.look_through import LookThrough  # noqa: E402
from courseline.operators.open_site import OpenSite  # noqa: E402
from courseline.operators.render_picture import RenderPicture  # noqa: E402

pytestmark = pytest.mark.slow

SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))
CORNER = next(path for path in SCENES if path.stem == "house_corner")
WALL = next(path for path in SCENES if path.stem == "one_wall")


@pytest.fixture(autouse=True)
def as_it_starts(addon: None) -> None:
    """Blender as it starts, with its cube, camera and light."""
    bpy.ops.wm.read_factory_settings()
    bpy.ops.ed.undo_push(message="start")


def settings() -> properties.DeckSettings:
    return bpy.context.scene.courseline


def decks() -> list[str]:
    collections = bpy.context.scene.collection.children_recursive
    return [each["courseline_deck"] for each in collections if "courseline_deck" in each]


def deck_objects() -> dict[str, int]:
    deck = build.find_deck(bpy.context.scene)
    return {thing.name: len(thing.data.vertices) for thing in deck.all_objects if thing.type == "MESH"}


def open_and_build(path: Path = CORNER) -> None:
    bpy.ops.courseline.open_site(filepath=str(path))
    bpy.ops.courseline.build_deck()


# Opening and choosing


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_a_site_kept_in_the_scene_is_the_site_that_was_read(path: Path) -> None:
    bpy.ops.courseline.open_site(filepath=str(path))
    assert bridge.chosen_site(settings()) == read_site(path)


def test_choices_offered_are_those_that_the_engine_knows() -> None:
    assert [item[0] for item in properties.SIDES] == list(get_args(Side))
    assert [item[0] for item in properties.JOINTS] == list(get_args(JointPattern))
    assert [item[0] for item in properties.QUALITIES] == list(render.QUALITIES)


@pytest.mark.parametrize(("run", "degrees"), [("along", 0.0), ("out", 90.0), ("diagonal", 45.0), ("other", 22.5)])
def test_boards_run_as_chosen(run: str, degrees: float) -> None:
    bpy.ops.courseline.open_site(filepath=str(CORNER))
    settings().run, settings().angle = run, radians(22.5)
    assert bridge.chosen_site(settings()).deck.direction == degrees


def test_a_direction_without_a_name_stays_as_the_site_file_has_it(tmp_path: Path) -> None:
    path = tmp_path / "skew.toml"
    path.write_text(CORNER.read_text("utf-8").replace("[deck]", "[deck]\ndirection = 12.3456789"), "utf-8")
    bpy.ops.courseline.open_site(filepath=str(path))
    assert settings().run == "site"
    assert bridge.chosen_site(settings()).deck.direction == 12.3456789


def test_a_colour_comes_back_as_it_was_written() -> None:
    for shade in range(256):
        settings().colour = bridge.rgb(f"#{shade:02x}{255 - shade:02x}7f")
        assert bridge.hex_colour(settings().colour) == f"#{shade:02x}{255 - shade:02x}7f"


# Building


def test_the_deck_built_has_the_boards_that_the_plan_has() -> None:
    open_and_build()
    plan = design(read_site(CORNER))
    assert build.count_back(build.find_deck(bpy.context.scene))["pieces"] == len(plan.pieces)
    boards = sum(1 for item in plan.stock if item.product == plan.site.boards.product)
    assert settings().figures["Boards to order"].value == f"{boards}"
    assert [row.name for row in settings().takeoff] == [line.description for line in plan.takeoff]
    assert [check.name for check in settings().failed] == [check.message for check in plan.checks if not check.ok]


def test_built_twice_it_is_the_same_deck() -> None:
    open_and_build()
    first = deck_objects()
    bpy.ops.courseline.build_deck()
    assert deck_objects() == first


def test_another_choice_asks_for_building_again() -> None:
    open_and_build()
    assert not bridge.is_stale(settings())
    settings().joints = "third"
    assert bridge.is_stale(settings())
    bpy.ops.courseline.build_deck()
    assert not bridge.is_stale(settings())


def test_another_site_takes_the_place_of_the_deck() -> None:
    open_and_build(CORNER)
    open_and_build(WALL)
    assert decks() == [read_site(WALL).name]


def test_what_is_not_ours_is_left_alone() -> None:
    mine = bpy.data.objects.new("bench", bpy.data.meshes.new("bench"))
    bpy.context.scene.collection.objects.link(mine)
    before = {thing.name: (thing.matrix_world.copy(), thing.data) for thing in bpy.data.objects}
    world, selected = bpy.context.scene.world, bpy.context.view_layer.objects.active
    open_and_build(CORNER)
    build.find_deck(bpy.context.scene).objects.link(mine)  # even where it lies among ours
    open_and_build(WALL)
    after = {name: (bpy.data.objects[name].matrix_world, bpy.data.objects[name].data) for name in before}
    assert after == before
    assert (bpy.context.scene.world, bpy.context.view_layer.objects.active) == (world, selected)


def test_the_users_own_camera_stays_the_scenes() -> None:
    mine = bpy.context.scene.camera
    open_and_build()
    assert bpy.context.scene.camera == mine


def test_built_again_the_chosen_view_is_still_looked_through() -> None:
    open_and_build()
    settings().view = "above"
    bpy.ops.courseline.look_through()
    before = tuple(bpy.context.scene.camera.location)
    bpy.ops.courseline.build_deck()
    assert tuple(bpy.context.scene.camera.location) == before


# What goes wrong


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (CORNER.read_text("utf-8").replace("max_centres", "max_centers"), "did you mean 'max_centres'"),
        ("schema = 1\nname = 'x'\n[deck]\noutline = [[0,0],[3000,3000],[3000,0],[0,3000]]\n", "deck.outline"),
        (None, "cannot be read"),
    ],
    ids=["a typing error", "a crossing outline", "no file"],
)
def test_a_faulty_site_is_told_in_one_line_and_the_last_good_deck_stays(tmp_path: Path, text: str, told: str) -> None:
    open_and_build()
    good = deck_objects()
    path = tmp_path / "faulty.toml"
    if text:
        path.write_text(text, "utf-8")
    with pytest.raises(RuntimeError, match=told) as fault:
        bpy.ops.courseline.open_site(filepath=str(path))
    assert len(str(fault.value).strip().splitlines()) == 1
    assert settings().site_name == read_site(CORNER).name
    bpy.ops.courseline.build_deck()
    assert deck_objects() == good


def test_a_site_that_cannot_be_planned_leaves_the_last_good_deck(tmp_path: Path) -> None:
    open_and_build()
    good = deck_objects()
    path = tmp_path / "sliver.toml"
    wall = "[house]\nwalls = [[0,0],[3000,0],[3000,3000],[0,3000]]\n"
    path.write_text(
        f"schema = 1\nname = 'sliver'\n{wall}[deck]\noutline = [[0,0],[3000,0],[3000,-7],[0,-7]]\n", "utf-8"
    )
    with pytest.raises(RuntimeError):
        open_and_build(path)
    assert deck_objects() == good
    assert decks() == [read_site(CORNER).name]


def test_a_button_that_cannot_be_pressed_is_greyed() -> None:
    assert bpy.ops.courseline.open_site.poll()
    assert not bpy.ops.courseline.build_deck.poll()
    bpy.ops.courseline.open_site(filepath=str(CORNER))
    assert bpy.ops.courseline.build_deck.poll()
    assert not bpy.ops.courseline.write_plan.poll()
    assert not bpy.ops.courseline.render_picture.poll()


def test_a_view_that_the_site_file_does_not_give_is_told() -> None:
    open_and_build(WALL)
    settings().view = "own"
    with pytest.raises(RuntimeError, match="no such view"):
        bpy.ops.courseline.look_through()


def test_a_deck_deleted_by_hand_is_told_and_can_be_built_again() -> None:
    open_and_build()
    bpy.data.collections.remove(build.find_deck(bpy.context.scene))
    with pytest.raises(RuntimeError, match="build it again"):
        bpy.ops.courseline.look_through()
    bpy.ops.courseline.build_deck()
    assert bpy.ops.courseline.look_through() == {"FINISHED"}


# Showing and handing over


def test_each_view_has_its_camera() -> None:
    open_and_build(CORNER)  # its file gives a view of its own
    offered = {item[0] for item in properties.VIEWS}
    seen = set()
    for view in offered:
        settings().view = view
        bpy.ops.courseline.look_through()
        seen.add(bpy.context.scene.camera["courseline_view"])
    made = [thing["courseline_view"] for thing in bpy.data.objects if "courseline_view" in thing]
    assert seen == offered == set(made)


def test_a_picture_is_taken_in_our_sky_and_the_users_world_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    mine = bpy.context.scene.world
    open_and_build(WALL)
    tiny = render.Quality(width=64, height=36, samples=1, noise=1.0)
    monkeypatch.setitem(render.QUALITIES, "draft", tiny)
    assert bpy.ops.courseline.render_picture() == {"FINISHED"}
    scene = bpy.context.scene
    assert (scene.render.resolution_x, scene.render.resolution_y) == (64, 36)
    assert scene.world != mine
    assert settings().world_before == mine


def test_the_files_written_are_the_engines_to_the_byte(tmp_path: Path) -> None:
    bpy.ops.courseline.open_site(filepath=str(CORNER))
    settings().side, settings().run, settings().joints = "grooved", "out", "third"
    settings().colour = bridge.rgb("#556b2f")
    bpy.ops.courseline.build_deck()
    settings().side = "grain"  # chosen later, not built
    bpy.ops.courseline.write_plan(directory=str(tmp_path))
    choices = {"side": "grooved", "direction": 90.0, "joints": "third", "colour": "#556b2f"}
    plan = design(with_choices(read_site(CORNER), **choices), FOR_AN_ORDER)
    assert (tmp_path / "plan.json").read_bytes() == plan_json(plan)
    assert (tmp_path / "takeoff.csv").read_bytes().decode() == takeoff_csv(plan)
    assert len(list(tmp_path.iterdir())) == 2


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    open_and_build()
    (tmp_path / "taken").write_text("a file, not a folder")
    with pytest.raises(RuntimeError, match="cannot be written"):
        bpy.ops.courseline.write_plan(directory=str(tmp_path / "taken"))


# Manners


def test_every_step_can_be_undone_and_redone() -> None:
    for step in (OpenSite, BuildDeck, LookThrough, RenderPicture):  # a button pushes its own step, a script does not
        assert "UNDO" in step.bl_options
    empty = set(bpy.data.objects.keys())
    bpy.ops.courseline.open_site(filepath=str(CORNER))
    bpy.ops.ed.undo_push(message="open")
    bpy.ops.courseline.build_deck()
    bpy.ops.ed.undo_push(message="build")
    built = deck_objects()
    bpy.ops.ed.undo()
    assert (set(bpy.data.objects.keys()), len(settings().figures)) == (empty, 0)
    assert settings().site_name == read_site(CORNER).name
    bpy.ops.ed.undo()
    assert settings().site_name == ""
    bpy.ops.ed.redo()
    bpy.ops.ed.redo()
    assert deck_objects() == built
    assert len(settings().figures) > 0


def test_a_saved_file_needs_the_site_file_no_more(tmp_path: Path) -> None:
    site = tmp_path / "site.toml"
    site.write_bytes(CORNER.read_bytes())
    open_and_build(site)
    built, figures = deck_objects(), [figure.value for figure in settings().figures]
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "deck.blend"))
    site.unlink()
    bpy.ops.wm.read_factory_settings(use_empty=True)
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "deck.blend"))
    assert (deck_objects(), [figure.value for figure in settings().figures]) == (built, figures)
    bpy.ops.courseline.write_plan(directory=str(tmp_path / "out"))
    assert (tmp_path / "out" / "plan.json").read_bytes() == plan_json(design(read_site(CORNER), FOR_AN_ORDER))
    settings().side = "grooved"
    assert bpy.ops.courseline.build_deck() == {"FINISHED"}


def test_unregistered_and_registered_again_the_scene_remembers() -> None:
    open_and_build()
    figures = [figure.value for figure in settings().figures]
    courseline.unregister()
    assert not hasattr(bpy.types.Scene, ids.SETTINGS)
    courseline.register()
    assert [figure.value for figure in settings().figures] == figures
    assert bpy.ops.courseline.build_deck() == {"FINISHED"}


def test_every_control_says_what_it_does() -> None:
    shown = ("side", "run", "angle", "joints", "colour", "view", "quality")
    known = properties.DeckSettings.bl_rna.properties
    assert all(known[name].description for name in shown)
    assert all(item.description for name in shown if known[name].type == "ENUM" for item in known[name].enum_items)
    for button in (ids.OPEN_SITE, ids.BUILD_DECK, ids.LOOK_THROUGH, ids.RENDER_PICTURE, ids.WRITE_PLAN):
        operator = getattr(bpy.ops.courseline, button.partition(".")[2])
        assert len(operator.get_rna_type().description) > 20

"""Choices in real Blender: side by side, in place of the deck, and pictured by a Blender in the background."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from courseline.engine import design, plan_json, read_site
from courseline.engine.effort import FOR_AN_ORDER
from courseline.engine.papers.takeoff_csv import takeoff_csv
from courseline.engine.variants import variants

bpy = pytest.importorskip("bpy")
from courseline import build, jobs, render  # noqa: E402
from courseline.build.choices import CHOICE, choices_of, shown_choice  # noqa: E402
from courseline.operators import background  # noqa: E402
from mathutils import Vector  # noqa: E402 - only where Blender is

pytestmark = pytest.mark.slow

WALL = Path(__file__).parents[2] / "demo_scenes" / "one_wall.toml"
TINY = render.Quality(width=48, height=27, samples=1, noise=0.5)


@pytest.fixture(autouse=True)
def deck(addon: None) -> bpy.types.Collection:
    bpy.ops.wm.read_factory_settings()
    bpy.ops.courseline.open_site(filepath=str(WALL))
    bpy.ops.courseline.build_deck()
    return build.find_deck(bpy.context.scene)


def laid() -> dict[str, bpy.types.Collection]:
    found = (each for each in bpy.context.scene.collection.children_recursive if CHOICE in each)
    return {each[CHOICE]: each for each in found}


def shown_pieces() -> set[str]:
    """Give the pieces of all boards that are seen in the deck's place, by the names that the plan gives them."""
    names: set[str] = set()
    for thing in bpy.context.view_layer.objects:
        if thing.get("courseline_part") == "boards":
            names |= set(thing["piece"].split("\n"))
    return names


def test_choices_stand_side_by_side_beside_the_same_building(deck: bpy.types.Collection) -> None:
    meshes = {each.data for each in deck.all_objects if each.type == "MESH"}
    bpy.ops.courseline.show_choices()
    assert set(laid()) == {"grain", "grooved"}
    row = [thing for thing in bpy.context.scene.objects if thing.instance_type == "COLLECTION"]
    places = sorted({round(thing.location.x, 3) for thing in row})
    assert len(places) == 2
    house = next(each for each in deck.children if each.get("courseline_part") == "House")
    assert [thing.instance_collection for thing in row].count(house) == 2
    # Whatever is instanced stands clear of the others and of the deck with its garden.
    bpy.context.view_layer.update()
    spans: dict[float, list[float]] = {}
    for each in bpy.context.evaluated_depsgraph_get().object_instances:
        if each.is_instance and each.object.type == "MESH" and each.parent.instance_collection:
            at = round(each.parent.matrix_world.translation.x, 3)
            corners = [(each.matrix_world @ Vector(c)).x for c in each.object.bound_box]
            spans.setdefault(at, []).extend(corners)
    first, second = (spans[at] for at in places)
    assert max(first) < min(second)
    own = [thing for thing in deck.all_objects if thing.type == "MESH" and not thing.name.startswith("land")]
    rightmost = max((thing.matrix_world @ Vector(c)).x for thing in own for c in thing.bound_box)
    assert rightmost < min(first)
    assert meshes <= {each.data for each in deck.all_objects if each.type == "MESH"}


def test_the_deck_stays_as_built_and_a_choice_takes_its_place(deck: bpy.types.Collection) -> None:
    built = shown_pieces()
    bpy.ops.courseline.show_choices()
    assert shown_pieces() == built
    faces = {key: next(t for t in each.objects if t.get("courseline_part") == "boards") for key, each in laid().items()}
    for key in ("grooved", "grain"):
        bpy.ops.courseline.lay_choice(key=key)
        seen = [t for t in bpy.context.view_layer.objects if t.get("courseline_part") == "boards"]
        assert seen == [faces[key]]
        assert shown_choice(bpy.context.scene, bpy.context.view_layer) == key
    bpy.ops.courseline.lay_choice(key="")
    assert shown_choice(bpy.context.scene, bpy.context.view_layer) == ""
    assert shown_pieces() == built
    assert faces["grain"] not in set(bpy.context.view_layer.objects)


def test_removed_nothing_of_the_choices_is_left(deck: bpy.types.Collection) -> None:
    counts = {kind: len(getattr(bpy.data, kind)) for kind in ("objects", "meshes", "collections")}
    built = shown_pieces()
    bpy.ops.courseline.show_choices()
    bpy.ops.courseline.show_choices()  # again: in place of the first
    bpy.ops.courseline.lay_choice(key="grooved")
    bpy.ops.courseline.remove_choices()
    assert choices_of(bpy.context.scene) == []
    assert {kind: len(getattr(bpy.data, kind)) for kind in counts} == counts
    assert shown_pieces() == built


def test_choices_are_pictured_in_the_background(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The sheet, pictures from two cameras, a close-up and the plan of each: the plans byte for byte the engine's."""
    image = pytest.importorskip("PIL.Image")
    monkeypatch.setitem(render.QUALITIES, "draft", TINY)
    scene = bpy.context.scene
    scene.courseline_comparison.views = {"above", "mine"}
    before = (bpy.data.filepath, scene.camera, len(bpy.data.objects), scene.render.resolution_x)
    assert bpy.ops.courseline.picture_choices(directory=str(tmp_path / "out")) == {"FINISHED"}
    assert (bpy.data.filepath, scene.camera, len(bpy.data.objects), scene.render.resolution_x) == before
    out, (folder,) = tmp_path / "out", {each.name for each in tmp_path.iterdir()}
    assert folder == "out"
    (sheet,) = out.glob("*-side.png")
    stem = sheet.stem.removesuffix("-side")
    names = {f"{stem}{end}.png" for end in ("", "-close", "-above", "-mine")} | {"plan.json", "takeoff.csv"}
    for choice in variants(read_site(WALL), "side"):
        place = out / f"side-{choice.key}"
        assert {each.name for each in place.iterdir()} == names
        plan = design(choice.site, FOR_AN_ORDER)
        assert (place / "plan.json").read_bytes() == plan_json(plan)
        assert (place / "takeoff.csv").read_bytes() == takeoff_csv(plan).encode()
        assert image.open(place / f"{stem}-mine.png").size == (TINY.width, TINY.height)
    assert image.open(sheet).size[0] > 2000
    assert {each.name for each in out.iterdir()} == {
        sheet.name, f"{stem}-side-split.png", "side-grain", "side-grooved"
    }  # fmt: skip
    grain, grooved = (np.asarray(image.open(out / f"side-{key}" / f"{stem}-close.png")) for key in ("grain", "grooved"))
    assert (grain != grooved).any()


def test_a_fault_in_the_background_is_told_and_leaves_nothing(tmp_path: Path) -> None:
    job = jobs.start("comparison", {"site": {"schema": 1}}, tmp_path / "out")
    job.wait()
    assert job.fault
    job.drop()
    assert list(tmp_path.iterdir()) == []


def test_a_stopped_job_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "kept.txt").write_text("mine")
    job = jobs.start("comparison", {}, tmp_path)
    assert not job.is_over()
    job.stop()
    assert job.is_over()
    assert [each.name for each in tmp_path.iterdir()] == ["kept.txt"]
    assert background.current() is None


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file, not a folder")
    with pytest.raises(RuntimeError, match="cannot be written"):
        bpy.ops.courseline.picture_choices(directory=str(tmp_path / "taken"))


def test_the_papers_from_the_button_are_those_of_the_command_line(tmp_path: Path) -> None:
    """Both files compared as bytes; the command line is run as a user runs it."""
    from courseline.command_line import main

    bpy.ops.courseline.write_plan(directory=str(tmp_path / "button"))
    assert main(["plan", str(WALL), "--out", str(tmp_path / "typed")]) == 0
    typed = {each.name: each.read_bytes() for each in (tmp_path / "typed").iterdir()}
    assert {each.name: each.read_bytes() for each in (tmp_path / "button").iterdir()} == typed
    assert json.loads(typed["plan.json"])

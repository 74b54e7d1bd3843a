"""Choices share their house in real Blender: it is built once, and only boards, frame and fixings change."""

from __future__ import annotations

from pathlib import Path

import pytest

bpy = pytest.importorskip("bpy", reason="needs Blender's Python module")

from courseline import build, studio  # noqa: E402 - only where Blender is
from courseline.build import build_deck, change_boards, count_back  # noqa: E402
from courseline.engine import design, read_site  # noqa: E402
from courseline.engine.scene.choices import build_scenes  # noqa: E402
from courseline.engine.scene.shots import Shot  # noqa: E402
from courseline.engine.variants import variants  # noqa: E402
from courseline.render import Quality  # noqa: E402

SCENE = Path(__file__).parents[2] / "demo_scenes" / "one_wall.toml"
BOARDING = ("boards", "members", "fixings", "camera")
TINY = Quality(width=48, height=27, samples=1, noise=0.5)

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def choices():
    plans = [design(choice.site, "quick") for choice in variants(read_site(SCENE), "border")]
    return plans, build_scenes(plans)


@pytest.fixture
def scene():
    bpy.ops.wm.read_factory_settings(use_empty=True)
    return bpy.context.scene


def things(deck, *, boarding):
    """Name and place in memory of the objects of boarding or of all others, and of their meshes and materials."""
    found = set()
    for thing in deck.all_objects:
        if (thing.get("courseline_part") in BOARDING) == boarding:
            found.add((thing.name, thing.as_pointer(), thing.data.as_pointer()))
            found.update((slot.name, slot.as_pointer(), 0) for slot in getattr(thing.data, "materials", ()))
    return found


def test_only_the_boarding_changes(scene, choices):
    plans, scenes = choices
    deck = build_deck(scenes[0], scene)
    house, boards = things(deck, boarding=False), things(deck, boarding=True)
    counts = {kind: len(getattr(bpy.data, kind)) for kind in ("objects", "meshes", "cameras", "collections")}
    for plan, model in zip((*plans[1:], plans[0]), (*scenes[1:], scenes[0]), strict=True):
        change_boards(deck, model, scene)
        assert things(deck, boarding=False) == house
        assert things(deck, boarding=True) != boards
        held = count_back(deck)
        assert held["pieces"] == len(plan.pieces)
        assert sum(held["members"].values()) == len(plan.members)
        assert sum(held["fixings"].values()) == len(plan.fixings)
        assert scene.camera.get("courseline_view") == model.view
    assert {kind: len(getattr(bpy.data, kind)) for kind in counts} == counts  # nothing of the others is left behind


def test_changed_boards_are_those_of_a_deck_built_anew(scene, choices):
    _, scenes = choices
    deck = build_deck(scenes[0], scene)
    change_boards(deck, scenes[2], scene)
    changed = corners_of(deck)
    bpy.ops.wm.read_factory_settings(use_empty=True)
    assert corners_of(build_deck(scenes[2], bpy.context.scene)) == changed


def corners_of(deck):
    return {
        thing.name: [tuple(vertex.co) for vertex in thing.data.vertices]
        for thing in deck.all_objects
        if thing.get("courseline_part") in BOARDING and thing.type == "MESH"
    }


def test_house_and_light_are_made_once_for_all_pictures(choices, tmp_path, monkeypatch):
    plans, scenes = choices
    made = []
    monkeypatch.setitem(studio.QUALITIES, "draft", TINY)
    for module, name in ((build, "add_surfaces"), (build, "add_boards"), (studio, "calibrate")):
        real = getattr(module, name)
        monkeypatch.setattr(module, name, lambda *given, real=real, name=name: (made.append(name), real(*given))[1])
    shots = [
        Shot(model, tmp_path / f"{i}.png", tmp_path / f"{i}.blend", tmp_path / f"{i}-close.png", "two boards")
        for i, model in enumerate(scenes)
    ]
    told = []
    studio.pictures(shots, "draft", lambda done, note: told.append(done))
    assert sorted(made) == ["add_boards"] * 3 + ["add_surfaces", "calibrate"]
    assert told == sorted(told)
    assert (told[0], told[-1]) == (0.0, 1.0)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(
        f"{i}{end}" for i in range(3) for end in (".png", ".blend", "-close.png")
    )
    for i, plan in enumerate(plans):
        bpy.ops.wm.open_mainfile(filepath=str(tmp_path / f"{i}.blend"))
        saved = bpy.context.scene
        decks = [child for child in saved.collection.children if "courseline_deck" in child]
        assert len(decks) == 1
        assert count_back(decks[0])["pieces"] == len(plan.pieces)
        assert (saved.render.resolution_x, saved.render.filepath) == (TINY.width, f"//{i}.png")
        assert saved.camera.get("courseline_view") == "garden"


def test_another_house_is_built_anew(choices, tmp_path, monkeypatch):
    _, scenes = choices
    site = read_site(SCENE.with_name("house_corner.toml"))
    other, _ = build_scenes([design(each.site, "quick") for each in variants(site, "side")])
    monkeypatch.setitem(studio.QUALITIES, "draft", TINY)
    studio.pictures([Shot(scenes[0], tmp_path / "0.png"), Shot(other, tmp_path / "1.png")])
    decks = [child["courseline_deck"] for child in bpy.context.scene.collection.children]
    assert decks == [other.name]

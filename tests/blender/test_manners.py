"""A good guest in Blender: undo, files, other scenes, presets, and nothing touched that is not ours."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from courseline.engine import design

bpy = pytest.importorskip("bpy")
import session  # noqa: E402 - it imports bpy
from courseline import bridge, build, ids, properties, registration, update  # noqa: E402
from courseline.build.choices import choices_of, shown_choice  # noqa: E402
from courseline.comparison_settings import ComparisonSettings  # noqa: E402

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("addon")]

SCENES = Path(__file__).parents[2] / "demo_scenes"
WALL, CORNER = SCENES / "one_wall.toml", SCENES / "house_corner.toml"


def build_alone(site: Path) -> None:
    """Build the deck of a site file without its garden, which takes most of the time."""
    bpy.ops.courseline.open_site(filepath=str(site))
    settings().around = "deck"
    bpy.ops.courseline.build_deck()


def settings() -> properties.DeckSettings:
    return bpy.context.scene.courseline


def state() -> tuple[object, ...]:
    """All that a step may change."""
    mine, deck = settings(), build.find_deck(bpy.context.scene)
    built = {t.name: len(t.data.vertices) for t in deck.all_objects if t.type == "MESH"} if deck else {}
    return (
        [(each.thing.name if each.thing else "", each.role, each.kind, each.door) for each in mine.picked],
        mine.site_json,
        bridge.chosen_from(mine) if mine.site_json else "",
        [(figure.name, figure.value) for figure in mine.figures],
        built,
        sorted((thing.name, thing.display_type) for thing in bpy.context.scene.objects),
        (choices_of(bpy.context.scene), shown_choice(bpy.context.scene, bpy.context.view_layer)),
        bpy.context.scene.camera.name if bpy.context.scene.camera else "",
    )


def test_every_step_of_the_job_is_undone_and_redone(tmp_path: Path) -> None:
    session.house_and_deck()
    bpy.ops.courseline.take_in()
    site = tmp_path / "site.toml"
    bpy.ops.courseline.save_site(filepath=str(site))
    session.start()
    session.box("House", (0, 0, 0), (6, 4, 2.6))
    session.box("Post", (2, -1.1, -0.5), (2.1, -1.0, 2))
    session.face("Deck outline", [(1, 0), (1, -3), (5, -3), (5, 0)], 0.15)
    ops, objects = bpy.ops.courseline, bpy.data.objects

    def picked(role: str, name: str) -> Callable[[], object]:
        def do() -> object:
            session.select(objects[name])
            return ops.pick(role=role)

        return do

    def turned() -> None:
        settings().run, settings().border = "out", 1

    def looked() -> None:
        settings().view = "above"
        ops.look_through()

    steps: list[Callable[[], object]] = [
        picked("house", "House"),
        picked("obstacle", "Post"),
        picked("outline", "Deck outline"),
        lambda: ops.unpick(number=1),
        ops.draw_outline,
        lambda: ops.unpick(number=2),
        ops.take_in,
        ops.build_deck,
        ops.outline_as_line,
        ops.show_choices,
        lambda: ops.lay_choice(key="grooved"),
        ops.remove_choices,
        turned,
        ops.build_deck,
        lambda: ops.choose_board(board="core-138"),
        lambda: ops.choose_colour(colour="#a39179"),
        ops.build_deck,
        looked,
        lambda: ops.open_site(filepath=str(site)),
        ops.build_deck,
    ]
    bpy.ops.ed.undo_push(message="start")
    states = [state()]
    for number, step in enumerate(steps):
        step()
        bpy.ops.ed.undo_push(message=f"step {number}")
        states.append(state())
    assert all(before != after for before, after in pairwise(states))  # every step does something
    for expected in reversed(states[:-1]):
        bpy.ops.ed.undo()
        assert state() == expected
    for expected in states[1:]:
        bpy.ops.ed.redo()
        assert state() == expected


def test_saved_and_loaded_everything_is_there(tmp_path: Path) -> None:
    things = session.house_and_deck()
    bpy.ops.courseline.take_in()
    settings().border, settings().side = 1, "grooved"
    bpy.ops.courseline.build_deck()
    before = state()
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "job.blend"))
    bpy.ops.wm.read_factory_settings(use_empty=True)
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "job.blend"))
    assert state() == before
    assert bpy.ops.courseline.take_in() == {"FINISHED"}  # what was picked is still known
    assert bpy.ops.courseline.build_deck() == {"FINISHED"}
    assert things.keys()


@pytest.mark.parametrize(
    "link", [pytest.param(False, marks=pytest.mark.long, id="appended"), pytest.param(True, id="linked")]
)
def test_a_deck_of_another_file_stays_as_it_is(tmp_path: Path, link: bool) -> None:
    build_alone(WALL)
    name = build.find_deck(bpy.context.scene).name
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "other.blend"))
    session.start()
    with bpy.data.libraries.load(str(tmp_path / "other.blend"), link=link) as (_, wanted):
        wanted.collections = [name]
    (other,) = wanted.collections
    bpy.context.scene.collection.children.link(other)
    assert not bridge.is_built(settings())
    assert not bpy.ops.courseline.write_plan.poll()
    count = {thing.name: len(thing.data.vertices) for thing in other.all_objects if thing.type == "MESH"}
    assert count
    # A deck of another name is built beside it.
    build_alone(CORNER)
    assert {t.name: len(t.data.vertices) for t in other.all_objects if t.type == "MESH"} == count
    if link:  # and one of the same name, since what is linked is not ours to replace
        build_alone(WALL)
        assert {t.name: len(t.data.vertices) for t in other.all_objects if t.type == "MESH"} == count
        assert build.find_deck(bpy.context.scene) != other


def test_a_scene_appended_goes_on_and_a_scene_linked_is_left_to_its_file(tmp_path: Path) -> None:
    session.house_and_deck()
    bpy.ops.courseline.take_in()
    bpy.ops.courseline.build_deck()
    count, file = build.count_back(build.find_deck(bpy.context.scene)), str(tmp_path / "other.blend")
    bpy.ops.wm.save_as_mainfile(filepath=file)
    for link in (False, True):
        session.start()
        with bpy.data.libraries.load(file, link=link) as (found, wanted):
            wanted.scenes = found.scenes
        (scene,) = wanted.scenes
        with bpy.context.temp_override(scene=scene, view_layer=scene.view_layers[0]):
            assert bridge.is_built(settings())
            changing = (ids.OPEN_SITE, ids.TAKE_IN, ids.BUILD_DECK, ids.SHOW_CHOICES, ids.WRITE_PLAN)
            polls = {getattr(bpy.ops.courseline, name.partition(".")[2]).poll() for name in changing}
            assert polls == {not link}
            if not link:
                assert build.count_back(build.find_deck(scene)) == count
                settings().run = "out"
                assert bpy.ops.courseline.take_in() == {"FINISHED"}
                assert bpy.ops.courseline.build_deck() == {"FINISHED"}
                assert build.count_back(build.find_deck(scene)) != count


def test_two_scenes_have_a_job_each() -> None:
    first = bpy.context.scene
    build_alone(WALL)
    count = build.count_back(build.find_deck(first))
    second = bpy.data.scenes.new("second")
    with bpy.context.temp_override(scene=second):
        build_alone(WALL)
        settings().run = "out"
        bpy.ops.courseline.build_deck()
    assert build.count_back(build.find_deck(first)) == count
    assert build.count_back(build.find_deck(second)) != count
    assert bridge.built_site(first.courseline).deck.direction != bridge.built_site(second.courseline).deck.direction
    bpy.data.scenes.remove(second)
    assert build.count_back(build.find_deck(first)) == count


def test_a_linked_copy_of_a_scene_gets_a_deck_of_its_own_once_it_is_built() -> None:
    build_alone(WALL)
    first = bpy.context.scene
    deck = build.find_deck(first)
    before = {thing.name: len(thing.data.vertices) for thing in deck.all_objects if thing.type == "MESH"}
    bpy.ops.scene.new(type="LINK_COPY")
    (second,) = set(bpy.data.scenes) - {first}
    assert build.find_deck(second) == deck
    with bpy.context.temp_override(scene=second, view_layer=second.view_layers[0]):
        settings().run = "out"
        update.show_boards(second)
        bpy.ops.courseline.build_deck()
    assert build.find_deck(first) == deck != build.find_deck(second)
    assert {thing.name: len(thing.data.vertices) for thing in deck.all_objects if thing.type == "MESH"} == before
    assert build.count_back(build.find_deck(second)) != build.count_back(deck)


def test_our_objects_renamed_by_the_user_are_still_ours() -> None:
    build_alone(WALL)
    deck = build.find_deck(bpy.context.scene)
    count = len(deck.all_objects)
    deck.name = "Terrace"
    for thing in list(deck.all_objects):
        thing.name = "renamed"
    bpy.ops.courseline.build_deck()
    assert len(build.find_deck(bpy.context.scene).all_objects) == count
    assert not [c for c in bpy.data.collections if c.name.startswith("Courseline deck")] or deck.name == "Terrace"


def test_a_broken_site_leaves_site_and_deck(tmp_path: Path) -> None:
    things = session.house_and_deck()
    bpy.ops.courseline.take_in()
    bpy.ops.courseline.build_deck()
    before = state()
    for vertex in things["outline"].data.vertices[:1]:
        vertex.co.z += 0.5  # no longer level
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match="draw it level") as fault:
        bpy.ops.courseline.take_in()
    assert len(str(fault.value).strip().splitlines()) == 1
    assert state() == before
    assert not list(tmp_path.iterdir())


def test_choices_kept_under_a_name_come_back_on_another_job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def into(kind: str, path: str = "", create: bool = False) -> str:
        folder = tmp_path / path
        if create:
            folder.mkdir(parents=True, exist_ok=True)
        return str(folder)

    monkeypatch.setattr(bpy.utils, "user_resource", into)
    bpy.ops.courseline.open_site(filepath=str(WALL))
    mine = settings()
    mine.side, mine.run, mine.joints, mine.border, mine.course_gap = "grooved", "out", "third", 2, 6.5
    mine.colour = bridge.rgb("#334455")
    assert bpy.ops.courseline.board_preset(name="Dark and grooved") == {"FINISHED"}
    (kept,) = tmp_path.rglob("*.py")
    bpy.ops.courseline.open_site(filepath=str(CORNER))
    bpy.ops.script.execute_preset(filepath=str(kept), menu_idname=ids.PRESET_MENU)
    mine = settings()
    assert (mine.side, mine.run, mine.joints, mine.border) == ("grooved", "out", "third", 2)
    assert mine.course_gap == pytest.approx(6.5)
    assert bridge.hex_colour(mine.colour) == "#334455"
    assert bpy.ops.courseline.build_deck() == {"FINISHED"}


def test_boards_from_the_users_own_table(tmp_path: Path) -> None:
    table = tmp_path / "mine.toml"
    table.write_text(
        "schema = 1\ncurrency = 'EUR'\n[boards.'my board']\nlengths = [3000]\nwidth = 120\nthickness = 20\n"
        "profile = 'solid'\nmass_per_metre = 3\nprice_per_board = 12.5\ncolours = { slate = '#334455' }\n",
        "utf-8",
    )
    bpy.ops.courseline.open_site(filepath=str(WALL))
    settings().product_table = str(table)
    assert bpy.ops.courseline.choose_board(board="my board") == {"FINISHED"}
    assert bpy.ops.courseline.choose_colour(colour="#334455") == {"FINISHED"}
    bpy.ops.courseline.build_deck()
    site = bridge.built_site(settings())
    assert (site.boards.width, site.prices.board, site.boards.colour) == (120.0, 12.5, "#334455")
    assert settings().figures["Price of materials"].value.startswith("EUR")
    assert [row.name for row in settings().takeoff] == [line.description for line in design(site).takeoff]
    table.unlink()  # the scene needs it no more
    settings().run = "out"
    assert bpy.ops.courseline.build_deck() == {"FINISHED"}


def test_every_button_that_changes_the_scene_is_a_step_of_undo() -> None:
    """A button pushes its own step, which a script has to do itself."""
    only_files = {ids.SAVE_SITE, ids.WRITE_PHONE_MODEL, ids.PICTURE_CHOICES, ids.BOARD_PRESET}
    buttons = [cls for cls in registration.CLASSES if issubclass(cls, bpy.types.Operator)]
    assert {cls.bl_idname for cls in buttons if "UNDO" not in cls.bl_options} == only_files


def test_every_button_and_choice_says_what_it_does() -> None:
    for cls in registration.CLASSES:
        if issubclass(cls, bpy.types.Operator):
            operator = getattr(bpy.ops.courseline, cls.bl_idname.partition(".")[2]).get_rna_type()
            assert len(operator.description) > 20, cls.__name__
    groups = (properties.DeckSettings, properties.Edge, properties.Picked, ComparisonSettings)
    inner = {"rna_type", "name", "thing", "role", "number"}
    for group in groups:
        for known in group.bl_rna.properties:
            if known.identifier in inner or known.type in ("COLLECTION",):
                continue
            assert known.description, known.identifier
            if known.type == "ENUM":
                assert all(item.description for item in known.enum_items), known.identifier

"""The site taken in from what is modelled in the scene, in real Blender."""

from __future__ import annotations

import sys
from dataclasses import replace
from math import radians
from pathlib import Path

import courseline
import numpy as np
import pytest
import shapely
from courseline.engine import design, plan_json, read_site
from courseline.engine.effort import FOR_AN_ORDER
from courseline.engine.layout.obstacles import obstacle_polygon
from shapely.geometry import Polygon

bpy = pytest.importorskip("bpy")
sys.path.append(str(Path(__file__).parents[1] / "engine"))
import session  # noqa: E402 - it imports bpy
from courseline import bridge, build, properties  # noqa: E402
from mathutils import Matrix  # noqa: E402
from models import hollow, prism  # noqa: E402

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("addon")]

SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))


def settings() -> properties.DeckSettings:
    return bpy.context.scene.courseline


def taken() -> courseline.engine.spec.Site:
    assert bpy.ops.courseline.take_in() == {"FINISHED"}
    return bridge.chosen_site(settings())


def corners(ring: object) -> set[tuple[float, float]]:
    return {(round(x), round(y)) for x, y in ring}


def test_what_was_picked_is_the_site() -> None:
    session.house_and_deck()
    site = taken()
    assert site.house is not None
    assert corners(site.house.walls) == {(0, 0), (7000, 0), (7000, -2000), (10000, -2000), (10000, 5000), (0, 5000)}
    # The wing ends beside the deck: there the outline gets a corner, and the wall's part of it is a house edge.
    assert corners(site.deck.outline) == {(1000, 0), (1000, -3600), (7000, -3600), (7000, -2000), (7000, 0)}
    assert len(site.deck.house_edges or ()) == 2
    (door,) = site.house.openings
    assert (door.kind, door.offset, door.width, door.sill, door.height) == ("sliding", 3000, 2400, 150, 2100)
    (post,) = site.obstacles
    assert (post.name, post.kind) == ("Sail post", "post")
    assert obstacle_polygon(post).equals(shapely.box(2000, -2400, 2100, -2300))


SMALL_FIRST = [pytest.param(p, marks=() if p.stem == "one_wall" else pytest.mark.long, id=p.stem) for p in SCENES]


@pytest.mark.parametrize("path", SMALL_FIRST)
def test_saved_and_opened_a_site_from_the_scene_plans_the_same(path: Path, tmp_path: Path) -> None:
    known = read_site(path)
    assert known.house is not None
    session.pick("house", session.of_solid(hollow("house", known.house.walls, known.house.height)))
    for each in known.obstacles:
        session.pick("obstacle", session.of_solid(prism(each.name, obstacle_polygon(each), -300.0, 900.0)))
    ring = [(x / 1000, y / 1000) for x, y in known.deck.outline]
    session.pick("outline", session.face("deck", ring, known.deck.surface / 1000))
    site = taken()
    assert Polygon(site.deck.outline).symmetric_difference(Polygon(known.deck.outline)).area < 1_000.0
    settings().border, settings().side, settings().butt_gap = 1, "grooved", 9.0
    bpy.ops.courseline.build_deck()
    bpy.ops.courseline.write_plan(directory=str(tmp_path / "scene"))
    bpy.ops.courseline.save_site(filepath=str(tmp_path / "site.toml"))
    again = read_site(tmp_path / "site.toml")
    assert again == bridge.built_site(settings())
    assert plan_json(design(again, FOR_AN_ORDER)) == (tmp_path / "scene" / "plan.json").read_bytes()
    bpy.ops.courseline.open_site(filepath=str(tmp_path / "site.toml"))
    assert bridge.chosen_site(settings()) == again


@pytest.mark.parametrize(
    ("system", "length", "unit"),
    [("METRIC", "MILLIMETERS", 0.001), ("METRIC", "CENTIMETERS", 0.01), ("IMPERIAL", "FEET", 0.3048)],
    ids=["millimetres", "centimetres", "feet"],
)
def test_a_scene_in_other_units_gives_the_same_site_and_the_deck_lies_in_it(
    system: str, length: str, unit: float
) -> None:
    session.house_and_deck()
    in_metres = taken()
    session.start()
    units = bpy.context.scene.unit_settings
    units.system, units.length_unit, units.scale_length = system, length, unit
    things = session.house_and_deck()
    for thing in things.values():
        thing.scale = (1 / unit,) * 3
    bpy.context.view_layer.update()
    assert taken() == in_metres
    bpy.ops.courseline.build_deck()
    bpy.context.view_layer.update()
    deck = build.find_deck(bpy.context.scene)
    boards = next(thing for thing in deck.all_objects if thing.get("courseline_part") == "boards")
    ends = np.array([boards.matrix_world @ v.co for v in boards.data.vertices]) * unit
    assert np.allclose(ends.min(axis=0)[:2], (1.0, -3.6), atol=0.01)
    assert ends[:, 2].max() == pytest.approx(0.15, abs=0.001)


def test_objects_are_read_as_they_are_seen() -> None:
    """Turned, scaled, hung on a parent, and changed by a modifier."""
    plain = session.house_and_deck()
    expected = taken()
    session.start()
    things = session.house_and_deck()
    assert things.keys() == plain.keys()
    # All hangs on an empty that is turned and moved; the post is modelled at half its size and scaled.
    hook = bpy.data.objects.new("hook", None)
    bpy.context.scene.collection.objects.link(hook)
    for thing in things.values():
        thing.parent = hook
    hook.location, hook.rotation_euler = (3.0, -4.0, 0.0), (0.0, 0.0, radians(90))
    post = things["post"]
    for vertex in post.data.vertices:
        vertex.co /= 2
    post.scale = (2, 2, 2)
    # Of the house only half is modelled, and repeated by a modifier.
    for vertex in things["house"].data.vertices:
        vertex.co.x /= 2
    modifier = things["house"].modifiers.new("twice", "ARRAY")
    modifier.count, modifier.relative_offset_displace = 2, (1, 0, 0)
    bpy.context.view_layer.update()
    site = taken()

    def turned(ring: object) -> set[tuple[float, float]]:
        return {(round(-y + 3000), round(x - 4000)) for x, y in ring}

    assert site.house is not None and expected.house is not None
    assert corners(site.house.walls) == turned(expected.house.walls)
    assert corners(site.deck.outline) == turned(expected.deck.outline)
    assert corners(obstacle_polygon(site.obstacles[0]).exterior.coords) == turned(
        obstacle_polygon(expected.obstacles[0]).exterior.coords
    )
    assert replace(site.house.openings[0], wall=0) == replace(expected.house.openings[0], wall=0)


def test_objects_mirrored_and_stretched_on_a_parent() -> None:
    """Negative and uneven scale, as mirrored models have it; the house is stretched askew to its own axes as well."""
    session.house_and_deck()
    expected = taken()
    session.start()
    things = session.house_and_deck()
    stretch = np.array((-1.5, 2.0, 0.5))
    hook = bpy.data.objects.new("hook", None)
    bpy.context.scene.collection.objects.link(hook)
    hook.scale = stretch
    for thing in things.values():
        thing.parent = hook
        for vertex in thing.data.vertices:
            vertex.co = np.array(vertex.co) / abs(stretch)
    turn = Matrix.Rotation(radians(30), 4, "Z")
    things["house"].data.transform(turn.inverted())
    things["house"].matrix_local = turn  # under an uneven parent it is sheared: no scale and turn of its own give that
    bpy.context.view_layer.update()
    site = taken()

    def mirrored(ring: object) -> set[tuple[float, float]]:
        return {(round(-x), round(y)) for x, y in ring}

    assert site.house is not None and expected.house is not None
    assert corners(site.house.walls) == mirrored(expected.house.walls)
    assert corners(site.deck.outline) == mirrored(expected.deck.outline)
    assert len(site.deck.house_edges or ()) == len(expected.deck.house_edges or ())
    (post,), (as_it_was,) = site.obstacles, expected.obstacles
    assert corners(obstacle_polygon(post).exterior.coords) == mirrored(obstacle_polygon(as_it_was).exterior.coords)
    (door,), (before,) = site.house.openings, expected.house.openings
    assert (door.kind, door.width, door.height, door.sill) == (before.kind, before.width, before.height, before.sill)
    wall = site.house.walls[door.wall], site.house.walls[(door.wall + 1) % len(site.house.walls)]
    assert {y for _, y in wall} == {0.0}  # the same wall
    assert (site.deck.surface, site.house.height) == (expected.deck.surface, expected.house.height)


def test_a_house_shown_as_an_instance_of_a_collection() -> None:
    things = session.house_and_deck()
    expected = taken()
    group = bpy.data.collections.new("model of the house")
    for name in ("house", "wing"):
        group.objects.link(things[name])
        bpy.context.scene.collection.objects.unlink(things[name])
    shown = bpy.data.objects.new("the house", None)
    shown.instance_type, shown.instance_collection = "COLLECTION", group
    bpy.context.scene.collection.objects.link(shown)
    bpy.context.view_layer.update()
    while any(each.role == "house" for each in settings().picked):
        bpy.ops.courseline.unpick(number=[each.role for each in settings().picked].index("house"))
    session.pick("house", shown)
    assert taken().house == expected.house


def test_an_outline_drawn_begins_at_the_cursor_and_can_be_dragged() -> None:
    session.pick("house", session.box("House", (0, 0, 0), (7, 5, 2.6)))
    bpy.context.scene.cursor.location = (1.0, -3.0, 0.0)
    settings().height = 200.0
    session.select()
    assert bpy.ops.courseline.draw_outline() == {"FINISHED"}
    drawn = bpy.context.view_layer.objects.active
    drawn.data.splines[0].points[1].co.x = 5.0
    bpy.context.view_layer.update()
    site = taken()
    assert corners(site.deck.outline) == {(1000, -3000), (6000, -3000), (5000, 0), (1000, 0)}
    assert site.deck.surface == pytest.approx(200.0)


def test_an_outline_from_selected_faces() -> None:
    patio = session.mesh(
        "patio",
        [(0, 0, 0.2), (4, 0, 0.2), (8, 0, 0.2), (0, 3, 0.2), (4, 3, 0.2), (8, 3, 0.2)],
        [(0, 1, 4, 3), (1, 2, 5, 4)],
    )
    patio.location.x = 1.0
    session.select(patio)
    bpy.ops.object.mode_set(mode="EDIT")
    bpy.ops.mesh.select_all(action="DESELECT")
    with pytest.raises(RuntimeError, match="No face is selected"):
        bpy.ops.courseline.outline_from_faces()
    bpy.ops.object.mode_set(mode="OBJECT")
    patio.data.polygons[0].select = True
    bpy.ops.object.mode_set(mode="EDIT")
    assert bpy.ops.courseline.outline_from_faces() == {"FINISHED"}
    bpy.ops.object.mode_set(mode="OBJECT")
    assert corners(taken().deck.outline) == {(1000, 0), (5000, 0), (5000, 3000), (1000, 3000)}
    assert len(patio.data.polygons) == 2


def test_without_a_house_one_is_put_behind_the_edges_ticked() -> None:
    session.pick("outline", session.face("deck", [(0, 0), (5, 0), (5, -3), (0, -3)], 0.15))
    assert taken().house is None
    top = next(edge for edge in settings().edges if edge.name == "Edge 0, 5.00 m" or "5.00 m" in edge.name)
    top.at_house = True
    site = taken()
    assert site.house is not None
    assert len(site.deck.house_edges or ()) == 1
    assert next(edge for edge in settings().edges if edge.at_wall).at_house
    bpy.ops.courseline.build_deck()
    bpy.context.view_layer.update()
    house = next(part for part in build.find_deck(bpy.context.scene).children if part.get("courseline_part") == "House")
    bricks = [t for t in house.objects if any(s.material.name.startswith("wall (brick)") for s in t.material_slots)]
    ends = np.array([t.matrix_world @ v.co for t in bricks for v in t.data.vertices])
    assert ends[:, 1].min() == pytest.approx(0.0, abs=0.01)  # its face stands at the deck's edge
    assert (ends[:, 0].min(), ends[:, 0].max()) == pytest.approx((0.0, 5.0), abs=0.01)
    assert ends[:, 2].max() == pytest.approx(site.house.height / 1000, abs=0.1)


def test_taken_in_anew_cameras_go_with_the_deck() -> None:
    things = session.house_and_deck()
    taken()
    bpy.ops.courseline.build_deck()
    before = {t["courseline_view"]: tuple(t.location) for t in bpy.data.objects if "courseline_view" in t}
    for thing in things.values():
        thing.location.x += 20.0
    bpy.context.view_layer.update()
    taken()
    bpy.ops.courseline.build_deck()
    after = {t["courseline_view"]: tuple(t.location) for t in bpy.data.objects if "courseline_view" in t}
    assert after.keys() == before.keys()
    assert all(after[view][0] == pytest.approx(before[view][0] + 20.0, abs=0.05) for view in before)


def test_two_outlines_are_two_decks_of_one_job() -> None:
    things = session.house_and_deck()
    session.pick("outline", session.face("Upper terrace", [(1, -3.6), (1, -6), (5, -6), (5, -3.6)], 0.45))
    site = taken()
    assert [(deck.name, deck.surface) for deck in site.decks] == [("Upper terrace", 450.0)]
    bpy.ops.courseline.build_deck()
    assert build.count_back(build.find_deck(bpy.context.scene))["pieces"] == len(design(site).pieces)
    assert things["outline"].name in bpy.context.scene.objects


def test_what_is_picked_may_be_renamed() -> None:
    things = session.house_and_deck()
    before = taken()
    things["house"].name, things["outline"].name = "Old mill", "Terrace"
    assert taken() == before


def test_what_was_picked_and_deleted_is_told_and_the_site_stays() -> None:
    things = session.house_and_deck()
    before = taken()
    bpy.data.objects.remove(things["post"])
    with pytest.raises(RuntimeError, match="no longer in this scene"):
        bpy.ops.courseline.take_in()
    assert bridge.chosen_site(settings()) == before
    gone = next(i for i, each in enumerate(settings().picked) if each.role == "obstacle")
    bpy.ops.courseline.unpick(number=gone)
    assert not taken().obstacles
    # Deleted as a user does, from the scene alone, while the list still holds it.
    session.select(things["door"])
    bpy.ops.object.delete()
    with pytest.raises(RuntimeError, match="'Garden doors' is no longer in this scene"):
        bpy.ops.courseline.take_in()


def test_what_cannot_be_picked_is_told() -> None:
    lamp = bpy.data.objects.new("lamp", bpy.data.lights.new("lamp", "POINT"))
    bpy.context.scene.collection.objects.link(lamp)
    bpy.context.view_layer.update()
    session.select(lamp)
    with pytest.raises(RuntimeError, match="Nothing selected has a shape"):
        bpy.ops.courseline.pick(role="house")
    assert not bpy.ops.courseline.take_in.poll()
    line = session.mesh("line", [(0, 0, 0.1), (3, 0, 0.1), (3, 3, 0.1)], [], [(0, 1), (1, 2)])
    session.pick("house", line)
    session.pick("outline", session.face("deck", [(0, 0), (5, 0), (5, -3), (0, -3)], 0.15))
    with pytest.raises(RuntimeError, match="'line' has no surface"):
        bpy.ops.courseline.take_in()


def test_our_own_boards_are_not_picked() -> None:
    session.house_and_deck()
    taken()
    bpy.ops.courseline.build_deck()
    deck = build.find_deck(bpy.context.scene)
    session.select(next(thing for thing in deck.all_objects if thing.type == "MESH"))
    with pytest.raises(RuntimeError, match="Nothing selected has a shape"):
        bpy.ops.courseline.pick(role="house")


def test_taken_in_again_the_choices_stay() -> None:
    things = session.house_and_deck()
    taken()
    settings().side, settings().run, settings().border = "grooved", "out", 2
    things["outline"].location.y = -0.2  # off the wall now
    things["outline"].scale.x = 0.5
    bpy.context.view_layer.update()
    site = taken()
    assert (site.boards.side, site.deck.direction, site.pattern.border.courses) == ("grooved", 90.0, 2)


def test_the_outline_is_shown_as_a_line_when_asked_and_taken_in_as_before() -> None:
    """Its face lies level with the boards; the user's own object is changed by that button alone."""
    outline = session.house_and_deck()["outline"]
    assert bpy.ops.courseline.take_in() == {"FINISHED"}
    site = settings().site_json
    bpy.ops.courseline.build_deck()
    assert (outline.display_type, outline.hide_render) == ("TEXTURED", False)
    assert bpy.ops.courseline.outline_as_line() == {"FINISHED"}
    assert (outline.display_type, outline.hide_render) == ("WIRE", True)
    assert not bpy.ops.courseline.outline_as_line.poll()
    assert bpy.ops.courseline.take_in() == {"FINISHED"}
    assert settings().site_json == site

"""Choices shown while they are made, without a window: what the timer does is called by hand."""

from __future__ import annotations

from pathlib import Path

import courseline
import numpy as np
import pytest
from courseline.engine import design, read_site
from courseline.engine.papers.summary import summarise

bpy = pytest.importorskip("bpy")
from courseline import bridge, build, live, overlay, properties, update  # noqa: E402

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("addon")]

SCENES = Path(__file__).parents[2] / "demo_scenes"
WALL, CORNER, LONG = (SCENES / f"{name}.toml" for name in ("one_wall", "house_corner", "long_house"))


def settings() -> properties.DeckSettings:
    return bpy.context.scene.courseline


def built(path: Path = WALL, around: str = "deck") -> None:
    """Build a deck, alone where its garden does not matter: that is quicker by far."""
    bpy.ops.courseline.open_site(filepath=str(path))
    settings().around = around
    bpy.ops.courseline.build_deck()


def parts(part: str) -> list[bpy.types.Object]:
    deck = build.find_deck(bpy.context.scene)
    return [thing for thing in deck.all_objects if thing.get("courseline_part") == part]


def boards() -> bpy.types.Object:
    (thing,) = parts("boards")
    return thing


def extent(thing: bpy.types.Object) -> np.ndarray:
    ends = np.array([v.co for v in thing.data.vertices])
    return np.array([ends.min(axis=0), ends.max(axis=0)])


def show() -> None:
    update.show_boards(bpy.context.scene)


def settle() -> None:
    update.settle(bpy.context.scene)


def test_boards_turn_at_once_and_the_rest_follows() -> None:
    built(around="all")
    whole, frame, lawn = len(boards().data.polygons), parts("members")[0].name, {t.name for t in parts("surface")}
    settings().run = "diagonal"
    show()
    assert settings().is_draft
    assert len(boards().data.polygons) < whole / 3  # slabs, without the faces of grain and grooves
    assert {thing.name for thing in parts("members")} == {frame}  # the frame waits
    settle()
    plan = design(bridge.chosen_site(settings()))
    assert not settings().is_draft
    assert build.count_back(build.find_deck(bpy.context.scene))["pieces"] == len(plan.pieces)
    assert [(f.name, f.value) for f in settings().figures] == list(summarise(plan).facts())
    assert {t.name for t in parts("surface")} == lawn  # house and garden are the very same objects


def faces_up() -> set[str]:
    """Which face the materials of the boards show."""
    names = [slot.material.name for slot in boards().material_slots]
    return {face for face in ("grain", "grooved") if any(name.startswith(f"board {face} (") for name in names)}


def test_boards_are_turned_over_as_they_lie() -> None:
    built()
    mesh, joints = boards().data, settings().joint_places
    assert faces_up() == {"grain"}
    settings().side = "grooved"
    show()
    assert faces_up() == {"grooved"}
    settings().spare = 3.0  # nothing of it is seen
    show()
    assert boards().data == mesh
    assert settings().joint_places == joints
    assert settings().is_draft
    settle()
    assert faces_up() == {"grooved"}
    assert boards().data != mesh  # with grooves
    settings().run = "diagonal"
    show()
    assert faces_up() == set()
    settings().side = "grain"  # laid anew, and not turned over
    show()
    assert settings().is_draft
    settle()
    assert faces_up() == {"grain"}


def test_boards_shown_fill_the_same_deck_as_those_built() -> None:
    built(LONG)
    whole = extent(boards())
    settings().course_gap = 5.5
    show()
    shown = extent(boards())
    assert np.allclose(shown[:, :2], whole[:, :2], atol=0.012)
    assert shown[1, 2] == pytest.approx(whole[1, 2], abs=0.002)


def test_what_the_deck_is_built_from_step_by_step_is_what_it_is_built_from_at_once() -> None:
    built(CORNER)
    for side, run, gap in (("grooved", "out", 6.0), ("grain", "walls", 5.0), ("grooved", "site", 4.0)):
        settings().side, settings().run, settings().course_gap = side, run, gap
        show()
        settle()
    by_steps = {t.name.split(".")[0]: len(t.data.polygons) for t in parts("boards") + parts("members")}
    bpy.ops.courseline.build_deck()
    assert {t.name.split(".")[0]: len(t.data.polygons) for t in parts("boards") + parts("members")} == by_steps


def test_a_fascia_chosen_later_changes_the_ground_with_it() -> None:
    built(CORNER, around="all")
    before = settings().built_ground
    edge = next(each for each in settings().edges if not each.at_wall and each.finish == "fascia")
    edge.finish = "flush"
    settle()
    assert settings().built_ground != before
    plan = design(bridge.chosen_site(settings()))
    assert build.count_back(build.find_deck(bpy.context.scene))["pieces"] == len(plan.pieces)


def test_what_cannot_be_laid_is_told_and_the_last_good_deck_stays(tmp_path: Path) -> None:
    slender = tmp_path / "slender.toml"
    text = WALL.read_text("utf-8")
    assert "[frame]" in text
    slender.write_text(text.replace("[frame]", "[frame]\nsection = [34, 147]"), "utf-8")
    built(slender)
    good, figures = extent(boards()), [f.value for f in settings().figures]
    as_built = settings().butt_gap
    settings().butt_gap = 30.0  # leaves a board end too little of its joist
    show()
    settle()
    assert settings().fault.startswith("joists: 34 mm; ")  # no key of a site file
    assert "butt gap" in settings().fault
    with pytest.raises(RuntimeError, match=r"Error: joists: 34 mm; [^\n]*butt gap"):
        bpy.ops.courseline.build_deck()
    assert np.array_equal(extent(boards()), good)
    assert [f.value for f in settings().figures] == figures
    settings().butt_gap = as_built
    show()
    assert settings().fault == ""
    settings().butt_gap = 30.0
    settle()
    assert "butt gap" in settings().fault
    settings().butt_gap = 9.0
    settle()
    assert settings().fault == ""
    assert not settings().is_draft


def test_nothing_changed_nothing_done() -> None:
    built()
    mesh = boards().data
    show()
    settle()
    assert boards().data == mesh
    assert not settings().is_draft


def test_dragging_a_colour_makes_one_material_and_not_hundreds() -> None:
    built()
    count = len(bpy.data.materials)
    for step in range(30):
        settings().colour = (step / 30, 0.4, 0.4)
        show()
    assert len(bpy.data.materials) <= count + 1
    settle()
    shown = {slot.material.name for slot in boards().material_slots}
    assert any(bridge.hex_colour(settings().colour) in name for name in shown)


def test_a_choice_and_its_plan_are_undone_and_redone() -> None:
    """As in a window: the change and its boards are one step, and the plan that follows another."""
    built()
    bpy.ops.ed.undo_push(message="built")
    counts = [build.count_back(build.find_deck(bpy.context.scene))]
    for run in ("out", "diagonal"):
        settings().run = run
        show()
        bpy.ops.ed.undo_push(message="change")
        settle()
        bpy.ops.ed.undo_push(message="plan")
        counts.append(build.count_back(build.find_deck(bpy.context.scene)))
    assert len({repr(count) for count in counts}) == len(counts)
    for expected in reversed(counts[:-1]):
        bpy.ops.ed.undo()
        assert settings().is_draft  # where a window goes on by itself
        bpy.ops.ed.undo()
        assert not settings().is_draft
        assert build.count_back(build.find_deck(bpy.context.scene)) == expected
    for expected in counts[1:]:
        bpy.ops.ed.redo()
        assert settings().is_draft
        bpy.ops.ed.redo()
        assert build.count_back(build.find_deck(bpy.context.scene)) == expected
        assert not bridge.is_stale(settings())


def test_without_a_window_no_timer_runs() -> None:
    built()
    settings().run = "out"
    assert bridge.is_stale(settings())
    assert not bpy.app.timers.is_registered(live._tick)


def test_handlers_come_and_go_with_the_addon() -> None:
    ours = live._handlers()
    assert all(handler in handlers for handlers, handler in ours)
    courseline.unregister()
    try:
        assert not any(handler in handlers for handlers, handler in ours)
    finally:
        courseline.register()


# What is drawn over the view


def test_joints_and_what_to_see_to_are_marked_where_they_are() -> None:
    built(LONG)
    plan = design(read_site(LONG))
    marks = overlay.marks_of(bpy.context.scene)
    assert len(marks.joints) == len(plan.joints)
    at = np.array([joint.at for joint in plan.joints]) / 1000
    assert np.allclose(np.array(marks.joints)[:, :2], at, atol=1e-3)
    failing = [check.message for check in plan.checks if not check.ok]
    assert [text for _, text in marks.failed] == [f"{n}. {reason}" for n, reason in enumerate(failing, 1)]
    low, high = extent(boards())[:, :2]
    for (x, y, _), _ in marks.failed:
        assert low[0] - 0.1 < x < high[0] + 0.1
        assert low[1] - 0.1 < y < high[1] + 0.1


def test_many_reasons_are_written_in_the_panel_and_numbered_in_the_view() -> None:
    built(LONG)
    settings().run, settings().angle = "other", 0.35
    bpy.ops.courseline.build_deck()
    marks = overlay.marks_of(bpy.context.scene)
    assert len(marks.failed) > overlay.FEW
    assert {text for _, text in marks.failed} <= {f"{n}" for n in range(1, len(settings().failed) + 1)}


def test_marks_can_be_put_out_and_are_not_drawn_for_a_deck_that_is_gone() -> None:
    built(LONG)
    settings().show_joints = settings().show_failed = False
    assert overlay.marks_of(bpy.context.scene) == overlay.Marks()
    settings().show_joints = settings().show_edges = True
    marks = overlay.marks_of(bpy.context.scene)
    assert [text for _, text in marks.edges] == [f"{i}" for i in range(len(read_site(LONG).deck.outline))]
    bpy.data.collections.remove(build.find_deck(bpy.context.scene))
    assert not overlay.marks_of(bpy.context.scene).joints


def test_while_a_choice_is_made_old_reasons_are_not_shown() -> None:
    built(LONG)
    settings().course_gap = 6.0
    show()
    assert overlay.marks_of(bpy.context.scene).failed == ()
    assert overlay.marks_of(bpy.context.scene).joints


def test_texts_do_not_lie_on_each_other() -> None:
    taken: list[overlay.Box] = []
    for _ in range(5):
        taken.append(overlay._free_place(10.0, 100.0, 200.0, 30.0, taken))
    assert not any(overlay._overlap(a, b) for i, a in enumerate(taken) for b in taken[:i])

"""What is shown while a choice is dragged is the deck that is then planned, but for the joints' places."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from courseline.engine import SiteError, design, read_site, with_choices
from courseline.engine.choose import Choices, choose
from courseline.engine.layout.courses import Run
from courseline.engine.layout.joints import cross_sections
from courseline.engine.plan import Check
from courseline.engine.preview import FlatBoards, Previews, preview
from courseline.engine.whereabouts import failing, joint_places
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))


def tops_of(boards: FlatBoards) -> list[tuple[int, Polygon]]:
    """The top of each board, in plan."""
    found, at = [], 0
    for count, board in zip(boards.counts, boards.board, strict=True):
        corners = boards.vertices[boards.corners[at : at + count]]
        at += count
        if np.ptp(corners[:, 2]) < 1e-6:
            found.append((int(board), Polygon(corners[:, :2])))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("direction", [0.0, 33.0, 90.0])
@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_the_boards_shown_cover_what_the_boards_planned_cover(path: Path, direction: float) -> None:
    site = with_choices(read_site(path), direction=direction)
    plan, shown = design(site), preview(site)
    planned = shapely.union_all([Polygon(p.polygon.outer, p.polygon.holes) for p in plan.pieces])
    drawn = shapely.union_all([top for _, top in tops_of(shown.boards)])
    # They differ at butt joints alone: each is a gap as wide as a board at the most.
    gaps = (len(plan.joints) + len(shown.joints)) * site.gaps.butt * site.boards.width * 1.01
    assert drawn.symmetric_difference(planned).area <= gaps + 1.0
    assert set(shown.names) == {p.id.rsplit("-", 1)[0] for p in plan.pieces}


@pytest.mark.parametrize("direction", [0.0, 33.0])
def test_joints_shown_lie_between_the_ends_of_two_boards(direction: float) -> None:
    site = with_choices(read_site(next(path for path in SCENES if path.stem == "long_house")), direction=direction)
    shown = preview(site)
    tops = np.array([top for _, top in tops_of(shown.boards)])
    assert len(shown.joints)
    for place in shapely.points(shown.joints[:, :2]):
        assert not shapely.contains(tops, place).any()
        assert np.count_nonzero(shapely.distance(tops, place) < site.gaps.butt) == 2


@pytest.mark.slow
@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_what_is_shown_does_not_hang_on_what_was_shown_before(path: Path) -> None:
    site, previews = read_site(path), Previews()
    steps = (
        Choices(side="grooved"),
        Choices(joints="third"),
        Choices(joints="third", colour="#101010"),
        Choices(direction=20.0),
        Choices(direction=20.0, joints="scattered"),
        Choices(direction=20.0, joints="scattered", course_gap=6.5),
        Choices(direction=20.0, joints="scattered", course_gap=6.5, butt_gap=9.0),
        Choices(course_gap=6.5),
        Choices(course_gap=6.5, border=2),
        Choices(follow_walls=True),
        Choices(finishes=((1, "fascia"),)),
        Choices(),
    )
    for step in steps:
        chosen = choose(site, step)
        shown, alone = previews.of(chosen), preview(chosen)
        assert shown.names == alone.names
        assert np.array_equal(shown.boards.vertices, alone.boards.vertices)
        assert np.array_equal(shown.joints, alone.joints)


@pytest.mark.slow
@settings(max_examples=60, deadline=None)
@given(st.tuples(*[st.floats(0.0, 9000.0)] * 4), st.lists(st.floats(-500.0, 9500.0), min_size=1, max_size=12))
def test_a_run_cut_at_a_slant_is_as_wide_as_shapely_finds_it(ends: tuple[float, ...], places: list[float]) -> None:
    (low0, low1), (up0, up1) = sorted(ends[:2]), sorted(ends[2:])
    assume(min(low1 - low0, up1 - up0) > 1.0)
    shape = Polygon([(low0, 0.0), (low1, 0.0), (up1, 140.0), (up0, 140.0)])
    assume(shape.is_valid and min(abs(at - corner) for at in places for corner in ends) > 0.01)
    run = Run(1, shape, min(ends), max(ends), 0.0, 140.0, False, (0.0, 0.0))
    found = np.stack(cross_sections([run], np.array(places)), axis=-1)[0]
    for at, (bottom, top) in zip(places, found, strict=True):
        cut = shape.intersection(LineString([(at, -1.0), (at, 141.0)]))
        if cut.is_empty:
            assert np.isnan(bottom) and np.isnan(top)
        else:
            assert (bottom, top) == pytest.approx((cut.bounds[1], cut.bounds[3]), abs=1e-3)


def test_every_slab_is_closed() -> None:
    boards = preview(read_site(SCENES[0])).boards
    tops = [top for _, top in tops_of(boards)]
    assert all(top.is_valid and top.exterior.is_ccw for top in tops)
    assert boards.counts.sum() == len(boards.corners)
    assert set(boards.corners.tolist()) == set(range(len(boards.vertices)))


def test_a_board_round_a_post_is_shown_with_its_hole() -> None:
    site = replace(read_site(SCENES[0]), obstacles=read_site(SCENES[0]).obstacles[:1])
    middle = max((top for _, top in tops_of(preview(site).boards)), key=lambda top: float(top.area)).centroid
    gully = replace(
        site.obstacles[0],
        kind="gully",
        centre=(middle.x, middle.y),
        size=(40.0, 40.0),
        diameter=None,
        outline=None,
        treatment="cut",
    )
    shown = preview(replace(site, obstacles=(gully,)))
    assert not any(top.contains(Point(gully.centre)) for _, top in tops_of(shown.boards))
    assert len({board for board, _ in tops_of(shown.boards)}) == len(shown.names)


def test_nothing_to_lay_is_told() -> None:
    site = read_site(SCENES[-1])
    sliver = replace(site, deck=replace(site.deck, outline=((0.0, 0.0), (3000.0, 0.0), (3000.0, -7.0), (0.0, -7.0))))
    with pytest.raises(SiteError, match="nothing of it can be boarded"):
        preview(replace(sliver, obstacles=(), zones=()))


@pytest.mark.slow
@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_joints_and_failing_checks_lie_on_the_deck(path: Path) -> None:
    plan = design(read_site(path))
    deck = Polygon(plan.site.deck.outline).buffer(100.0)
    assert len(joint_places(plan)) == len(plan.joints)
    marked = failing(plan)
    assert [m.check for m in marked] == [check for check in plan.checks if not check.ok]
    for place in [*joint_places(plan), *(place for m in marked for place in m.places)]:
        assert deck.contains(Point(place[:2]))


@pytest.mark.slow
def test_a_check_that_names_a_board_is_marked_on_that_board() -> None:
    plan = design(read_site(next(path for path in SCENES if path.stem == "long_house")))
    boards = {piece.id: Polygon(piece.polygon.outer, piece.polygon.holes) for piece in plan.pieces}
    named = [(m, m.check.id.rsplit(" ", 1)[-1]) for m in failing(plan)]
    assert named
    for marked, name in named:
        assert boards[name].distance(Point(marked.places[0][:2])) < plan.site.boards.width


@pytest.mark.slow
def test_a_place_written_out_is_marked_itself_and_a_part_without_one_on_the_part() -> None:
    plan = design(read_site(SCENES[0]))
    piece, member, top = plan.pieces[3], plan.members[2], plan.site.deck.surface
    messages = (f"{piece.id} is too short, at [1234, -567]", f"{piece.id} is too short", f"{member.id} is bowed", "all")
    checks = tuple(Check("c", "by hand", 0.0, 1.0, "mm", False, message) for message in messages)
    written, on_piece, on_member, nowhere = failing(replace(plan, checks=checks))
    assert written.places == ((1234.0, -567.0, top),)
    assert Polygon(piece.polygon.outer).contains(Point(on_piece.places[0][:2]))
    middle = np.mean([member.start[:2], member.end[:2]], axis=0)
    assert np.allclose(on_member.places[0][:2], middle)
    assert nowhere.places == ()

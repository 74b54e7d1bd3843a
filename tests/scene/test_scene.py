import numpy as np
import pytest
import shapely
from courseline.engine.scene import build_scene
from courseline.engine.scene.boxes import fixing_boxes, member_boxes
from courseline.engine.spec import House, Opening
from plans import HOUSE, small_plan

FINISHES = ("brick", "render", "stone", "timber")


def test_the_scene_holds_what_the_plan_holds():
    plan = small_plan()
    model = build_scene(plan)
    assert [board.id for board in model.boards] == [piece.id for piece in plan.pieces]
    assert [block.id for block in model.blocks] == [member.id for member in plan.members]
    assert [fixing.kind for fixing in model.fixings] == [fixing.kind for fixing in plan.fixings]


def test_the_same_plan_gives_the_same_scene():
    assert build_scene(small_plan()) == build_scene(small_plan())


@pytest.mark.parametrize("finish", FINISHES)
def test_every_surface_is_whole(finish):
    model = build_scene(small_plan(House(walls=HOUSE.walls, finish=finish, openings=HOUSE.openings)))
    keys = {material.key for material in model.materials}
    names = [surface.id for surface in model.surfaces]
    assert len(set(names)) == len(names)
    for surface in model.surfaces:
        assert surface.material in keys
        assert np.isfinite(np.array(surface.vertices)).all()
        corners = sum(len(face) for face in surface.faces)
        assert {index for face in surface.faces for index in face} == set(range(len(surface.vertices)))
        assert len(surface.uv) in (0, corners)
        assert len(surface.tags) in (0, len(surface.faces))


@pytest.mark.parametrize("kind", ["folding", "sliding", "door", "window"])
def test_each_leaf_has_a_pane_and_no_two_panes_lean_alike(kind):
    opening = Opening(wall=0, offset=900, width=3000, height=2100, sill=150, kind=kind, leaves=3)
    model = build_scene(small_plan(House(walls=HOUSE.walls, openings=(opening,))))
    glass = next(surface for surface in model.surfaces if surface.material == "glass")
    corners = np.array(glass.vertices).reshape(-1, 4, 3)
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 3] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    assert len(corners) == 3
    lean = np.degrees(np.arccos(np.clip(normals @ (0, -1, 0), -1, 1)))
    assert np.all(lean < 0.5)
    assert len(np.unique(np.round(lean, 4))) == 3


def test_a_deck_without_a_house_has_its_garden():
    model = build_scene(small_plan(None, ()))
    assert {surface.group for surface in model.surfaces} == {"Garden"}


def test_no_lawn_grows_under_the_deck_or_in_the_house():
    model = build_scene(small_plan())
    lawn = next(surface for surface in model.surfaces if surface.id == "lawn")
    grass = shapely.union_all([shapely.Polygon([lawn.vertices[corner][:2] for corner in face]) for face in lawn.faces])
    assert not grass.contains(shapely.Point(3000, -1500))
    assert not grass.contains(shapely.Point(5000, 3000))
    assert grass.contains(shapely.Point(3000, -5000))


def test_a_joist_lies_under_the_boards_on_its_centre_line():
    model = build_scene(small_plan())
    corners, _ = member_boxes(model.blocks)
    assert corners[0].max(axis=0) == pytest.approx((30 + 23.5, 0, 128))
    assert corners[0].min(axis=0) == pytest.approx((30 - 23.5, -2900, 128 - 147))


def test_clips_sit_in_the_gap_below_the_boards_faces():
    corners, _ = fixing_boxes(build_scene(small_plan()).fixings)
    assert corners[..., 2].max() < 150.0
    assert np.ptp(corners[0][:, 1]) <= 5.0

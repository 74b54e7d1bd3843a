import random
from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
import shapely
from courseline.engine.scene import build_scene
from courseline.engine.scene.boxes import fixing_boxes, member_boxes
from courseline.engine.scene.finishes import faced_walls
from courseline.engine.scene.interior import interior
from courseline.engine.scene.obstacles import standing
from courseline.engine.scene.openings import FRAME_SIGHTLINE, glazing, leaves, opens
from courseline.engine.scene.roof import roof
from courseline.engine.scene.walls import walls_of
from courseline.engine.spec import House, Obstacle, Opening
from generated_sites import generated_site
from plans import HOUSE, SURFACE, small_plan

FINISHES = ("brick", "render", "stone", "timber")
RINGS = (
    ((0, 0), (7200, 0), (7200, 5400), (0, 5400)),
    ((0, 0), (5000, 700), (6000, 4000), (-300, 4100)),
    ((0, 0), (6000, 0), (6000, -2250), (10500, -2250), (10500, 6000), (0, 6000)),
    ((0, 0), (9000, 0), (4000, 5000)),
    ((0, 0), (3000, 0), (3000, 3000), (6000, 3000), (6000, 0), (9000, 0), (9000, 8000), (0, 8000)),
)
"""Houses of simple and of awkward outline [mm]."""


@pytest.mark.slow
def test_the_scene_holds_what_the_plan_holds():
    plan = small_plan()
    model = build_scene(plan)
    assert [board.id for board in model.boards] == [piece.id for piece in plan.pieces]
    assert [block.id for block in model.blocks] == [member.id for member in plan.members]
    assert [fixing.kind for fixing in model.fixings] == [fixing.kind for fixing in plan.fixings]


@pytest.mark.slow
def test_the_same_plan_gives_the_same_scene():
    assert build_scene(small_plan()) == build_scene(small_plan())


@pytest.mark.slow
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


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["folding", "sliding", "door", "window"])
def test_each_leaf_has_a_double_pane_and_no_two_panes_lean_alike(kind):
    opening = Opening(wall=0, offset=900, width=3000, height=2100, sill=150, kind=kind, leaves=3)
    model = build_scene(small_plan(House(walls=HOUSE.walls, openings=(opening,))))
    glass = next(surface for surface in model.surfaces if surface.material == "glass")
    corners = np.array(glass.vertices).reshape(-1, 4, 3)
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 3] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    assert len(corners) == 6
    lean = np.degrees(np.arccos(np.clip(normals @ (0, -1, 0), -1, 1)))
    assert np.all(lean < 0.5)
    assert len(np.unique(np.round(lean, 4))) == 6
    # 4-20-4: the panes of a unit stand 20 mm apart (common practice, no source).
    out = -corners[:, :, 1].mean(axis=1)
    assert out[::2] - out[1::2] == pytest.approx([20.0] * 3)


@pytest.mark.parametrize(("height", "fixed"), [(1000, [False, True, False]), (2100, [True, True, True])])
def test_low_windows_open_every_second_light_and_tall_ones_do_not(height, fixed):
    opening = Opening(wall=0, offset=900, width=3000, height=height, sill=150, kind="window", leaves=3)
    hole = walls_of(House(walls=HOUSE.walls, openings=(opening,)), 0.0)[0].holes[0]
    assert [not opens(hole, index) for index in range(3)] == fixed


@pytest.mark.parametrize("kind", ["folding", "sliding", "door", "window"])
@pytest.mark.parametrize(("width", "leaves_"), [(600, 1), (1800, 2), (5000, 6), (500, 4)])
def test_leaves_fill_the_frame_and_no_more(kind, width, leaves_):
    opening = Opening(wall=0, offset=500, width=width, height=2100, kind=kind, leaves=leaves_)
    hole = walls_of(House(walls=HOUSE.walls, openings=(opening,)), 0.0)[0].holes[0]
    boxes = leaves(hole)
    assert len(boxes) == leaves_
    assert boxes[0].along[0] == pytest.approx(hole.start + FRAME_SIGHTLINE[kind], abs=3.0)
    assert boxes[-1].along[1] == pytest.approx(hole.end - FRAME_SIGHTLINE[kind], abs=3.0)
    sideways = [following.along[0] - box.along[1] for box, following in pairwise(boxes)]
    assert all(gap > 0 for gap in sideways) or kind == "sliding"


def closed(surface):
    """Whether every edge of a mesh is met as often one way as the other: then nothing can be seen through it."""
    edges = Counter()
    places = [tuple(round(part, 3) for part in vertex) for vertex in surface.vertices]
    for face in surface.faces:
        for one, other in pairwise([*face, face[0]]):
            edges[places[one], places[other]] += 1
            edges[places[other], places[one]] -= 1
    return not any(edges.values())


@pytest.mark.slow
def test_frames_and_furniture_are_closed_bodies():
    model = build_scene(small_plan())
    bodies = [each for each in model.surfaces if each.id.endswith((" frame", " gasket", " sill", " handle"))]
    bodies += [each for each in model.surfaces if each.id == "interior furniture"]
    assert len(bodies) >= 5
    for surface in bodies:
        assert closed(surface), surface.id


@pytest.mark.slow
def test_a_wall_of_the_room_with_a_hole_in_it_is_not_closed():
    model = build_scene(small_plan())
    assert not closed(next(each for each in model.surfaces if each.id == "interior wall"))


@pytest.mark.parametrize("walls", RINGS)
def test_a_roof_covers_its_house_and_sheds_water_outwards(walls):
    house = shapely.Polygon(walls)
    surfaces = {surface.id: surface for surface in roof(house, 2600.0)}
    slates = surfaces["roof"]
    points = np.array(slates.vertices)
    flat = shapely.union_all(
        [
            shapely.Polygon(points[list(face)][:, :2]).buffer(0.01)
            for face in slates.faces
            if np.ptp(points[list(face)][:, :2], axis=0).min() > 0.0
        ]
    )
    overhang = house.buffer(300.0, join_style="mitre", mitre_limit=4.0)
    assert overhang.difference(flat.buffer(2.0)).area < 1e-4 * overhang.area
    for face in slates.faces:
        a, b, c = (points[corner] for corner in face[:3])
        assert np.cross(b - a, c - a)[2] > -1.0
    # Common practice, no source: 30 to 35 degrees; the ridge is no higher than that makes it.
    widest = shapely.maximum_inscribed_circle(overhang).length
    assert points[:, 2].max() <= 2600.0 + 180.0 + np.tan(np.radians(35.0)) * widest + 10.0


def test_slates_show_half_their_length_less_the_lap():
    # Gauge (slating practice as in BS 5534, from memory): (500 - 100) / 2 = 200 mm.
    slates = next(surface for surface in roof(shapely.box(0, 0, 9000, 6000), 2600.0) if surface.id == "roof")
    rows = {tag[0]: [] for tag in slates.tags}
    at = 0
    for face, tag in zip(slates.faces, slates.tags, strict=True):
        rows[tag[0]] += [v for _, v in slates.uv[at : at + len(face)]]
        at += len(face)
    whole = [max(rows[row]) - min(rows[row]) for row in sorted(rows) if 1 < row < max(rows)]
    assert len(whole) > 10
    assert whole == pytest.approx([200.0] * len(whole))


def generated_house(number):
    """A house whose walls are those of a generated outline, with openings put in by chance."""
    chance = random.Random(number)
    ring = tuple(generated_site(number)["deck"]["outline"])
    openings = []
    for _ in range(3):
        wall = chance.randrange(len(ring))
        length = float(np.hypot(*np.subtract(ring[(wall + 1) % len(ring)], ring[wall])))
        if length > 300.0:
            width = chance.uniform(0.2, 0.9) * length
            openings.append(
                Opening(
                    wall=wall,
                    offset=chance.uniform(0.0, length - width),
                    width=width,
                    height=chance.choice([600, 1050, 2100, 2700]),
                    sill=chance.choice([0, 150, 900, 33]),
                    kind=chance.choice(["folding", "sliding", "door", "window"]),
                    leaves=chance.randint(1, 6),
                )
            )
    finish, bond = chance.choice(FINISHES), chance.choice(["stretcher", "flemish", "english"])
    return House(walls=ring, finish=finish, bond=bond, openings=tuple(openings))


@pytest.mark.slow
@pytest.mark.parametrize("number", range(12))
def test_any_house_can_be_built(number):
    house = generated_house(number)
    walls, outline = walls_of(house, SURFACE), shapely.Polygon(house.walls)
    surfaces = faced_walls(house, walls, -300.0) + glazing(walls, SURFACE) + roof(outline, house.height)
    surfaces += interior(walls, outline, SURFACE, house.height)
    grown = outline.buffer(450.0, join_style="mitre", mitre_limit=6.0)
    for surface in surfaces:
        points = np.array(surface.vertices)
        assert np.isfinite(points).all()
        assert grown.covers(shapely.MultiPoint(points[:, :2])), surface.id


@pytest.mark.parametrize("decked", [True, False])
def test_a_downpipe_reaches_from_the_ground_to_the_gutter(decked):
    pipe = Obstacle(name="pipe", kind="downpipe", centre=(3000, -60), diameter=76)
    (surface,) = standing((pipe,), SURFACE, shapely.box(0, 0, 6000, 4000), 2600.0, decked=decked)
    points = np.array(surface.vertices)
    assert points[:, 2].min() == pytest.approx(0.0 if decked else 90.0)  # through the boards, or a shoe over the ground
    top = points[points[:, 2] > points[:, 2].max() - 1.0]
    assert top[:, 1].mean() == pytest.approx(-(300.0 + 112.0 / 2), abs=1.0)  # under the middle of the gutter
    assert 2600.0 < points[:, 2].max() < 2600.0 + 180.0
    assert points[:, 1].max() == pytest.approx(1.0)  # its brackets on the wall


@pytest.mark.slow
def test_a_deck_without_a_house_has_its_garden():
    model = build_scene(small_plan(None, ()))
    assert {surface.group for surface in model.surfaces} == {"Garden"}


@pytest.mark.slow
def test_no_lawn_grows_under_the_deck_or_in_the_house():
    model = build_scene(small_plan())
    lawn = next(surface for surface in model.surfaces if surface.id == "lawn")
    grass = shapely.union_all([shapely.Polygon([lawn.vertices[corner][:2] for corner in face]) for face in lawn.faces])
    assert not grass.contains(shapely.Point(3000, -1500))
    assert not grass.contains(shapely.Point(5000, 3000))
    assert grass.contains(shapely.Point(3000, -5000))


@pytest.mark.slow
def test_a_joist_lies_under_the_boards_on_its_centre_line():
    model = build_scene(small_plan())
    corners, _ = member_boxes(model.blocks)
    assert corners[0].max(axis=0) == pytest.approx((30 + 23.5, 0, 128))
    assert corners[0].min(axis=0) == pytest.approx((30 - 23.5, -2900, 128 - 147))


@pytest.mark.slow
def test_clips_sit_in_the_gap_below_the_boards_faces():
    corners, _ = fixing_boxes(build_scene(small_plan()).fixings)
    assert corners[..., 2].max() < 150.0
    assert np.ptp(corners[0][:, 1]) <= 5.0

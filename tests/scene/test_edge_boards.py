"""Borders, nosings, fascias and hatches, as drawn: the deck of `small_plan` is 6 m by 2.9 m, south of a wall."""

import dataclasses

import numpy as np
import pytest
from courseline.engine.plan import Area, Fixing, Member, ZonePlan
from courseline.engine.scene import build_scene
from courseline.engine.scene.board_mesh import join_boards
from courseline.engine.scene.boards import PROUD, board_shapes, fixing_shapes
from courseline.engine.scene.boxes import HEAD_FACES, member_boxes, screw_heads
from courseline.engine.scene.model import Block
from courseline.engine.scene.profile import ARRIS, GROOVE_DEPTH
from courseline.engine.spec import FurtherDeck, Obstacle
from meshes import THICKNESS, section, volume
from plans import GAP, SURFACE, WIDTH, piece, small_plan
from shapely.geometry import MultiPoint, Polygon

FRONT = ((0.0, -2900.0), (6000.0, -2900.0), (5860.0, -2760.0), (140.0, -2760.0))
"""A border board along the deck's front edge, mitred at both ends."""
RIGHT = ((6000.0, -2900.0), (6000.0, 0.0), (5860.0, 0.0), (5860.0, -2760.0))
"""The one beside it along the right edge, square at the wall."""
UNDER = SURFACE - THICKNESS
FASCIA_FRONT = ((42.0, -2880.0), (5958.0, -2880.0), (5958.0, -2858.0), (42.0, -2858.0))
FASCIA_RIGHT = ((5980.0, -2800.0), (5980.0, -100.0), (5958.0, -100.0), (5958.0, -2800.0))


def plan_of(*pieces, fixings=()):
    return dataclasses.replace(small_plan(), pieces=pieces, fixings=fixings)


def mesh_of(*pieces):
    return join_boards(board_shapes(plan_of(*pieces)))


def backwards(plan):
    """Give the same plan with its outline written the other way round."""
    deck = dataclasses.replace(plan.site.deck, outline=plan.site.deck.outline[::-1])
    return dataclasses.replace(plan, site=dataclasses.replace(plan.site, deck=deck))


# Borders and nosings


@pytest.mark.parametrize("face", ["grain", "grooved"])
@pytest.mark.parametrize("direction", [0.0, 180.0])
def test_a_mitred_border_board_is_as_long_as_its_centre_line_times_its_section(face, direction):
    mesh = mesh_of(piece("A-E2R1-1", FRONT, kind="border", direction=direction, face=face))
    assert volume(mesh) == pytest.approx((6000 + 5720) / 2 * section(WIDTH, face), rel=1e-6)


def test_the_mitre_goes_through_grooves_and_arrises_in_one_plane():
    mesh = mesh_of(piece("A-E2R1-1", FRONT, kind="border", face="grooved"))
    starts = np.cumsum([0, *mesh.corners[:-1]])
    sawn = [mesh.vertices[at : at + count] for at, count in zip(starts, mesh.corners, strict=True)]
    sawn = [points for points, end in zip(sawn, mesh.is_end, strict=True) if end]
    assert len(sawn) == 2
    for points, mitre in zip(sorted(sawn, key=lambda points: -points[0, 0]), (-1, 1), strict=True):
        from_corner = points[:, 0] - (6000 if mitre < 0 else 0)
        assert from_corner == pytest.approx(mitre * (points[:, 1] + 2900), abs=1e-6)
        assert np.any(np.isclose(points[:, 2], SURFACE - GROOVE_DEPTH))


def test_grooves_run_along_each_board_and_not_along_the_zone():
    mesh = mesh_of(piece("A-E1R1-1", RIGHT, kind="border", direction=90.0, face="grooved"))
    groove = np.isclose(mesh.vertices[:, 2], SURFACE - GROOVE_DEPTH)
    places = np.unique(np.round(mesh.vertices[groove, 0] - 5930.0, 6))
    assert len(places) == 2 * 14  # both bottom edges of the grooves at 9 mm that a board of 140 mm has room for
    assert places == pytest.approx(-places[::-1])
    assert np.ptp(mesh.vertices[groove, 1]) > 2700.0


@pytest.mark.parametrize("turn", [0.0, 180.0])
@pytest.mark.parametrize("written", [lambda plan: plan, backwards])
def test_a_ripped_nosing_turns_its_works_edge_out(turn, written):
    ring = ((0.0, -2900.0), (6000.0, -2900.0), (6000.0, -2800.0), (0.0, -2800.0))
    plan = written(plan_of(piece("A-E2R1-1", ring, kind="nosing", direction=turn, width=100.0)))
    mesh = join_boards(board_shapes(plan))
    out, sawn = (mesh.vertices[np.isclose(mesh.vertices[:, 1], side), 2].max() for side in (-2900.0, -2800.0))
    assert out == pytest.approx(SURFACE - ARRIS)
    assert sawn == pytest.approx(SURFACE)


@pytest.mark.parametrize("turn", [0.0, 180.0])
@pytest.mark.parametrize("written", [FRONT, FRONT[::-1]])
def test_only_the_side_along_the_edge_of_the_deck_is_seen_from_the_garden(turn, written):
    field = piece("A-01-1", ((145.0, -2755.0), (5855.0, -2755.0), (5855.0, -2615.0), (145.0, -2615.0)))
    hole = ((400.0, -2850.0), (400.0, -2800.0), (470.0, -2800.0), (470.0, -2850.0))
    border = piece("A-E2R1-1", written, kind="border", direction=turn)
    border = dataclasses.replace(border, polygon=Area(border.polygon.outer, (hole,)))
    mesh = mesh_of(field, border)
    faces = np.repeat(np.arange(len(mesh.corners)), mesh.corners)
    assert mesh.is_open.sum() == 1
    assert mesh.vertices[mesh.is_open[faces], 1] == pytest.approx(-2900.0)


# Fascias


@pytest.mark.parametrize("face", ["grain", "grooved"])
@pytest.mark.parametrize(("ring", "direction"), [(FASCIA_FRONT, 0.0), (FASCIA_FRONT, 180.0), (FASCIA_RIGHT, 270.0)])
def test_a_fascia_stands_on_its_footprint_below_the_boards(ring, direction, face):
    mesh = mesh_of(piece("A-F2R1-1", ring, kind="fascia", direction=direction, top=UNDER, face=face))
    bounds = Polygon(ring).bounds
    low, high = mesh.vertices.min(axis=0), mesh.vertices.max(axis=0)
    assert (*low[:2], *high[:2]) == pytest.approx(bounds)
    assert (low[2], high[2]) == pytest.approx((UNDER - WIDTH, UNDER))
    length = max(bounds[2] - bounds[0], bounds[3] - bounds[1])
    assert volume(mesh) == pytest.approx(length * section(WIDTH, face), rel=1e-6)


@pytest.mark.parametrize("direction", [0.0, 180.0])
@pytest.mark.parametrize("written", [lambda plan: plan, backwards])
def test_a_fascia_shows_its_face_to_the_garden(direction, written):
    plan = written(plan_of(piece("A-F2R1-1", FASCIA_FRONT, kind="fascia", direction=direction, top=UNDER)))
    mesh = join_boards(board_shapes(plan))
    upper = mesh.vertices[np.isclose(mesh.vertices[:, 2], UNDER), 1]
    assert (upper.min(), upper.max()) == pytest.approx((-2880.0 + ARRIS, -2858.0))
    assert mesh.vertices[mesh.board_co[:, 2] == 0.0, 1] == pytest.approx(-2880.0)


def test_a_ripped_fascia_has_its_works_edge_at_the_top_and_the_sawn_one_at_the_ground():
    mesh = mesh_of(piece("A-F2R1-1", FASCIA_FRONT, kind="fascia", top=UNDER, width=90.0))
    heights = mesh.vertices[np.isclose(mesh.vertices[:, 1], -2880.0), 2]
    assert (heights.min(), heights.max()) == pytest.approx((UNDER - 90.0, UNDER - ARRIS))


def test_mitred_fascias_fill_their_footprints_and_no_more():
    ring = ((20.0, -2880.0), (5980.0, -2880.0), (5958.0, -2858.0), (42.0, -2858.0))
    mesh = mesh_of(piece("A-F2R1-1", ring, kind="fascia", direction=180.0, top=UNDER))
    assert MultiPoint(mesh.vertices[:, :2]).convex_hull.symmetric_difference(Polygon(ring)).area < 1e-3
    plan = Polygon(ring).area * WIDTH
    assert plan * 0.998 < volume(mesh) < plan  # but for its arrises


# Decks at different heights, hatches, battens


def test_each_piece_lies_at_its_own_height():
    upper = ((0.0, -140.0), (3000.0, -140.0), (3000.0, 0.0), (0.0, 0.0))
    mesh = mesh_of(piece("A-E2R1-1", FRONT, kind="border"), piece("B-01-1", upper, top=450.0))
    highest = [mesh.vertices[np.repeat(mesh.piece, mesh.corners) == number, 2].max() for number in (0, 1)]
    assert highest == pytest.approx([SURFACE, 450.0])


def test_a_side_is_seen_from_the_garden_where_its_own_deck_ends():
    outline = ((8000.0, -9000.0), (8000.0, -4000.0), (14000.0, -4000.0), (14000.0, -9000.0))
    ring = ((8000.0, -4140.0), (14000.0, -4140.0), (14000.0, -4000.0), (8000.0, -4000.0))
    plan = plan_of(dataclasses.replace(piece("B-01-1", ring), zone="B"))
    plan = dataclasses.replace(
        plan,
        site=dataclasses.replace(plan.site, decks=(FurtherDeck(name="lower", outline=outline),)),
        zones=(*plan.zones, ZonePlan("B", 0.0, Area(outline), 1, 1)),
    )
    assert board_shapes(plan)[0].open_sides == (False, True, True, True)  # all but its right one


def test_a_ripped_piece_of_a_hatch_lies_on_the_centre_line_of_its_course():
    plan = small_plan()
    top = -GAP - 4 * (WIDTH + GAP)
    ring = ((1000.0, top - WIDTH), (1500.0, top - WIDTH), (1500.0, top - 30.0), (1000.0, top - 30.0))
    hatch = piece("A-H1-05-1", ring, kind="hatch", course=5, width=110.0)
    across = [
        point[1] for point in board_shapes(dataclasses.replace(plan, pieces=(*plan.pieces, hatch)))[-1].polygon.outer
    ]
    assert (min(across), max(across)) == pytest.approx((-70.0, 40.0))


def test_a_ripped_course_behind_the_start_edge_keeps_its_works_edge_towards_course_1():
    plan = small_plan()
    ring = ((8.0, 0.0), (4000.0, 0.0), (4000.0, 60.0), (8.0, 60.0))  # one gap from course 1
    behind = piece("A-B01-1", ring, course=-1, width=60.0)
    across = [
        point[1] for point in board_shapes(dataclasses.replace(plan, pieces=(*plan.pieces, behind)))[-1].polygon.outer
    ]
    assert (min(across), max(across)) == pytest.approx((-70.0, -10.0))


def test_a_screw_is_flush_with_the_face_that_it_goes_through():
    fascia = piece("A-F2R1-1", FASCIA_FRONT, kind="fascia", top=UNDER)
    border = piece("A-E2R1-1", FRONT, kind="border", top=450.0)
    fixings = (Fixing("screw", (400.0, -2869.0), fascia.id, "rim-1"), Fixing("screw", (400.0, -2830.0), border.id, "r"))
    plan = plan_of(fascia, border, fixings=fixings)
    heads = screw_heads(fixing_shapes(plan, board_shapes(plan)))
    assert (heads[0][:, 1].min(), heads[0][:, 1].max()) == pytest.approx((-2880.0 - PROUD, -2877.0 - PROUD))
    assert heads[0].mean(axis=0)[0] == pytest.approx(400.0)
    assert UNDER - WIDTH < heads[0][:, 2].min() < heads[0][:, 2].max() < UNDER
    assert (heads[1][:, 2].min(), heads[1][:, 2].max()) == pytest.approx((447.0 + PROUD, 450.0 + PROUD))


def test_a_screw_shows_a_round_head_that_looks_out_of_its_board():
    fascia = piece("A-F2R1-1", FASCIA_FRONT, kind="fascia", top=UNDER)
    border = piece("A-E2R1-1", FRONT, kind="border", top=450.0)
    fixings = (Fixing("screw", (400.0, -2869.0), fascia.id, "rim-1"), Fixing("screw", (400.0, -2830.0), border.id, "r"))
    plan = plan_of(fascia, border, fixings=fixings)
    for head, out in zip(screw_heads(fixing_shapes(plan, board_shapes(plan))), ((0, -1, 0), (0, 0, 1)), strict=True):
        face = head[list(HEAD_FACES[0])]
        assert np.linalg.norm(face - face.mean(axis=0), axis=1) == pytest.approx(4.0)  # half of 8 mm
        assert np.cross(face[1] - face[0], face[2] - face[1]) @ out > 0
        middle = head.mean(axis=0)
        for rim in HEAD_FACES[1:]:
            a, b, c, _ = head[list(rim)]
            assert np.cross(b - a, c - b) @ (a - middle) > 0


def test_of_two_screws_in_a_fascia_one_stands_over_the_other():
    fascia = piece("A-F2R1-1", FASCIA_FRONT, kind="fascia", top=UNDER, width=100.0)
    fixings = tuple(Fixing("screw", (x, -2869.0), fascia.id, "rim-1") for x in (400.0, 425.0, 800.0, 825.0))
    plan = plan_of(fascia, fixings=fixings)
    heights = [shape.at[2] for shape in fixing_shapes(plan, board_shapes(plan))]
    assert heights == pytest.approx([UNDER - 25.0, UNDER - 75.0] * 2)


def test_a_batten_of_a_hatch_is_drawn_at_its_own_height_and_section():
    batten = Member("A-hatch-1-1", "nogging", (0, -500, 104.5), (600, -500, 104.5), (47, 47), 600, "T1")
    block = Block(batten.id, batten.role, batten.stock, "", batten.start, batten.end, batten.section)
    corners, _ = member_boxes([block])
    assert (corners[0].min(axis=0), corners[0].max(axis=0)) == (
        pytest.approx((0, -523.5, 81)),
        pytest.approx((600, -476.5, 128)),
    )


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["cover", "gully", "other"])
def test_what_a_panel_lies_over_stays_under_its_boards_and_one_can_stand_on_it(kind):
    free = build_scene(small_plan(obstacles=()))
    spot = free.cameras[0].position[:2]
    pump = Obstacle(name="pump", kind=kind, centre=spot, size=(600, 450), treatment="hatch")
    model = build_scene(small_plan(obstacles=(pump,)))
    lid = next(surface for surface in model.surfaces if surface.group == "Obstacles")
    assert max(z for _, _, z in lid.vertices) <= UNDER
    assert model.cameras[0] == free.cameras[0]

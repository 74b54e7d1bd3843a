"""Several decks: a terrace at the house, and a lower one farther out in the garden."""

import dataclasses

import pytest
import shapely
from courseline.engine.plan import Area, ZonePlan
from courseline.engine.scene import build_scene
from courseline.engine.scene.levels import levels_of
from courseline.engine.scene.outlook import EYE, Ground
from courseline.engine.spec import FurtherDeck, Obstacle
from plans import HOUSE, SURFACE, piece, small_plan
from shapely.geometry import MultiPolygon, Point, Polygon

LOWER = 90.0
OUTLINE = ((8000.0, -9000.0), (8000.0, -4000.0), (14000.0, -4000.0), (14000.0, -9000.0))
BOARD = ((8000.0, -4140.0), (14000.0, -4140.0), (14000.0, -4000.0), (8000.0, -4000.0))


def two_decks(*obstacles):
    """Add a lower deck of one board to the small plan."""
    plan = small_plan(HOUSE, obstacles)
    further = FurtherDeck(name="lower", outline=OUTLINE, surface=LOWER)
    zone = ZonePlan("B", 0.0, Area(OUTLINE), 1, 1)
    board = dataclasses.replace(piece("B-01-1", BOARD, top=LOWER), zone="B")
    return dataclasses.replace(
        plan,
        site=dataclasses.replace(plan.site, decks=(further,)),
        zones=(*plan.zones, zone),
        pieces=(*plan.pieces, board),
    )


def test_no_lawn_grows_under_either_deck():
    lawn = next(surface for surface in build_scene(two_decks()).surfaces if surface.id == "lawn")
    grass = shapely.union_all([Polygon([lawn.vertices[corner][:2] for corner in face]) for face in lawn.faces])
    assert not grass.contains(Point(3000, -1500))
    assert not grass.contains(Point(11000, -6000))
    assert grass.contains(Point(7000, -3500))


@pytest.mark.parametrize(("spot", "surface"), [((3000, -1500), SURFACE), ((11000, -6000), LOWER)])
def test_a_cover_lies_flush_with_the_boards_of_its_own_deck(spot, surface):
    cover = Obstacle(name="chamber", kind="cover", centre=spot, size=(600, 450))
    plate = next(each for each in build_scene(two_decks(cover)).surfaces if each.group == "Obstacles")
    assert surface - 5.0 < max(z for _, _, z in plate.vertices) < surface


@pytest.mark.parametrize(("spot", "floor"), [((3000, -1500), SURFACE), ((11000, -6000), LOWER), ((7000, -3500), 0.0)])
def test_whoever_stands_on_a_deck_stands_on_its_own_boards(spot, floor):
    ground = Ground(
        levels=levels_of(two_decks().site, ()),
        house=None,
        walls=(),
        obstacles=MultiPolygon(),
        eaves=0.0,
        direction=0.0,
        sun_azimuth=180.0,
    )
    assert ground.eye(spot) == EYE + floor


def test_the_side_of_a_board_along_the_edge_of_its_own_deck_is_seen():
    board = build_scene(two_decks()).boards[-1]
    assert board.origin[2] == LOWER
    assert sum(board.open_sides) == 3  # both ends and the side along the deck's edge

"""The whole scene of a plan, on one screen."""

from __future__ import annotations

import shapely
from shapely.geometry import Polygon

from ..layout.obstacles import obstacle_polygon
from ..plan import Plan
from ..spec import House, Obstacle
from .boards import board_shapes, fixing_shapes
from .cameras import cameras
from .garden import SUBSTRATE, garden
from .interior import interior
from .model import Block, SceneModel, Surface
from .obstacles import standing
from .openings import glazing
from .outlook import Ground
from .palette import palette
from .roof import roof
from .sun import sun_over
from .walls import Wall, shell, walls_of

FOOTING = -300.0
"""How far walls are drawn into the ground [mm above datum], where no pit beside them lays more bare."""

FLAT = ("gully", "cover")
"""Kinds of obstacle that one can stand on and see over, as over any under a lift-out panel."""


def build_scene(plan: Plan) -> SceneModel:
    """Turn a plan into all that a renderer needs.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    SceneModel
        Holds every piece, member and fixing of the plan, in its order.

    Raises
    ------
    ValueError
        If the site's `when` is not a time.
    """
    site = plan.site
    surface = site.deck.surface
    deck = shapely.make_valid(Polygon(site.deck.outline, site.deck.openings))
    boards = board_shapes(plan)
    blocks = _blocks(plan)
    under = min((min(block.start[2], block.end[2]) - block.section[1] / 2 for block in blocks), default=0.0) - SUBSTRATE
    house = None if site.house is None else Polygon(site.house.walls)
    walls = () if site.house is None else walls_of(site.house, surface)
    eaves = 0.0 if site.house is None else site.house.height
    surfaces = [] if site.house is None or house is None else _house(site.house, house, walls, surface, under)
    surfaces += standing(site.obstacles, surface, house, eaves)
    surfaces += garden(deck, house, under)
    sun = sun_over(site.look.place, site.look.when)
    ground = Ground(
        deck=deck,
        house=house,
        walls=walls,
        obstacles=shapely.union_all([obstacle_polygon(each) for each in site.obstacles if _rises(each)]),
        surface=surface,
        eaves=eaves,
        direction=plan.zones[0].direction if plan.zones else site.deck.direction,
        sun_azimuth=sun.azimuth,
    )
    view = site.look.view
    return SceneModel(
        name=plan.name,
        boards=boards,
        blocks=blocks,
        fixings=fixing_shapes(plan, boards),
        surfaces=tuple(surfaces),
        materials=palette(site),
        cameras=cameras(ground, view),
        view=view if isinstance(view, str) else "own",
        sun=sun,
    )


def _rises(obstacle: Obstacle) -> bool:
    return obstacle.kind not in FLAT and obstacle.treatment != "hatch"


def _blocks(plan: Plan) -> tuple[Block, ...]:
    products = {item.id: item.product for item in plan.stock}
    return tuple(
        Block(each.id, each.role, each.stock, products.get(each.stock, ""), each.start, each.end, each.section)
        for each in plan.members
    )


def _house(house: House, outline: Polygon, walls: tuple[Wall, ...], surface: float, under: float) -> list[Surface]:
    brick = house.finish == "brick"
    base = min(FOOTING, under)
    surfaces = [
        shell(wall, base, house.height, brick=brick).surface(f"wall {wall.number}", "House", "wall") for wall in walls
    ]
    surfaces += glazing(walls, surface)
    surfaces += roof(outline, house.height)
    surfaces += interior(walls, outline, surface, house.height)
    return surfaces

"""The whole scene of a plan, on one screen."""

from __future__ import annotations

import shapely
from shapely.geometry import Polygon

from ..collector import collector_at_rest
from ..layout.obstacles import obstacle_polygon
from ..plan import Plan
from ..spec import House, Obstacle
from .boards import board_shapes, fixing_shapes
from .cameras import cameras, line_of_sight
from .finishes import faced_walls
from .garden import garden
from .interior import interior
from .levels import Level, doors_on_decks, levels_of, nearest
from .model import Block, SceneModel, Surface
from .obstacles import standing
from .openings import glazing
from .outlook import Ground, eye_height_of
from .palette import palette
from .roof import roof
from .sun import sun_over
from .walls import Wall, walls_of

FOOTING = -300.0
"""How far walls are drawn into the ground [mm above datum], where no pit beside them lays more bare."""

FLAT = ("gully", "cover")
"""Kinds of obstacle that one can stand on and see over, as over any under a lift-out panel."""


@collector_at_rest()
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
    boards = board_shapes(plan)
    blocks = blocks_of(plan)
    levels = levels_of(site, blocks)
    house = None if site.house is None else Polygon(site.house.walls)
    walls = () if site.house is None else walls_of(doors_on_decks(site.house, levels), 0.0)
    eaves = 0.0 if site.house is None else site.house.height
    surfaces = [] if site.house is None or house is None else _house(site.house, house, walls, levels)
    for obstacle in site.obstacles:
        shape = obstacle_polygon(obstacle)
        level = nearest(levels, (shape.centroid.x, shape.centroid.y))
        decked = level.filled.intersects(shape)
        surfaces += standing((obstacle,), level.surface, house, eaves, decked=decked)
    sun = sun_over(site.look.place, site.look.when)
    ground = Ground(
        levels=levels,
        house=house,
        walls=walls,
        obstacles=shapely.union_all([obstacle_polygon(each) for each in site.obstacles if _rises(each)]),
        eaves=eaves,
        direction=plan.zones[0].direction if plan.zones else site.deck.direction,
        sun_azimuth=sun.azimuth,
        eye_height=eye_height_of(site.look),
    )
    view = site.look.view
    views = cameras(ground, view)
    outdoors = garden(levels, house, [line_of_sight(ground, each) for each in views])
    return SceneModel(
        name=plan.name,
        boards=boards,
        blocks=blocks,
        fixings=fixing_shapes(plan, boards),
        surfaces=(*surfaces, *outdoors.surfaces),
        materials=palette(site),
        cameras=views,
        view=view if isinstance(view, str) else "own",
        sun=sun,
        plantings=outdoors.plantings,
    )


def _rises(obstacle: Obstacle) -> bool:
    return obstacle.kind not in FLAT and obstacle.treatment != "hatch"


def blocks_of(plan: Plan) -> tuple[Block, ...]:
    """The members of a plan's frame."""
    products = {item.id: item.product for item in plan.stock}
    return tuple(
        Block(each.id, each.role, each.stock, products.get(each.stock, ""), each.start, each.end, each.section)
        for each in plan.members
    )


def _house(house: House, outline: Polygon, walls: tuple[Wall, ...], levels: tuple[Level, ...]) -> list[Surface]:
    base = min(FOOTING, *(level.soil for level in levels))
    lowest, highest = (pick(level.surface for level in levels) for pick in (min, max))
    surfaces = faced_walls(house, walls, base)
    surfaces += glazing(walls, highest)
    surfaces += roof(outline, house.height)
    surfaces += interior(walls, outline, lowest, house.height)
    return surfaces

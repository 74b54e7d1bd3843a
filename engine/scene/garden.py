"""The ground and what closes the garden: lawn, soil under the deck, hedge and trees to be mirrored in the glass."""

from __future__ import annotations

from math import atan2, ceil, cos, sin

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Point, Polygon, box

from .crowns import HEDGE_SPLITS, crown, foliage
from .mesh import Mesh, rings
from .model import Surface

LAWN = 60_000.0
"""How far the lawn reaches past deck and house [mm] (ours: to the horizon at eye height)."""
HEDGE_DISTANCE = 9_000.0
"""From deck and house to the boundary [mm] (ours)."""
HEDGE_HEIGHT, HEDGE_DEPTH = 1_900.0, 900.0
HEDGE_LUMP = 1_300.0
"""Spacing of the rounded shapes along the hedge [mm] (ours)."""
TREES = 9
TREE_DISTANCE = 6_000.0
"""From the hedge to the row of trees behind it [mm] (ours)."""
SUBSTRATE = 60.0
"""Room under the joists down to the soil [mm] (ours)."""
PAVING_WIDTH = 450.0
"""Width of the paving along walls that no deck reaches [mm] (common practice, no source)."""


def garden(deck: Polygon, house: Polygon | None, under: float) -> list[Surface]:
    """Build ground, boundary and trees.

    Parameters
    ----------
    deck : Polygon
        The deck's outline with its openings [mm].
    house : Polygon or None
        Outer wall faces [mm].
    under : float
        Level of the soil under the deck [mm above datum].
    """
    whole = deck if house is None else shapely.union_all([deck, house])
    west, south, east, north = whole.bounds
    filled = Polygon(deck.exterior)
    lawn, soil, paving = Mesh(), Mesh(), Mesh()
    bare = filled if house is None else shapely.union_all([filled, house])
    strip = None
    if house is not None:
        strip = house.buffer(PAVING_WIDTH, join_style="mitre").difference(bare)
        paving.floor(strip, 8.0)
        bare = shapely.union_all([bare, strip])
    lawn.floor(box(west - LAWN, south - LAWN, east + LAWN, north + LAWN).difference(bare), 0.0)
    pit = filled if house is None else filled.difference(house)
    if under < 0.0:
        for part in shapely.get_parts(pit):
            for ring in rings(part):
                soil.skirt(ring[::-1], under, 0.0)
    soil.floor(pit, min(under, 2.0))
    surfaces = [
        lawn.surface("lawn", "Garden", "lawn"),
        soil.surface("soil", "Garden", "soil"),
        *_boundary(whole),
    ]
    if paving.faces:
        surfaces.append(paving.surface("paving", "Garden", "paving"))
    return surfaces


def _boundary(whole: Polygon | MultiPolygon) -> list[Surface]:
    """Close the garden by a hedge, with trees behind it."""
    hull = whole.convex_hull
    line = hull.buffer(HEDGE_DISTANCE, quad_segs=3).exterior
    random = np.random.default_rng(7)
    lumps = []
    for number in range(ceil(line.length / HEDGE_LUMP)):
        at = line.interpolate(number * HEDGE_LUMP)
        for up in (0.25, 0.72):
            shift = random.uniform(-0.2, 0.2, 3) * HEDGE_DEPTH
            spot = np.array([at.x, at.y, HEDGE_HEIGHT * up]) + shift
            lumps.append((spot, HEDGE_DEPTH * random.uniform(0.8, 1.05)))
    surfaces = [foliage("hedge", lumps, random, HEDGE_SPLITS)]
    trunks = Mesh()
    middle = hull.centroid
    row = hull.buffer(HEDGE_DISTANCE + TREE_DISTANCE, quad_segs=3).exterior
    for number in range(TREES):
        at = row.interpolate((number + random.uniform(-0.3, 0.3)) / TREES, normalized=True)
        radius = random.uniform(1_500.0, 2_600.0)
        height = random.uniform(1.3, 1.9) * radius + 1_200.0
        out = atan2(at.y - middle.y, at.x - middle.x)
        x, y = at.x + cos(out) * random.uniform(0, 3_000.0), at.y + sin(out) * random.uniform(0, 3_000.0)
        trunks.prism(Point(x, y).buffer(radius * 0.07, quad_segs=2), 0.0, height)
        surfaces.append(crown(f"tree {number + 1}", (x, y, height), radius, f"tree {number}"))
    surfaces.append(trunks.surface("trunks", "Garden", "bark"))
    return surfaces

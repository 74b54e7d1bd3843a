"""The ground and what closes the garden: lawn, soil under the deck, hedge and trees to be mirrored in the glass."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, ceil, cos, sin

import numpy as np
import shapely
from shapely.geometry import LinearRing, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from .crowns import crown
from .levels import Level
from .mesh import Mesh, rings
from .model import Surface

LAWN = 60_000.0
"""How far the lawn reaches past deck and house [mm] (ours: to the horizon at eye height)."""
HEDGE_DISTANCE = 9_000.0
"""From deck and house to the boundary [mm] (ours)."""
HEDGE_HEIGHT, HEDGE_DEPTH = 1_900.0, 900.0
HEDGE_STEP, HEDGE_GROWTH = 250.0, 45.0
"""Spacing of the sections of a hedge, and how far its leaves stray from the clipped line [mm] (ours)."""
HEDGE_SECTION = (
    (-0.5, 0.0), (-0.54, 0.25), (-0.53, 0.5), (-0.5, 0.75), (-0.46, 0.93), (-0.34, 1.0),
    (0.0, 1.02), (0.34, 1.0), (0.46, 0.93), (0.5, 0.6), (0.5, 0.0),
)  # fmt: skip
"""A clipped hedge from its foot inside the garden to its foot outside, in shares of depth and height (ours)."""
TREES = 12
TREE_DISTANCE = 5_000.0
"""From the hedge to the row of trees behind it, and how far that row is spread [mm] (ours)."""
TREE_RADIUS, TREE_MIDDLE = (2_000.0, 3_400.0), (3_600.0, 5_200.0)
"""Least and greatest radius of a crown, and level of its middle [mm] (ours)."""
SEED = 7
"""The same garden for every site and run."""
PAVING_WIDTH = 450.0
"""Width of the paving along walls that no deck reaches [mm] (common practice, no source)."""


def garden(levels: Sequence[Level], house: Polygon | None) -> list[Surface]:
    """Build ground, boundary and trees.

    Parameters
    ----------
    levels : sequence of Level
        The decks.
    house : Polygon or None
        Outer wall faces [mm].
    """
    filled = shapely.union_all([level.filled for level in levels])
    whole = filled if house is None else shapely.union_all([filled, house])
    west, south, east, north = whole.bounds
    lawn, soil, paving = Mesh(), Mesh(), Mesh()
    bare = filled if house is None else shapely.union_all([filled, house])
    strip = None
    if house is not None:
        strip = house.buffer(PAVING_WIDTH, join_style="mitre").difference(bare)
        paving.floor(strip, 8.0)
        bare = shapely.union_all([bare, strip])
    lawn.floor(box(west - LAWN, south - LAWN, east + LAWN, north + LAWN).difference(bare), 0.0)
    for level in levels:
        pit = level.filled if house is None else level.filled.difference(house)
        if level.soil < 0.0:
            for part in shapely.get_parts(pit):
                for ring in rings(part):
                    soil.skirt(ring[::-1], level.soil, 0.0)
        soil.floor(pit, min(level.soil, 2.0))
    surfaces = [
        lawn.surface("lawn", "Garden", "lawn"),
        soil.surface("soil", "Garden", "soil"),
        *_boundary(whole),
    ]
    if paving.faces:
        surfaces.append(paving.surface("paving", "Garden", "paving"))
    return surfaces


def _boundary(whole: BaseGeometry) -> list[Surface]:
    """Close the garden by a clipped hedge, with trees behind it."""
    hull = whole.convex_hull
    random = np.random.default_rng(SEED)
    surfaces = [_hedge(hull.buffer(HEDGE_DISTANCE, quad_segs=6).exterior, random)]
    trunks = Mesh()
    middle = hull.centroid
    row = hull.buffer(HEDGE_DISTANCE + TREE_DISTANCE, quad_segs=3).exterior
    for number in range(TREES):
        at = row.interpolate((number + random.uniform(-0.35, 0.35)) / TREES, normalized=True)
        radius, height, out = (random.uniform(*span) for span in (TREE_RADIUS, TREE_MIDDLE, (0.0, TREE_DISTANCE)))
        bearing = atan2(at.y - middle.y, at.x - middle.x)
        x, y = at.x + cos(bearing) * out, at.y + sin(bearing) * out
        trunks.prism(Point(x, y).buffer(radius * 0.07, quad_segs=2), 0.0, height)
        surfaces.append(crown(f"tree {number + 1}", (x, y, height), radius, f"tree {number}"))
    surfaces.append(trunks.surface("trunks", "Garden", "bark"))
    return surfaces


def _hedge(line: LinearRing, random: np.random.Generator) -> Surface:
    """Sweep the clipped section of a hedge along a closed line, uneven as growth is."""
    count = ceil(line.length / HEDGE_STEP)
    at = np.array([line.interpolate(i / count, normalized=True).coords[0] for i in range(count)])
    ahead = np.roll(at, -1, axis=0) - np.roll(at, 1, axis=0)
    aside = np.stack([ahead[:, 1], -ahead[:, 0]], axis=1) / np.linalg.norm(ahead, axis=1)[:, None]
    section = np.array(HEDGE_SECTION)
    phases = 2 * np.pi * np.arange(count)[:, None] / count * (5, 13, 31) + random.uniform(0, 2 * np.pi, 3)
    swell = 1.0 + 0.02 * np.sin(phases).sum(axis=1)
    uneven = random.uniform(-HEDGE_GROWTH, HEDGE_GROWTH, (2, count, len(section)))
    across = section[:, 0] * HEDGE_DEPTH * swell[:, None] + uneven[0]
    up = section[:, 1] * HEDGE_HEIGHT * swell[:, None] + uneven[1] * (section[:, 1] > 0)
    points = np.concatenate([at[:, None] + aside[:, None] * across[..., None], up[..., None]], axis=2)
    row, column = np.meshgrid(np.arange(count), np.arange(len(section) - 1), indexing="ij")
    following = (row + 1) % count
    corners = [(row, column + 1), (row, column), (following, column), (following, column + 1)]
    faces = np.stack([(i * len(section) + j).ravel() for i, j in corners], axis=1)
    return Surface(
        "hedge",
        "Garden",
        "foliage",
        tuple((x, y, z) for x, y, z in points.reshape(-1, 3).tolist()),
        tuple((a, b, c, d) for a, b, c, d in faces.tolist()),
        smooth=True,
    )

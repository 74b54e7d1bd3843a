"""Where plants stand: along the boundary, in its border, behind it, and grass over the lawn."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, ceil, cos, degrees, pi, sin

import numpy as np
import shapely
from shapely.geometry import LinearRing, Point, Polygon
from shapely.geometry.base import BaseGeometry

from . import plants
from .foliage import Array, Foliage
from .lawn import Terrain
from .levels import Level
from .model import Planting, Stand, Surface

HEDGE_DISTANCE = 9_000.0
"""From deck and house to the boundary [mm] (ours)."""
BORDER_DEPTH, BORDER_WAVE = 1_250.0, 350.0
"""How far the planted border reaches from the hedge, and how far its edge swings about that [mm] (ours)."""
PLANT_SPACING = 620.0
"""Between plants of a border [mm] (ours)."""
NEAR_TREES, FAR_TREES = 11, 26
NEAR_REACH, FAR_REACH = (3_000.0, 9_000.0), (17_000.0, 42_000.0)
NEAR_SIZE, FAR_SIZE = (0.72, 1.15), (1.5, 2.3)
"""Trees just behind the hedge and far off: how many, how far from it [mm], and how large (ours)."""
TREE_CLEARANCE = 3_600.0
"""From a tree of size 1 to a line of sight from high up [mm]."""
EDGE_GRASS, EDGE_DENSITY, EDGE_BLADE = 750.0, 3.6e-3, 3.6
"""The band of single blades along a deck: its width [mm], blades a mm2, and a blade's width [mm] (ours)."""
EDGE_BLADES = 110_000
"""At most; a longer edge has thinner grass (ours)."""
SEED = 7
"""The same garden for every site and run."""


def border_area(plot: Polygon) -> BaseGeometry:
    """Give the border inside a plot's hedge, its edge swinging in and out as borders are dug."""
    line = plot.exterior
    random = np.random.default_rng(SEED)
    count = max(48, ceil(line.length / 500.0))
    phases = random.uniform(0, 2 * pi, 2)
    inner = []
    for number in range(count):
        share = number / count
        at = line.interpolate(share, normalized=True)
        turns = (round(line.length / 9_000.0), round(line.length / 4_100.0))
        swing = sum(sin(2 * pi * turn * share + phase) for turn, phase in zip(turns, phases, strict=True)) / 2
        depth = BORDER_DEPTH + BORDER_WAVE * swing
        ahead, behind = (line.interpolate((share + step) % 1.0, normalized=True) for step in (1e-3, -1e-3))
        way = atan2(ahead.y - behind.y, ahead.x - behind.x)
        side = 1.0 if line.is_ccw else -1.0
        inner.append((at.x - side * depth * sin(way), at.y + side * depth * cos(way)))
    return plot.difference(shapely.make_valid(Polygon(inner)))


def plantings(
    plot: Polygon, lawn: BaseGeometry, terrain: Terrain, keep_clear: Sequence[BaseGeometry]
) -> tuple[Planting, ...]:
    """Plant a garden.

    Parameters
    ----------
    plot : Polygon
        The garden up to the middle of its hedge [mm].
    lawn : geometry
        Where grass grows [mm].
    terrain : Terrain
    keep_clear : sequence of geometry
        Lines that no tree may stand in the way of [mm].
    """
    random = np.random.default_rng(SEED)
    made: list[Planting] = []
    hedges = _along(plot.exterior)
    for variant in range(plants.VARIANTS):
        made.append(Planting(plants.hedge(variant), tuple(hedges[variant :: plants.VARIANTS])))
    made += _border(plot, random)
    stands = _trees(plot, random, NEAR_TREES, NEAR_REACH, NEAR_SIZE, keep_clear)
    stands += _trees(plot, random, FAR_TREES, FAR_REACH, FAR_SIZE, keep_clear)
    for variant in range(plants.VARIANTS):
        for shape in plants.tree(variant):
            made.append(Planting(shape, tuple(stands[variant :: plants.VARIANTS])))
    patches = _patches(lawn, terrain, random)
    for variant in range(plants.VARIANTS):
        made.append(Planting(plants.grass(variant), tuple(patches[variant :: plants.VARIANTS])))
    return tuple(each for each in made if each.stands)


def near_grass(lawn: BaseGeometry, levels: Sequence[Level], terrain: Terrain) -> Surface:
    """Grow single blades along the decks, where patches would reach over the boards."""
    foliage = Foliage(np.random.default_rng(SEED))
    band = shapely.union_all([level.filled for level in levels]).buffer(EDGE_GRASS).intersection(lawn)
    number = min(round(band.area * EDGE_DENSITY), EDGE_BLADES)
    west, south, east, north = band.bounds
    tried = ceil(number * (east - west) * (north - south) / max(band.area, 1.0))
    at = foliage.random.uniform((west, south), (east, north), (tried, 2))
    shapely.prepare(band)
    at = at[shapely.contains_xy(band, at[:, 0], at[:, 1])]
    roots = np.column_stack([at, terrain.heights(at) - 3.0])
    foliage.blades(roots, plants.GRASS_HEIGHT, EDGE_BLADE, plants.GRASS_LEAN)
    return foliage.surface("grass along the deck", "Garden", "grass")


def _along(line: LinearRing) -> list[Stand]:
    """Set lengths of hedge one after another along a closed line, their fronts inside."""
    count = round(line.length / plants.HEDGE_LENGTH)
    stands = []
    for number in range(count):
        start, end = (line.interpolate((number + step) / count % 1.0, normalized=True) for step in (0.0, 1.0))
        turn = degrees(atan2(end.y - start.y, end.x - start.x)) + (180.0 if line.is_ccw else 0.0)
        stands.append(Stand(((start.x + end.x) / 2, (start.y + end.y) / 2, 0.0), turn, 1.03))
    return stands


def _border(plot: Polygon, random: np.random.Generator) -> list[Planting]:
    """Plant a border in drifts, the tall plants behind the low ones."""
    kinds = plants.shrubs()
    stands: list[list[Stand]] = [[] for _ in kinds]
    rows = ((820.0, (0, 0, 1, 1, 5)), (1_230.0, (1, 2, 3, 4, 2, 3)))
    for depth, choices in rows:
        line = plot.buffer(-depth).exterior
        count = round(line.length / PLANT_SPACING)
        kind = choices[0]
        for number in range(count):
            if random.random() < 0.4:  # drifts of two or three alike
                kind = choices[random.integers(len(choices))]
            at = line.interpolate((number + random.uniform(-0.3, 0.3)) / count, normalized=True)
            x, y = at.x + random.normal(scale=70.0), at.y + random.normal(scale=70.0)
            stands[kind].append(Stand((x, y, 10.0), random.uniform(0, 360), random.uniform(0.75, 1.2)))
    return [Planting(shape, tuple(places)) for places, shapes in zip(stands, kinds, strict=True) for shape in shapes]


def _trees(
    plot: Polygon,
    random: np.random.Generator,
    number: int,
    reach: tuple[float, float],
    size: tuple[float, float],
    keep_clear: Sequence[BaseGeometry],
) -> list[Stand]:
    """Scatter trees round a plot, none in the way of a line of sight."""
    stands = []
    for place in range(number):
        line = plot.buffer(random.uniform(*reach)).exterior
        at = line.interpolate((place + random.uniform(-0.35, 0.35)) / number % 1.0, normalized=True)
        large = random.uniform(*size)
        turn = random.uniform(0, 360)
        if all(sight.distance(Point(at.x, at.y)) > TREE_CLEARANCE * large for sight in keep_clear):
            stands.append(Stand((at.x, at.y, 0.0), turn, large))
    return stands


def _patches(lawn: BaseGeometry, terrain: Terrain, random: np.random.Generator) -> list[Stand]:
    """Lay patches of grass wherever a whole one finds room, each turned by quarters so that none is seen twice."""
    west, south, east, north = lawn.bounds
    side = plants.GRASS_PATCH
    centres: Array = np.stack(
        np.meshgrid(np.arange(west, east, side) + side / 2, np.arange(south, north, side) + side / 2), axis=-1
    ).reshape(-1, 2)
    x, y, half = centres[:, 0], centres[:, 1], side / 2 + 20.0
    shapely.prepare(lawn)
    fits = shapely.contains(lawn, shapely.box(x - half, y - half, x + half, y + half))
    centres = centres[fits]
    turns = random.integers(4, size=len(centres)) * 90.0
    heights = terrain.heights(centres)
    return [
        Stand((px, py, pz), turn) for (px, py), pz, turn in zip(centres.tolist(), heights.tolist(), turns, strict=True)
    ]

"""The lawn's ground: level with the boards at a flush edge, lower at a fascia, a little uneven everywhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from .foliage import Array
from .levels import Level
from .mesh import triangles
from .model import Surface

CELL, CELLS = 400.0, 6_000
"""Least side of a cell of the ground [mm], and about how many there may be (ours)."""
BANK = 3_500.0
"""How far from a flush edge the ground falls away to the datum [mm] (ours)."""
TURF = 30.0
"""From the boards down to the ground beside a flush edge: the grass stands as high as the boards [mm] (ours)."""
BANKED_UP = 300.0
"""Up to this height of the boards a flush edge is banked up to; a higher deck stands free [mm] (ours)."""
UNEVEN = 9.0
SWELLS = ((2_300.0, 0.4), (1_450.0, 1.9), (860.0, 4.1))
"""How far ground strays from level [mm], and the length [mm] and bearing [rad] of its swells (ours)."""


@dataclass(frozen=True, slots=True)
class Terrain:
    """How high the garden's ground lies: lines where it is banked up, how high, and lines where it stays at datum."""

    raised: tuple[tuple[BaseGeometry, float], ...]
    low: BaseGeometry

    @classmethod
    def of(cls, levels: Sequence[Level], low: BaseGeometry) -> Terrain:
        """Take the terrain from the decks' edges; `low` are further lines and areas where it stays at datum."""
        raised = tuple(
            (level.flush, level.surface - TURF)
            for level in levels
            if not level.flush.is_empty and TURF < level.surface <= BANKED_UP
        )
        low = shapely.union_all([low, *(level.fascias for level in levels)])
        return cls(raised, low)

    def heights(self, points: Array) -> Array:
        """Give the height of the ground at places (n, 2) [mm above datum]."""
        places = shapely.points(points)
        heights = np.zeros(len(points))
        to_low = np.full(len(points), np.inf) if self.low.is_empty else shapely.distance(places, self.low)
        to_edge = to_low
        for line, top in self.raised:
            away = shapely.distance(places, line)
            to_edge = np.minimum(to_edge, away)
            share = np.clip(1.0 - away / BANK, 0.0, 1.0)
            bank = share * share * (3.0 - 2.0 * share)
            with np.errstate(invalid="ignore", divide="ignore"):
                near = np.where(np.isinf(to_low), 1.0, to_low / np.maximum(to_low + away, 1e-6))
            heights = np.maximum(heights, top * bank * np.clip(near, 0.0, 1.0))
        if self.low.is_empty and not self.raised:
            return heights
        fade = np.clip(to_edge / 600.0, 0.0, 1.0)
        for length, bearing in SWELLS:
            along = points @ (np.cos(bearing), np.sin(bearing))
            heights = heights + fade * UNEVEN / len(SWELLS) * np.sin(2 * np.pi * along / length)
        return heights


def lawn(area: BaseGeometry, terrain: Terrain) -> Surface:
    """Cover an area with ground in cells that share their corners, so that it shades without facets."""
    west, south, east, north = area.bounds
    side = max(CELL, ((east - west) * (north - south) / CELLS) ** 0.5)
    x, y = np.arange(west, east, side), np.arange(south, north, side)
    corners = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    cells = shapely.box(corners[:, 0], corners[:, 1], corners[:, 0] + side, corners[:, 1] + side)
    shapely.prepare(area)
    whole = shapely.contains_properly(area, cells)
    cut = shapely.intersects(area, cells) & ~whole
    faces: list[list[tuple[float, float]]] = []
    for x0, y0 in corners[whole].tolist():
        x1, y1 = x0 + side, y0 + side
        faces += [[(x0, y0), (x1, y0), (x1, y1)], [(x0, y0), (x1, y1), (x0, y1)]]
    for part in shapely.intersection(area, cells[cut]):
        faces += [list(each) for each in triangles(part)]
    return _smooth(faces, terrain)


def around(area: BaseGeometry, reach: float) -> BaseGeometry:
    """Give the level ground from an area out to a distance [mm] from its bounds."""
    west, south, east, north = area.bounds
    return box(west - reach, south - reach, east + reach, north + reach).difference(Polygon(area.exterior))


def _smooth(faces: list[list[tuple[float, float]]], terrain: Terrain) -> Surface:
    """Join faces at their common corners, at the ground's height."""
    numbers: dict[tuple[float, float], int] = {}
    joined = []
    for face in faces:
        indices = tuple(numbers.setdefault((round(x, 2), round(y, 2)), len(numbers)) for x, y in face)
        if len(set(indices)) == len(indices):
            joined.append(indices)
    points = np.array(list(numbers))
    heights = terrain.heights(points)
    used = sorted({index for face in joined for index in face})
    place = {index: number for number, index in enumerate(used)}
    vertices = tuple((float(points[i, 0]), float(points[i, 1]), round(float(heights[i]), 2)) for i in used)
    return Surface(
        "lawn", "Garden", "lawn", vertices, tuple(tuple(place[i] for i in face) for face in joined), smooth=True
    )

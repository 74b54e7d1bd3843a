"""The ground and what closes the garden: lawn, margins, a planted border, a hedge, and trees behind it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from .foliage import Array
from .lawn import Terrain, around, lawn
from .levels import Level
from .mesh import Mesh, rings
from .model import Planting, Surface
from .planting import HEDGE_DISTANCE, border_area, near_grass, plantings

OUTLYING = 60_000.0
"""How far the land reaches past the hedge [mm] (ours: to the horizon at eye height)."""
PAVING_WIDTH, PAVING_TOP = 450.0, 8.0
"""Width of the paving along walls that no deck reaches [mm] (common practice, no source)."""
MARGIN, MARGIN_UNDER, MARGIN_TOP = 170.0, 90.0, 14.0
"""The gravel at the foot of a fascia [mm]: how far it reaches out and in under the boards, and its level (ours; it
keeps the mower off and splashed soil away)."""
BED_TOP = 25.0
"""Level of the dug earth in a border [mm above datum] (ours)."""


@dataclass(frozen=True, slots=True)
class Garden:
    """Everything out of doors but house and deck."""

    surfaces: tuple[Surface, ...]
    plantings: tuple[Planting, ...]


def garden(levels: Sequence[Level], house: Polygon | None, keep_clear: Sequence[BaseGeometry] = ()) -> Garden:
    """Lay out ground, border, boundary and trees.

    Parameters
    ----------
    levels : sequence of Level
        The decks.
    house : Polygon or None
        Outer wall faces [mm].
    keep_clear : sequence of geometry
        Where no tree may stand in the way: lines of sight of cameras from high up [mm].
    """
    filled = shapely.union_all([level.filled for level in levels])
    whole = filled if house is None else shapely.union_all([filled, house])
    plot = whole.convex_hull.buffer(HEDGE_DISTANCE, quad_segs=6)
    paving = shapely.Polygon() if house is None else house.buffer(PAVING_WIDTH, join_style="mitre").difference(whole)
    gravel = _margins(levels, house)
    border = border_area(plot)
    terrain = Terrain.of(levels, shapely.union_all([paving, border.boundary]))
    grown = plot.difference(shapely.union_all([whole, paving, gravel, border]))
    surfaces = [lawn(grown, terrain), _soil(levels, house, terrain), near_grass(grown, levels, terrain)]
    for name, area, level, material in (
        ("paving", paving, PAVING_TOP, "paving"),
        ("gravel", gravel, MARGIN_TOP, "gravel"),
        ("border", border, BED_TOP, "soil"),
        ("land", around(plot, OUTLYING), 0.0, "lawn"),
    ):
        if area.is_empty:
            continue
        mesh = Mesh()
        mesh.floor(area, level)
        for part in shapely.get_parts(area) if name != "land" else ():
            for ring in rings(part):
                mesh.skirt(ring, -40.0, level)
        surfaces.append(mesh.surface(name, "Garden", material))
    return Garden(tuple(each for each in surfaces if each.faces), plantings(plot, grown, terrain, keep_clear))


def _margins(levels: Sequence[Level], house: Polygon | None) -> BaseGeometry:
    """Give the gravel along fascias: it runs on under the boards, so that no dark gap is seen beneath them."""
    parts = []
    for number, level in enumerate(levels):
        others = [other.filled for place, other in enumerate(levels) if place != number]
        taken = shapely.union_all(others if house is None else [*others, house])
        line = shapely.line_merge(level.fascias)
        outside = line.buffer(MARGIN, cap_style="flat", join_style="mitre").difference(level.filled)
        under = line.buffer(MARGIN_UNDER, cap_style="square").intersection(level.filled)
        parts.append(shapely.union_all([outside, under]).difference(taken))
    return shapely.union_all(parts)


def _soil(levels: Sequence[Level], house: Polygon | None, terrain: Terrain) -> Surface:
    """Dig the ground under each deck, and close the dig's sides up to the ground around it."""
    soil = Mesh()
    banked = {line for line, _ in terrain.raised}
    for level in levels:
        pit = level.filled if house is None else level.filled.difference(house)
        for part in shapely.get_parts(pit):
            for ring in rings(part):
                if level.soil < 0.0:
                    soil.skirt(ring[::-1], level.soil, 0.0)
        if level.flush in banked:
            for line in shapely.get_parts(level.flush):
                (x0, y0), (x1, y1) = line.coords[0], line.coords[-1]
                top = max(float(terrain.heights(_middle(line))[0]), 0.0)
                soil.face([(x0, y0, 0.0), (x1, y1, 0.0), (x1, y1, top), (x0, y0, top)])
        soil.floor(pit, min(level.soil, 2.0))
    return soil.surface("soil", "Garden", "soil")


def _middle(line: BaseGeometry) -> Array:
    middle: Array = shapely.get_coordinates(line.interpolate(0.5, normalized=True))
    return middle

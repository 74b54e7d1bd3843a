"""The walls beside a deck: cut from a model of the house, or drawn behind edges of the deck."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from ..errors import SiteError
from ..spec import Opening
from .cut import lines_at
from .lines import DIGITS, Ring, areas_within, loose_ends, straightened
from .model import Doorway, Floats, Solid

CRACK = 40.0
"""Cracks between the parts of a house that are no wider are closed [mm] (ours)."""
LEAST_HOUSE = 1.0
"""Walls round less than this are no house [m2] (ours)."""
DEPTH = 6_000.0
"""How deep a house is drawn behind wall edges [mm] (ours)."""
DOOR_REACH = 600.0
"""A door or window is this near to the wall that it is in [mm] (ours)."""
SLIDING_FROM, FOLDING_FROM = 1_300.0, 2_600.0
"""Widths from which a door is taken to slide or to fold [mm] (common practice, no source)."""
LEAF = 900.0
"""Width of a leaf, from which their number is guessed [mm] (common practice, no source)."""


def walls_at(parts: Sequence[Solid], doors: Sequence[Doorway], level: float, near: Polygon) -> tuple[Ring, float]:
    """Outer wall faces of a house at a level, and how high it stands.

    Parameters
    ----------
    parts : sequence of Solid
        All that makes the house.
    doors : sequence of Doorway
        They close the walls where these are open.
    level : float
        Top of the boards [mm above the ground].
    near : Polygon
        The deck: of several buildings, the one nearest to it is meant.

    Raises
    ------
    SiteError
        If nothing is cut at that level, or the walls do not close.
    """
    names = ", ".join(part.name for part in parts)
    segments = np.concatenate([lines_at(part, level) for part in parts])
    if not len(segments):
        heights = np.concatenate([part.vertices[:, 2] for part in parts])
        found = f"stands from {heights.min():.0f} to {heights.max():.0f} mm, the boards lie at {level:.0f} mm"
        raise SiteError(f"house '{names}'", found, "pick the walls, or mend the height of the outline")
    reaches = [_reach(door) for door in doors]
    covered = areas_within(np.concatenate([segments, *_bridges(loose_ends(segments), reaches)]))
    # Walls end at the jambs of a door that reaches down to the cut: what spans them has the walls' own faces.
    spans = [covered.intersection(reach).convex_hull for reach in reaches]
    # Outwards and back: cracks close, corners stay as they are.
    closed = shapely.union_all([covered, *spans]).buffer(CRACK / 2, join_style="mitre")
    closed = closed.buffer(-CRACK / 2, join_style="mitre")
    buildings = [Polygon(part.exterior) for part in shapely.get_parts(closed) if part.geom_type == "Polygon"]
    buildings = [each for each in buildings if each.area > LEAST_HOUSE * 1e6]
    if not buildings:
        ends = loose_ends(segments)
        where = f"the walls end at [{ends[0][0]:.0f}, {ends[0][1]:.0f}]" if ends else "the walls enclose nothing"
        raise SiteError(f"house '{names}'", f"{where}, {level:.0f} mm above the ground", "pick its doors too")
    outline = min(buildings, key=lambda each: (round(each.distance(near)), -each.area))
    ring = straightened(orient(outline).exterior.coords)
    height = max(float(part.vertices[:, 2].max()) for part in parts)
    return ring, round(height, DIGITS)


def _reach(door: Doorway) -> BaseGeometry:
    """The place of a door in plan, and a little of the walls beside it."""
    return shapely.MultiPoint(door.vertices[:, :2]).convex_hull.buffer(2 * CRACK, join_style="mitre")


def _bridges(ends: Sequence[tuple[float, float]], reaches: Sequence[BaseGeometry]) -> list[Floats]:
    """A line across each door between the two ends of walls that are drawn without thickness."""
    found = []
    for reach in reaches:
        beside = [end for end in ends if reach.covers(shapely.Point(end))]
        if len(beside) == 2:
            found.append(np.array([beside]))
    return found


def house_behind(outline: Ring, edges: Sequence[int]) -> Ring:
    """Walls of a plain house behind edges of a deck.

    Parameters
    ----------
    outline : tuple of (x, y)
        Of the deck, anticlockwise [mm].
    edges : sequence of int
        Numbers of the edges that stand at a wall; they follow each other.

    Raises
    ------
    SiteError
        If edges at the house do not follow each other.
    """
    count = len(outline)
    marked = set(edges)
    starts = [edge for edge in sorted(marked) if (edge - 1) % count not in marked]
    if len(starts) != 1:
        found = f"{len(starts)} stretches" if starts else "all edges"
        raise SiteError("edges at the house", found, "mark edges that follow each other, and leave one free")
    chain = [outline[(starts[0] + i) % count] for i in range(len(marked) + 1)]
    deck = Polygon(outline)
    # The deck lies to the left of its own edges, the house to the right.
    strip = LineString(chain).buffer(-DEPTH, single_sided=True, cap_style="flat", join_style="mitre")
    parts = shapely.get_parts(strip.buffer(0).difference(deck))
    line = LineString(chain).buffer(1.0)
    best = max(parts, key=lambda part: float(part.boundary.intersection(line).length))
    return straightened(orient(Polygon(best.exterior)).exterior.coords)


def opening_of(door: Doorway, walls: Ring, eaves: float) -> Opening | None:
    """A door or window as the wall nearest to it has it; None where no wall is near."""
    low, high = float(door.vertices[:, 2].min()), float(door.vertices[:, 2].max())
    plan: Floats = door.vertices[:, :2]
    middle = (plan.min(axis=0) + plan.max(axis=0)) / 2
    edges = [LineString([walls[i], walls[(i + 1) % len(walls)]]) for i in range(len(walls))]
    hull = shapely.MultiPoint(plan).convex_hull
    wall = min(
        range(len(edges)), key=lambda i: (round(edges[i].distance(hull)), edges[i].distance(shapely.Point(middle)))
    )
    if edges[wall].distance(hull) > DOOR_REACH:
        return None
    start, end = (np.array(corner) for corner in edges[wall].coords)
    length = float(np.linalg.norm(end - start))
    along = (plan - start) @ ((end - start) / length)
    first, last = max(float(along.min()), 0.0), min(float(along.max()), length)
    sill, head = max(low, 0.0), min(high, eaves)
    width, height = round(last - first, DIGITS), round(head - sill, DIGITS)
    if width <= 0 or height <= 0:
        return None
    kind = door.kind
    if kind == "auto":
        kind = "folding" if width >= FOLDING_FROM else "sliding" if width >= SLIDING_FROM else "door"
    leaves = 1 if kind == "door" else min(max(round(width / LEAF), 1), 12)
    return Opening(
        wall=wall,
        offset=round(first, DIGITS),
        width=width,
        height=height,
        sill=round(sill, DIGITS),
        kind=kind,
        leaves=leaves,
    )

"""The outline of a deck: read from a drawing, and set against the walls of the house."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import LinearRing, Point, Polygon
from shapely.geometry.polygon import orient

from ..errors import SiteError
from .lines import DIGITS, Ring, loose_ends, ring_areas, rounded, straightened
from .model import Drawing

LEVEL_WITHIN = 20.0
"""How far the corners of a drawn outline may differ in height [mm] (ours)."""
NEAR_WALL = 30.0
"""A corner of the outline nearer than this to a wall is meant to lie on it [mm] (ours)."""
NEAR_CORNER = 30.0
"""A corner of the outline nearer than this to a corner of the house is meant to be that corner [mm] (ours)."""


def outline_of(drawing: Drawing) -> tuple[Ring, tuple[Ring, ...], float]:
    """Outer line, openings and height of a drawn outline.

    Returns
    -------
    outer : tuple of (x, y)
        Anticlockwise, not closed [mm].
    openings : tuple of rings
    height : float
        Of its corners, above the ground [mm].

    Raises
    ------
    SiteError
        If the drawing is not level, does not close, or holds more than one outline.
    """
    named = f"deck outline '{drawing.name}'"
    segments = _segments(drawing)
    if not len(segments):
        raise SiteError(named, "holds no line", "draw a face, or a closed line, round the deck")
    used = np.unique(segments)
    heights = drawing.vertices[used, 2]
    if np.ptp(heights) > LEVEL_WITHIN:
        found = f"lies between {heights.min():.0f} and {heights.max():.0f} mm above the ground"
        raise SiteError(named, found, "draw it level; a second level is a deck of its own")
    plan = drawing.vertices[segments][..., :2]
    found_area = ring_areas(plan)
    parts = [part for part in shapely.get_parts(found_area) if part.area > 1.0]
    if not parts:
        ends = loose_ends(plan)
        where = f"the line ends at {_at(ends[0])}" if ends else "it encloses nothing"
        raise SiteError(named, where, "close the line")
    if len(parts) > 1:
        raise SiteError(named, f"{len(parts)} outlines in one object", "keep one deck to an object")
    (area,) = parts
    outer = straightened(orient(area).exterior.coords)
    openings = tuple(straightened(ring.coords) for ring in area.interiors)
    return outer, openings, round(float(np.mean(heights)), DIGITS)


def _segments(drawing: Drawing) -> npt.NDArray[np.int64]:
    """Edges that bound the drawing's faces, or its lines where it has none: (k, 2) places of vertices."""
    if not len(drawing.triangles):
        return np.asarray(drawing.lines, np.int64).reshape(-1, 2)
    # Corners that two faces have in the same place are one, or the line between the faces would bound both.
    places: dict[tuple[float, ...], int] = {}
    first = np.array([places.setdefault(tuple(np.round(v, 2).tolist()), i) for i, v in enumerate(drawing.vertices)])
    triangles = first[drawing.triangles]
    edges = Counter(
        tuple(sorted((int(a), int(b)))) for t in triangles for a, b in zip(t, np.roll(t, -1), strict=True) if a != b
    )
    return np.array([edge for edge, count in edges.items() if count == 1], np.int64).reshape(-1, 2)


def set_against(outline: Ring, walls: Ring) -> tuple[Ring, list[str]]:
    """The outline with what was meant to lie on walls lying on them.

    Corners near a wall are moved onto it, what lies in the house is taken off, and a corner is put wherever a wall
    ends beside an edge.

    Parameters
    ----------
    outline, walls : tuple of (x, y)
        [mm], not closed.

    Returns
    -------
    outline : tuple of (x, y)
    told : list of str
        What was changed, in words.

    Raises
    ------
    SiteError
        If nothing of the outline lies outside the house.
    """
    house = Polygon(walls)
    corners, furthest = [], 0.0
    for point in outline:
        placed = _placed(point, walls)
        furthest = max(furthest, math.dist(point, placed))
        corners.append(placed)
    told = [f"The outline was moved by up to {furthest:.0f} mm to lie on the walls"] if furthest >= 1.0 else []
    area = Polygon(corners).buffer(0)
    left = max(shapely.get_parts(area.difference(house)), key=lambda part: float(part.area), default=Polygon())
    if left.area < 1.0:
        raise SiteError("deck outline", "lies in the house", "draw it outside the walls")
    taken = (area.area - left.area) / 1e6
    if taken >= 0.01:
        told.append(f"{taken:.2f} m² of the outline lay in the house and were taken off")
    ring = straightened(orient(Polygon(left.exterior)).exterior.coords)
    return _with_wall_ends(ring, walls), told


def _placed(point: tuple[float, float], walls: Ring) -> tuple[float, float]:
    """The point, or the corner or place of a wall that it was meant to be."""
    corner = min(walls, key=lambda each: math.dist(each, point))
    if math.dist(corner, point) <= NEAR_CORNER:
        return corner
    line = LinearRing(walls)
    if line.distance(Point(point)) > NEAR_WALL:
        return point
    foot = line.interpolate(line.project(Point(point)))
    return float(foot.x), float(foot.y)


def _with_wall_ends(ring: Ring, walls: Ring) -> Ring:
    """The ring with a corner wherever a corner of the house lies on one of its edges."""
    done = []
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        done.append(start)
        edge = shapely.LineString([start, end])
        between = [c for c in walls if edge.distance(Point(c)) < 1.0 < min(math.dist(c, p) for p in (start, end))]
        done += [rounded(corner) for corner in sorted(between, key=lambda corner: math.dist(corner, start))]
    return tuple(done)


def _at(point: tuple[float, float]) -> str:
    return f"[{point[0]:.0f}, {point[1]:.0f}]"

"""Houses, posts and outlines as a modeller would hand them over: triangles in mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from courseline.engine.takein import Doorway, Drawing, Solid
from courseline.engine.takein.model import Floats
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

Ring = Sequence[tuple[float, float]]


def prism(name: str, area: BaseGeometry, low: float, high: float, kind: str = "other") -> Solid:
    """An upright prism over an area, holes and all, capped at both ends."""
    vertices: list[tuple[float, float, float]] = []
    triangles: list[tuple[int, int, int]] = []
    for part in shapely.get_parts(area):
        for ring in (part.exterior, *part.interiors):
            points = list(ring.coords)[:-1]
            for start, end in zip(points, [*points[1:], points[0]], strict=True):
                at = len(vertices)
                vertices += [(*start, low), (*end, low), (*end, high), (*start, high)]
                triangles += [(at, at + 1, at + 2), (at, at + 2, at + 3)]
        for face in shapely.get_parts(shapely.constrained_delaunay_triangles(part)):
            for z in (low, high):
                at = len(vertices)
                vertices += [(x, y, z) for x, y in list(face.exterior.coords)[:3]]
                triangles.append((at, at + 1, at + 2))
    return Solid(name, np.array(vertices, float), np.array(triangles), kind)  # type: ignore[arg-type]


def hollow(name: str, walls: Ring, high: float, thick: float = 300.0, gaps: BaseGeometry | None = None) -> Solid:
    """A house with walls of a thickness, open where `gaps` lie."""
    shell = Polygon(walls).difference(Polygon(walls).buffer(-thick, join_style="mitre"))
    return prism(name, shell if gaps is None else shell.difference(gaps), 0.0, high)


def flat(name: str, outline: Ring, height: float, holes: Sequence[Ring] = ()) -> Drawing:
    """A deck outline drawn as one face, cut into triangles as a modeller does."""
    faces = shapely.get_parts(shapely.constrained_delaunay_triangles(Polygon(outline, holes)))
    points = sorted({point for face in faces for point in face.exterior.coords})
    triangles = [[points.index(p) for p in list(face.exterior.coords)[:3]] for face in faces]
    vertices = np.array([(x, y, height) for x, y in points], float)
    return Drawing(name, vertices, np.zeros((0, 2), int), np.array(triangles))


def line(name: str, outline: Ring, height: float, closed: bool = True) -> Drawing:
    """A deck outline drawn as a line."""
    count = len(outline)
    edges = [(i, (i + 1) % count) for i in range(count if closed else count - 1)]
    return Drawing(name, np.array([(x, y, height) for x, y in outline], float), np.array(edges))


def turned(vertices: Floats, degrees: float, shift: tuple[float, float]) -> Floats:
    """Points turned about the origin in plan, then moved."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    moved = vertices @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])
    return moved + np.array([*shift, 0.0])


def door(name: str, start: tuple[float, float], end: tuple[float, float], sill: float, head: float) -> Doorway:
    """A door as a thin leaf from one jamb to the other, 20 mm before the wall to 60 mm behind."""
    run = np.subtract(end, start) / np.hypot(*np.subtract(end, start))
    out = np.array([run[1], -run[0]])
    corners = [np.add(p, out * d) for p in (start, end) for d in (20.0, -60.0)]
    return Doorway(name, np.array([(*c, z) for c in corners for z in (sill, head)], float))

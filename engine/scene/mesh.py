"""Flat faces, put together one by one into a `Surface`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import hypot

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ..plan import Point2, Point3
from .model import Surface

Triple = tuple[float, float, float]


@dataclass(slots=True)
class Mesh:
    """Faces under construction; every face has corners of its own, so that it shades flat.

    Faces that are given no `uv` get a flat map [mm]: along the face and up for a wall, x and y for a floor.
    """

    vertices: list[Point3] = field(default_factory=list)
    faces: list[tuple[int, ...]] = field(default_factory=list)
    uv: list[Point2] = field(default_factory=list)
    tags: list[Triple] = field(default_factory=list)

    def face(
        self, corners: Sequence[Point3], uv: Sequence[Point2] | None = None, tag: Triple = (0.0, 0.0, 0.0)
    ) -> None:
        """Add one flat face, its corners anticlockwise as seen from its front [mm]."""
        first = len(self.vertices)
        self.vertices.extend(corners)
        self.faces.append(tuple(range(first, first + len(corners))))
        self.uv.extend(uv if uv is not None else flat_uv(corners))
        self.tags.append(tag)

    def box(self, origin: Point3, x: Triple, y: Triple, z: Triple) -> None:
        """Add a box from one corner and its three edge vectors [mm], which are right-handed."""

        def at(i: int, j: int, k: int) -> Point3:
            return (
                origin[0] + i * x[0] + j * y[0] + k * z[0],
                origin[1] + i * x[1] + j * y[1] + k * z[1],
                origin[2] + i * x[2] + j * y[2] + k * z[2],
            )

        for side in _BOX_SIDES:
            self.face([at(*corner) for corner in side])

    def floor(self, area: BaseGeometry, z: float, *, up: bool = True) -> None:
        """Add a level polygon, seen from above or, with `up` false, from below [mm]."""
        for triangle in triangles(area):
            self.face([(x, y, z) for x, y in (triangle if up else triangle[::-1])])

    def skirt(self, ring: Sequence[Point2], bottom: float, top: float) -> None:
        """Add upright faces along a closed line that runs anticlockwise round what stands behind them [mm]."""
        run = 0.0
        for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
            length = hypot(x1 - x0, y1 - y0)
            corners = [(x0, y0, bottom), (x1, y1, bottom), (x1, y1, top), (x0, y0, top)]
            self.face(corners, [(run, bottom), (run + length, bottom), (run + length, top), (run, top)])
            run += length

    def prism(self, area: Polygon, bottom: float, top: float) -> None:
        """Add an upright prism, open underneath [mm]."""
        self.floor(area, top)
        for ring in rings(area):
            self.skirt(ring, bottom, top)

    def surface(self, name: str, group: str, material: str, *, smooth: bool = False) -> Surface:
        """Close the mesh as one named surface of a material."""
        return Surface(
            name,
            group,
            material,
            tuple(self.vertices),
            tuple(self.faces),
            tuple(self.uv),
            tuple(self.tags),
            smooth,
        )


_BOX_SIDES = (
    ((0, 0, 0), (0, 1, 0), (1, 1, 0), (1, 0, 0)),
    ((0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 1, 1)),
    ((0, 0, 0), (1, 0, 0), (1, 0, 1), (0, 0, 1)),
    ((1, 0, 0), (1, 1, 0), (1, 1, 1), (1, 0, 1)),
    ((1, 1, 0), (0, 1, 0), (0, 1, 1), (1, 1, 1)),
    ((0, 1, 0), (0, 0, 0), (0, 0, 1), (0, 1, 1)),
)


def flat_uv(corners: Sequence[Point3]) -> list[Point2]:
    """Map a flat face by its own plane [mm]: u level along it, v up it; x and y where it lies level."""
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = corners[0], corners[1], corners[-1]
    nx = (by - ay) * (cz - az) - (bz - az) * (cy - ay)
    ny = (bz - az) * (cx - ax) - (bx - ax) * (cz - az)
    nz = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    level, whole = hypot(nx, ny), hypot(nx, ny, nz)
    if whole == 0.0 or level < 1e-6 * whole:
        return [(x, y) for x, y, _ in corners]
    ux, uy, rise = -ny / level, nx / level, level / whole
    vx, vy = -nx / level * nz / whole, -ny / level * nz / whole
    return [(x * ux + y * uy, x * vx + y * vy + z * rise) for x, y, z in corners]


def rings(area: Polygon) -> list[list[Point2]]:
    """Give the rings of a polygon, not closed: the outer one anticlockwise, holes clockwise."""
    turned = shapely.orient_polygons(area)
    return [[(x, y) for x, y in ring.coords[:-1]] for ring in (turned.exterior, *turned.interiors)]


def triangles(area: BaseGeometry) -> Iterable[list[Point2]]:
    """Cut an area into anticlockwise triangles that use no corners but its own."""
    for triangle in shapely.get_parts(shapely.constrained_delaunay_triangles(area)):
        a, b, c = triangle.exterior.coords[:3]
        turn = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        yield [a, b, c] if turn > 0 else [a, c, b]

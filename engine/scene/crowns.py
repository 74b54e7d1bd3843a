"""Foliage: rounded shapes with an uneven surface, for crowns of trees and for hedges."""

from __future__ import annotations

from functools import lru_cache
from zlib import crc32

import numpy as np
import numpy.typing as npt

from ..plan import Point3
from .model import Surface

Array = npt.NDArray[np.float64]
LUMPS = 7
"""Rounded shapes that make up a crown (ours: few enough to stay light, enough not to look like a ball)."""
CROWN_SPLITS, HEDGE_SPLITS = 2, 1
"""How often the faces of the icosahedron are split."""


def crown(name: str, middle: Point3, radius: float, seed: str) -> Surface:
    """Build a tree's crown.

    Parameters
    ----------
    name : str
    middle : tuple of float
        Its centre [mm].
    radius : float
        [mm]
    seed : str
        Crowns of the same seed are alike.
    """
    random = np.random.default_rng(crc32(seed.encode()))
    spots = [np.zeros(3)]
    for _ in range(LUMPS - 1):
        way = random.normal(size=3)
        spots.append(way / np.linalg.norm(way) * random.uniform(0.45, 0.7) * (1.0, 1.0, 0.75))
    sizes = [0.72, *random.uniform(0.38, 0.6, LUMPS - 1)]
    lumps = [(np.array(middle) + spot * radius, size * radius) for spot, size in zip(spots, sizes, strict=True)]
    return foliage(name, lumps, random, CROWN_SPLITS)


def foliage(name: str, lumps: list[tuple[Array, float]], random: np.random.Generator, splits: int) -> Surface:
    """Join uneven balls, each a centre and a radius [mm], into one surface."""
    points, faces = _sphere(splits)
    vertices: list[Point3] = []
    corners: list[tuple[int, int, int]] = []
    for centre, radius in lumps:
        swell = 1.0 + random.uniform(-0.16, 0.16, (len(points), 1))
        first = len(vertices)
        vertices += [(x, y, z) for x, y, z in (points * swell * radius + centre).tolist()]
        corners += [(a, b, c) for a, b, c in (faces + first).tolist()]
    return Surface(name, "Garden", "foliage", tuple(vertices), tuple(corners), smooth=True)


@lru_cache(maxsize=4)
def _sphere(splits: int) -> tuple[Array, npt.NDArray[np.int64]]:
    """Give an icosphere: (n, 3) points at distance 1 and (m, 3) anticlockwise faces."""
    golden = (1 + 5**0.5) / 2
    points = [(x, y, 0.0) for x in (-1.0, 1.0) for y in (-golden, golden)]
    points = points + [(0.0, a, b) for a, b, _ in points] + [(b, 0.0, a) for a, b, _ in points]
    corners = np.array(points) / np.hypot(1, golden)
    edge = min(np.linalg.norm(corners[0] - other) for other in corners[1:])
    near = np.linalg.norm(corners[:, None] - corners[None], axis=2) < edge * 1.01
    faces = [
        (a, b, c)
        for a in range(12)
        for b in range(a + 1, 12)
        for c in range(b + 1, 12)
        if near[a, b] and near[b, c] and near[a, c]
    ]
    faces = [
        (a, b, c) if np.dot(np.cross(corners[b] - corners[a], corners[c] - corners[a]), corners[a]) > 0 else (a, c, b)
        for a, b, c in faces
    ]
    vertices = [np.asarray(corner) for corner in corners]
    for _ in range(splits):
        middles: dict[tuple[int, int], int] = {}

        def middle(a: int, b: int, middles: dict[tuple[int, int], int] = middles) -> int:
            key = (min(a, b), max(a, b))
            if key not in middles:
                between = vertices[a] + vertices[b]
                vertices.append(between / np.linalg.norm(between))
                middles[key] = len(vertices) - 1
            return middles[key]

        split = []
        for a, b, c in faces:
            ab, bc, ca = middle(a, b), middle(b, c), middle(c, a)
            split += [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
        faces = split
    return np.array(vertices), np.array(faces)

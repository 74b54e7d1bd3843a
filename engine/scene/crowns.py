"""Crowns of trees: rounded shapes with an uneven surface."""

from __future__ import annotations

from functools import lru_cache
from zlib import crc32

import numpy as np
import numpy.typing as npt

from ..plan import Point3
from .model import Surface

Array = npt.NDArray[np.float64]
LUMPS = 9
"""Rounded shapes that make up a crown (ours: few enough to stay light, enough not to look like a ball)."""
SPLITS = 2
"""How often the faces of the icosahedron are split."""


def crown(name: str, middle: Point3, radius: float, seed: str) -> Surface:
    """Build a tree's crown of rounded shapes about a larger one.

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
    ways = random.normal(size=(LUMPS, 3))
    spots = ways / np.linalg.norm(ways, axis=1)[:, None] * random.uniform(0.5, 0.8, (LUMPS, 1)) * (1.0, 1.0, 0.8)
    sizes = random.uniform(0.28, 0.5, LUMPS)
    spots[0], sizes[0] = 0.0, 0.7
    points, faces = _sphere()
    swell = 1.0 + random.uniform(-0.14, 0.14, (LUMPS, len(points), 1))
    vertices = np.array(middle) + radius * (spots[:, None] + points * swell * sizes[:, None, None])
    corners = faces + len(points) * np.arange(LUMPS)[:, None, None]
    return Surface(
        name,
        "Garden",
        "foliage",
        tuple((x, y, z) for x, y, z in vertices.reshape(-1, 3).tolist()),
        tuple((a, b, c) for a, b, c in corners.reshape(-1, 3).tolist()),
        smooth=True,
    )


@lru_cache(maxsize=1)
def _sphere() -> tuple[Array, npt.NDArray[np.int64]]:
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
    for _ in range(SPLITS):
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

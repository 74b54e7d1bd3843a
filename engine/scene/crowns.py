"""Crowns of trees: clumps of leaves round a middle, ragged at the outside and open to the sky between the clumps."""

from __future__ import annotations

from zlib import crc32

import numpy as np

from ..plan import Point3
from .foliage import Foliage, on_sphere
from .model import Surface

CLUMPS, LEAVES_IN_CLUMP = 95, 125
"""Of a crown (ours: few enough to stay light, enough not to be counted)."""
CLUMP_RADIUS = (0.16, 0.32)
"""Least and greatest, as a share of the crown's (ours)."""
LEAF = (0.075, 0.046)
"""Length and width of a leaf as shares of the crown's radius: a spray of leaves rather than one (ours)."""
FLATNESS = 1.02
"""Height of a crown as a share of its breadth (ours)."""


def crown(name: str, middle: Point3, radius: float, seed: str) -> Surface:
    """Grow a tree's crown.

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
    foliage = Foliage(random)
    grow_crown(foliage, middle, radius)
    return foliage.surface(name, "Garden", "foliage")


def grow_crown(foliage: Foliage, middle: Point3, radius: float) -> None:
    """Add the leaves of a crown to foliage under construction [mm]."""
    random = foliage.random
    ways = on_sphere(random, CLUMPS)
    # None right underneath, where the shade is too deep for leaves.
    ways[:, 2] = np.where(ways[:, 2] < -0.75, -ways[:, 2], ways[:, 2])
    reach = random.uniform(0.35, 1.0, CLUMPS) ** 0.5
    sizes = random.uniform(*CLUMP_RADIUS, CLUMPS)
    squash = (1.0, 1.0, FLATNESS)
    spots = ways * (reach - sizes * 0.5)[:, None] * squash
    out = on_sphere(random, CLUMPS * LEAVES_IN_CLUMP)
    out[:, 2] = np.where(out[:, 2] < -0.5, -out[:, 2], out[:, 2])
    distance = random.uniform(0.25, 1.0, len(out)) ** 0.5
    at = np.repeat(spots, LEAVES_IN_CLUMP, axis=0)
    at = at + out * (distance * np.repeat(sizes, LEAVES_IN_CLUMP))[:, None] * (1.0, 1.0, 0.75)
    facing = out * 0.8 + at * 0.6 + (0.0, 0.0, 0.7) + random.normal(scale=0.45, size=at.shape)
    depth = np.clip(np.linalg.norm(at / squash, axis=1) * 0.75 + distance * 0.35, 0.0, 1.0)
    size = (LEAF[0] * radius, LEAF[1] * radius)
    foliage.leaves(np.array(middle) + radius * at, facing, size, depth)

"""Plants that are drawn once and stand in many places: trees, a length of hedge, shrubs, a patch of grass.

Each grows about an origin on the ground [mm] and is the same on every site.
"""

from __future__ import annotations

from functools import cache
from math import cos, pi, sin

import numpy as np

from ..plan import Point3
from .crowns import grow_crown
from .foliage import Array, Foliage, on_sphere
from .mesh import Mesh
from .model import Surface

GROUP = "Garden"
CROWN_RADIUS, CROWN_MIDDLE = 2_600.0, 4_300.0
LIMBS = 7
HEDGE_LENGTH, HEDGE_HEIGHT, HEDGE_DEPTH = 1_000.0, 1_900.0, 800.0
HEDGE_LEAVES, HEDGE_LEAF = 5_200, (58.0, 34.0)
HEDGE_RAGGED = 45.0
"""How far leaves stray from the clipped faces [mm]."""
GRASS_PATCH, GRASS_BLADES, GRASS_WIDTH = 1_000.0, 2_600, 6.0
GRASS_HEIGHT, GRASS_LEAN = (18.0, 42.0), 0.7
"""Side of a patch of grass [mm], the blades on it, their width and height [mm], and how far they lean. All of these and
the plants below are ours, judged by eye."""
VARIANTS = 3
UP = np.array((0.0, 0.0, 1.0))


@cache
def tree(variant: int) -> tuple[Surface, Surface]:
    """Grow a tree: crown, and trunk with limbs."""
    random = np.random.default_rng(100 + variant)
    foliage, wood = Foliage(random), Mesh()
    grow_crown(foliage, (0.0, 0.0, CROWN_MIDDLE), CROWN_RADIUS)
    _limb(wood, (0.0, 0.0, -100.0), (40.0, 20.0, CROWN_MIDDLE - 900.0), (190.0, 120.0))
    for number in range(LIMBS):
        turn = 2 * pi * (number + random.uniform(-0.3, 0.3)) / LIMBS
        start = random.uniform(CROWN_MIDDLE - 2_300.0, CROWN_MIDDLE - 950.0)
        out, up = random.uniform(900.0, 1_700.0), random.uniform(700.0, 1_700.0)
        _limb(wood, (20.0, 10.0, start), (out * cos(turn), out * sin(turn), start + up), (80.0, 25.0))
    return (
        foliage.surface(f"tree {variant} crown", GROUP, "foliage"),
        wood.surface(f"tree {variant} wood", GROUP, "bark"),
    )


@cache
def hedge(variant: int) -> Surface:
    """Grow a length of clipped hedge along x, its front to the right of it (-y)."""
    random = np.random.default_rng(200 + variant)
    foliage = Foliage(random)
    # A dark heart, so that no one sees through: large leaves deep inside.
    inside = random.uniform((-0.5, -0.28, 0.0), (0.5, 0.28, 0.93), (320, 3)) * (HEDGE_LENGTH, HEDGE_DEPTH, HEDGE_HEIGHT)
    foliage.leaves(inside, on_sphere(random, len(inside)), (330.0, 260.0), 0.0)
    faces = ((0.46, (0.0, -1.0)), (0.22, (0.0, 1.0)), (0.32, (1.0, 0.0)))
    for share, (up, out) in faces:
        number = round(HEDGE_LEAVES * share)
        along, over = random.uniform(-0.52, 0.52, number), random.uniform(0.0, 1.0, number)
        stray = random.normal(scale=HEDGE_RAGGED, size=number)
        if up:
            at = np.stack([along * HEDGE_LENGTH, (over - 0.5) * HEDGE_DEPTH, HEDGE_HEIGHT + stray], axis=1)
            # Shoulders are worn round.
            at[:, 2] -= 120.0 * np.abs(2 * over - 1) ** 4
        else:
            # A little wider at the foot than at the top, as hedges are clipped.
            half = HEDGE_DEPTH * (0.54 - 0.06 * over)
            at = np.stack([along * HEDGE_LENGTH, out * half + out * stray, 20.0 + over * HEDGE_HEIGHT], axis=1)
        facing = np.array([0.0, out, 0.55 + up]) + random.normal(scale=0.5, size=at.shape)
        depth = np.clip(0.72 + stray / HEDGE_RAGGED * 0.2, 0.15, 1.0)
        foliage.leaves(at, facing, HEDGE_LEAF, depth)
    return foliage.surface(f"hedge {variant}", GROUP, "foliage")


@cache
def shrubs() -> tuple[tuple[Surface, ...], ...]:
    """Grow the plants of a border, the tallest first; each of leaves and perhaps flowers."""
    return (
        (_bush("shrub tall", 31, (520.0, 750.0), 1500, (85.0, 42.0), "foliage dark"),),
        (_bush("shrub round", 32, (520.0, 480.0), 1700, (46.0, 26.0), "foliage"),),
        (_bush("shrub grey", 33, (420.0, 340.0), 1500, (50.0, 14.0), "foliage grey"),),
        _flowering("perennial blue", 34, (300.0, 420.0), "flower blue"),
        _flowering("perennial white", 35, (330.0, 360.0), "flower white"),
        (_clump("ornamental grass", 36, 750.0),),
    )


@cache
def grass(variant: int) -> Surface:
    """Grow a square patch of mown grass about its middle."""
    foliage = Foliage(np.random.default_rng(300 + variant))
    at = foliage.random.uniform(-GRASS_PATCH / 2, GRASS_PATCH / 2, (GRASS_BLADES, 3))
    at[:, 2] = -4.0
    foliage.blades(at, GRASS_HEIGHT, GRASS_WIDTH, GRASS_LEAN)
    return foliage.surface(f"grass {variant}", GROUP, "grass")


def _bush(name: str, seed: int, size: tuple[float, float], count: int, leaf: tuple[float, float], of: str) -> Surface:
    """Grow a rounded bush of a radius and a half-height [mm], out of shape as bushes are."""
    foliage = Foliage(np.random.default_rng(seed))
    _mound(foliage, size, count, leaf)
    return foliage.surface(name, GROUP, of)


def _mound(foliage: Foliage, size: tuple[float, float], count: int, leaf: tuple[float, float]) -> Array:
    """Cover a mound with leaves; return where they grow."""
    random = foliage.random
    way = on_sphere(random, count)
    distance = random.uniform(0.2, 1.0, count) ** 0.4
    turn = np.arctan2(way[:, 1], way[:, 0])
    swell = 1 + 0.13 * np.sin(3 * turn + random.uniform(0, 6)) + 0.10 * np.sin(5 * turn + 4 * way[:, 2])
    at: Array = way * (distance * swell)[:, None] * (size[0], size[0], size[1]) + (0.0, 0.0, size[1] * 0.92)
    at[:, 2] = np.abs(at[:, 2])
    facing = way + UP * 0.6 + random.normal(scale=0.45, size=at.shape)
    foliage.leaves(at, facing, leaf, np.clip(distance, 0.1, 1.0))
    return at


def _flowering(name: str, seed: int, size: tuple[float, float], flower: str) -> tuple[Surface, Surface]:
    """Grow a low plant with flowers over its leaves."""
    leaves = Foliage(np.random.default_rng(seed))
    at = _mound(leaves, (size[0], size[1] / 2), 800, (55.0, 16.0))
    bloom = Foliage(leaves.random)
    heads = at[at[:, 2] > size[1] * 0.62][:110] + UP * 60.0
    spread = np.repeat(heads, 4, axis=0) + bloom.random.normal(scale=16.0, size=(4 * len(heads), 3))
    facing = on_sphere(bloom.random, len(spread)) + UP * 0.8
    bloom.leaves(spread, facing, (26.0, 18.0), 1.0)
    return leaves.surface(name, GROUP, "foliage"), bloom.surface(f"{name} flowers", GROUP, flower)


def _clump(name: str, seed: int, height: float) -> Surface:
    """Grow a clump of tall grass that arches over."""
    foliage = Foliage(np.random.default_rng(seed))
    at = foliage.random.normal(scale=90.0, size=(420, 3))
    at[:, 2] = -10.0
    foliage.blades(at, (0.55 * height, height), 13.0, 0.9)
    return foliage.surface(name, GROUP, "foliage")


def _limb(wood: Mesh, start: Point3, end: Point3, radii: tuple[float, float], sides: int = 7) -> None:
    """Draw a tapering limb; it never runs level."""
    rounds = [(cos(2 * pi * i / sides), sin(2 * pi * i / sides)) for i in range(sides)]
    for (ax, ay), (bx, by) in zip(rounds, [*rounds[1:], rounds[0]], strict=True):
        (x0, y0, z0), (x1, y1, z1), (r0, r1) = start, end, radii
        wood.face(
            [
                (x0 + ax * r0, y0 + ay * r0, z0),
                (x0 + bx * r0, y0 + by * r0, z0),
                (x1 + bx * r1, y1 + by * r1, z1),
                (x1 + ax * r1, y1 + ay * r1, z1),
            ]
        )

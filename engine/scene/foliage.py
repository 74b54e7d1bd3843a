"""Leaves and blades, each a small face of its own, gathered into meshes.

Terminology
-----------
leaf    a four-cornered face, base to tip along its fold.
blade   a three-cornered face standing on the ground: grass.
depth   how far out on its plant a leaf grows: 0 deep inside, 1 at the outside, where the light is.

Tags of a face are its chance in [0, 1), its depth, and 0.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from .model import Surface

Array = npt.NDArray[np.float64]
FOLD = 0.22
"""How far the sides of a leaf rise from its fold, as a share of its width (ours)."""
DROOP = 0.25
"""How far the tip hangs below the plane of the leaf, as a share of its length (ours)."""


@dataclass(slots=True)
class Foliage:
    """Leaves and blades under construction; lengths in mm."""

    random: np.random.Generator
    points: list[Array] = field(default_factory=list)
    faces: list[npt.NDArray[np.int64]] = field(default_factory=list)
    tags: list[Array] = field(default_factory=list)
    count: int = 0

    def leaves(self, at: Array, facing: Array, size: tuple[float, float], depth: Array | float) -> None:
        """Grow a leaf at each place.

        Parameters
        ----------
        at : ndarray
            (n, 3) [mm]
        facing : ndarray
            (n, 3), the way its upper face looks; any length.
        size : tuple of float
            Length and width [mm].
        depth : ndarray or float
            (n,)
        """
        number = len(at)
        normal = unit(facing)
        along = unit(np.cross(normal, self.random.normal(size=(number, 3))))
        aside = np.cross(normal, along)
        length, width = (side * self.random.uniform(0.7, 1.25, (number, 1)) for side in size)
        middle = normal * width * FOLD
        corners = (
            at - along * length / 2,
            at + aside * width / 2 + middle,
            at + along * length / 2 - normal * length * DROOP,
            at - aside * width / 2 + middle,
        )
        self._add(np.stack(corners, axis=1), depth)

    def blades(self, at: Array, height: tuple[float, float], width: float, lean: float) -> None:
        """Grow a blade of grass at each place on the ground, (n, 3), leaning any way by up to `lean` of its height."""
        number = len(at)
        tall = self.random.uniform(*height, (number, 1))
        turn = self.random.uniform(0, 2 * np.pi, number)
        across = np.stack([np.cos(turn), np.sin(turn), np.zeros(number)], axis=1) * width / 2
        tips = self.random.normal(scale=lean / 2, size=(number, 3)) * tall
        tips[:, 2] = tall[:, 0]
        self._add(np.stack([at - across, at + across, at + tips], axis=1), 1.0)

    def surface(self, name: str, group: str, material: str) -> Surface:
        """Close the mesh as one named surface of a material."""
        points = np.concatenate(self.points) if self.points else np.zeros((0, 3))
        tags = np.concatenate(self.tags) if self.tags else np.zeros((0, 3))
        return Surface(
            name,
            group,
            material,
            tuple(map(tuple, points.round(2).tolist())),
            tuple(tuple(face) for faces in self.faces for face in faces.tolist()),
            tags=tuple(map(tuple, tags.round(4).tolist())),
        )

    def _add(self, corners: Array, depth: Array | float) -> None:
        number, sides = corners.shape[:2]
        self.points.append(corners.reshape(-1, 3))
        self.faces.append(self.count + np.arange(number * sides).reshape(number, sides))
        chance = self.random.uniform(0, 1, number)
        self.tags.append(np.stack([chance, np.broadcast_to(depth, number), np.zeros(number)], axis=1))
        self.count += number * sides


def unit(vectors: Array) -> Array:
    """Scale vectors (n, 3) to length 1."""
    scaled: Array = vectors / np.maximum(np.linalg.norm(vectors, axis=1), 1e-9)[:, None]
    return scaled


def on_sphere(random: np.random.Generator, number: int) -> Array:
    """Give even random directions, (number, 3)."""
    return unit(random.normal(size=(number, 3)))

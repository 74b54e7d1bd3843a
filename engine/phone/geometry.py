"""Faces into the triangles and the axes that viewers take."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from .model import Array, Meshed

METRE = 1000.0
"""Viewers count in metres [mm]."""
LEAST = 1e-4
"""Area below which a triangle shows nothing [mm2]: trapezoids may have a side of no length (ours)."""


@dataclass(frozen=True, slots=True, eq=False)
class Triangles:
    """Corners (n, 3) [m] with y up, their normals (n, 3) and uv (n, 2), and triangles (m, 3) of them, front outwards.

    All as single-precision numbers, as the files hold them.
    """

    corners: npt.NDArray[np.float32]
    normals: npt.NDArray[np.float32]
    uv: npt.NDArray[np.float32]
    indices: npt.NDArray[np.uint32]


def triangulated(mesh: Meshed) -> Triangles:
    """Cut the convex faces of a mesh into triangles, each corner with the normal of its face."""
    starts = np.cumsum(mesh.sizes) - mesh.sizes
    fans = []
    for size in np.unique(mesh.sizes):
        first = starts[mesh.sizes == size][:, None]
        for step in range(1, int(size) - 1):
            fans.append(np.concatenate([first, first + step, first + step + 1], axis=1))
    indices = np.concatenate(fans)
    indices = indices[np.lexsort((indices[:, 1], indices[:, 0]))]
    a, b, c = (mesh.corners[indices[:, i]] for i in range(3))
    cross = np.cross(b - a, c - a)
    shows = np.linalg.norm(cross, axis=1) > 2 * LEAST
    indices, cross = indices[shows], cross[shows]
    # A face that is not quite flat, such as a gutter's, gets the mean of its triangles.
    face = np.repeat(np.arange(len(mesh.sizes)), mesh.sizes)
    normals = np.zeros((len(mesh.sizes), 3))
    np.add.at(normals, face[indices[:, 0]], cross)
    size = np.linalg.norm(normals, axis=1, keepdims=True)
    normals = np.where(size > 0, normals / np.where(size > 0, size, 1.0), (0.0, 0.0, 1.0))[face]
    used, indices = np.unique(indices, return_inverse=True)
    return Triangles(
        corners=_y_up(mesh.corners[used] / METRE),
        normals=_y_up(normals[used]),
        uv=mesh.uv[used].astype(np.float32),
        indices=indices.reshape(-1, 3).astype(np.uint32),
    )


def _y_up(vectors: Array) -> npt.NDArray[np.float32]:
    """Turn from z up to y up: what lay towards +y now lies towards -z."""
    return np.column_stack([vectors[:, 0], vectors[:, 2], -vectors[:, 1]]).astype(np.float32)

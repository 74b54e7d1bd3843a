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

SLANT = 0.9
"""A normal with less than this of an axis is not along it."""


@dataclass(frozen=True, slots=True, eq=False)
class Triangles:
    """Corners (n, 3) [m] with y up, their normals (n, 3) and uv (n, 2), and triangles (m, 3) of them, front outwards.

    `tangents` (n, 4) tell which way u runs over the surface, square to the normal, and whether v runs as the normal
    turned on the tangent does (1) or the other way (-1): so far as pictures have a relief it is read by them.

    All as single-precision numbers, as the files hold them.
    """

    corners: npt.NDArray[np.float32]
    normals: npt.NDArray[np.float32]
    uv: npt.NDArray[np.float32]
    tangents: npt.NDArray[np.float32]
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
    tangents = _tangents(mesh, indices, face, normals)
    used, indices = np.unique(indices, return_inverse=True)
    return Triangles(
        corners=_y_up(mesh.corners[used] / METRE),
        normals=_y_up(normals[used]),
        uv=mesh.uv[used].astype(np.float32),
        tangents=np.column_stack([_y_up(tangents[used, :3]), tangents[used, 3].astype(np.float32)]),
        indices=indices.reshape(-1, 3).astype(np.uint32),
    )


def _tangents(mesh: Meshed, indices: npt.NDArray[np.int64], face: npt.NDArray[np.int64], normals: Array) -> Array:
    """For every corner which way u grows on its face, and the side on which v does: (n, 4)."""
    a, b, c = indices.T
    along, across = mesh.corners[b] - mesh.corners[a], mesh.corners[c] - mesh.corners[a]
    (du0, dv0), (du1, dv1) = (mesh.uv[b] - mesh.uv[a]).T, (mesh.uv[c] - mesh.uv[a]).T
    turned = du0 * dv1 - du1 * dv0
    # Weighed by their size in the picture, so that one of no size there, which knows no way, says nothing.
    ways, sides = np.zeros((len(mesh.sizes), 3)), np.zeros(len(mesh.sizes))
    np.add.at(ways, face[a], np.sign(turned)[:, None] * (along * dv1[:, None] - across * dv0[:, None]))
    np.add.at(sides, face[a], turned)
    ways = ways[face]
    ways -= (ways * normals).sum(axis=1, keepdims=True) * normals
    size = np.linalg.norm(ways, axis=1, keepdims=True)
    any_way = np.cross(normals, np.where(np.abs(normals[:, :1]) < SLANT, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
    any_way /= np.linalg.norm(any_way, axis=1, keepdims=True)
    ways = np.where(size > 0, ways / np.where(size > 0, size, 1.0), any_way)
    return np.column_stack([ways, np.where(sides[face] < 0, -1.0, 1.0)])


def _y_up(vectors: Array) -> npt.NDArray[np.float32]:
    """Turn from z up to y up: what lay towards +y now lies towards -z."""
    return np.column_stack([vectors[:, 0], vectors[:, 2], -vectors[:, 1]]).astype(np.float32)

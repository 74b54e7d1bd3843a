"""Frame members and clips as boxes, screw heads as discs, all at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from .model import Block, FixingShape

Array = npt.NDArray[np.float64]

_SIGNS = np.array([[x, y, z] for z in (-0.5, 0.5) for x, y in ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5))])
BOX_FACES = np.array([(0, 3, 2, 1), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)])
"""Corners of a box's six faces, anticlockwise from outside."""
HEAD_SIDES = 8
"""Corners of a screw's head, which looks round at the size at which it is seen (ours)."""
HEAD_FACES: tuple[tuple[int, ...], ...] = (
    tuple(range(HEAD_SIDES)),
    *((HEAD_SIDES + i, HEAD_SIDES + (i + 1) % HEAD_SIDES, (i + 1) % HEAD_SIDES, i) for i in range(HEAD_SIDES)),
)
"""Corners of a head's faces, anticlockwise from outside: its face, then its rim; it has no back."""
_FACE_AXES = ((0, 1), (0, 1), (0, 2), (1, 2), (0, 2), (1, 2))
"""Which of along, across and up run level and up each of them."""


def member_boxes(blocks: Sequence[Block]) -> tuple[Array, Array]:
    """Box in frame members.

    Returns
    -------
    corners : ndarray
        (n, 8, 3) [mm]; a level member's depth stands upright.
    local : ndarray
        (n, 8, 3) [mm] the same corners along, across and up the member.
    """
    if not blocks:
        return np.zeros((0, 8, 3)), np.zeros((0, 8, 3))
    start, end = (np.array([getattr(block, name) for block in blocks], float) for name in ("start", "end"))
    line = end - start
    length = np.linalg.norm(line, axis=1)
    along = line / length[:, None]
    level = np.hypot(along[:, 0], along[:, 1])
    # A post has no level direction of its own: it stands square to the axes of the site.
    across = np.where(
        level[:, None] > 1e-6, np.stack([-along[:, 1], along[:, 0], np.zeros(len(blocks))], axis=1), (0, 1, 0)
    )
    across = across / np.linalg.norm(across, axis=1)[:, None]
    section = np.array([block.section for block in blocks], float)
    size = np.concatenate([length[:, None], section], axis=1)
    return _boxes((start + end) / 2, size, np.stack([along, across, np.cross(along, across)], axis=1))


def fixing_boxes(fixings: Sequence[FixingShape]) -> tuple[Array, Array]:
    """Box in fixings: corners in the site and along, across and up each of them, (n, 8, 3) [mm]."""
    if not fixings:
        return np.zeros((0, 8, 3)), np.zeros((0, 8, 3))
    centre, size, axes = _placed(fixings)
    return _boxes(centre, size, axes)


def screw_heads(fixings: Sequence[FixingShape]) -> Array:
    """Corners of screw heads in the site, (n, 2 * HEAD_SIDES, 3) [mm]: those of the face, then those behind them.

    A head looks up, or out to the right of its angle where its size is least across.
    """
    turn = 2 * np.pi * (np.arange(HEAD_SIDES) + 0.5) / HEAD_SIDES
    disc = np.stack([np.cos(turn) / 2, np.sin(turn) / 2, np.full(HEAD_SIDES, 0.5)], axis=1)
    lying = np.concatenate([disc, disc * (1.0, 1.0, -1.0)])
    if not fixings:
        return np.zeros((0, len(lying), 3))
    centre, size, axes = _placed(fixings)
    upright = np.stack([lying[:, 0], -lying[:, 2], lying[:, 1]], axis=1)
    shares = np.where((size[:, 1] < size[:, 2])[:, None, None], upright, lying)
    corners: Array = centre[:, None] + (shares * size[:, None]) @ axes
    return corners


def box_uv(local: Array) -> Array:
    """Map boxes: along or across for u, across or up for v, (n, 6, 4, 2) [mm]."""
    return np.stack([local[:, corners][..., axes] for corners, axes in zip(BOX_FACES, _FACE_AXES, strict=True)], axis=1)


def _placed(fixings: Sequence[FixingShape]) -> tuple[Array, Array, Array]:
    """Centres, sizes, and unit vectors along, across and up of fixings."""
    angle = np.radians([fixing.angle for fixing in fixings])
    none, one = np.zeros(len(angle)), np.ones(len(angle))
    along = np.stack([np.cos(angle), np.sin(angle), none], axis=1)
    across = np.stack([-np.sin(angle), np.cos(angle), none], axis=1)
    up = np.stack([none, none, one], axis=1)
    centre = np.array([fixing.at for fixing in fixings], float)
    size = np.array([fixing.size for fixing in fixings], float)
    return centre, size, np.stack([along, across, up], axis=1)


def _boxes(centre: Array, size: Array, axes: Array) -> tuple[Array, Array]:
    local = _SIGNS[None] * size[:, None]
    return centre[:, None] + local @ axes, local

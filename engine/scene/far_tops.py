"""Tops of grooved boards as one sees them from afar: where grooves are too fine for a picture to hold, a flat face.

A picture whose pixels are coarser than the grooves shows ripples that are not there. So a flat face lies just over the
grooves, for the camera alone, and its material lets them through where they can be told apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ..spec import Side
from .board_mesh import Array, JoinedBoards, axes_of, join_boards
from .model import BoardShape
from .profile import top_profile

LIFT = 0.2
"""How far over the grooves the flat face lies [mm]: no more than keeps the two apart (ours)."""
LEVEL = 1e-6
"""How far below the top of its board a face between the arrises may be [mm] (ours)."""


def far_tops(boards: Sequence[BoardShape]) -> JoinedBoards:
    """Mesh the faces between the arrises of the grooved among some boards; parameters and result as `join_boards`."""
    grooved = [_lifted(board) for board in boards if board.face == "grooved"]
    return _level_faces(join_boards(grooved, _ungrooved))


def _ungrooved(width: float, _face: Side) -> Array:
    return top_profile(width, "grain")


def _lifted(board: BoardShape) -> BoardShape:
    x, y, z = (np.array(board.origin) + LIFT * axes_of(board)[2]).tolist()
    return replace(board, origin=(x, y, z), hollow=False)


def _level_faces(joined: JoinedBoards) -> JoinedBoards:
    """Keep the faces all of whose corners are at the top of their board."""
    if not len(joined.corners):
        return joined
    starts = np.concatenate([[0], np.cumsum(joined.corners)[:-1]])
    kept = np.minimum.reduceat(joined.board_co[:, 2], starts) > -LEVEL
    corners = np.repeat(kept, joined.corners)
    return replace(
        joined,
        vertices=joined.vertices[corners],
        board_co=joined.board_co[corners],
        corners=joined.corners[kept],
        piece=joined.piece[kept],
        is_end=joined.is_end[kept],
        is_open=joined.is_open[kept],
    )

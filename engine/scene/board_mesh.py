"""Boards as one joined mesh: any outline, with holes, under a grooved or plain top.

Each outline is cut across at every break of the top's profile and at every corner of its own, so that what lies
between two cuts is trapezoids: exact for notches, mitres, scribes and rips alike.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from hashlib import blake2b

import numpy as np
import numpy.typing as npt

from ..spec import Side
from .board_ends import Face, hollow_end
from .model import BoardShape
from .profile import chambers, top_profile

Array = npt.NDArray[np.float64]

GRID = 6
"""Places of a millimetre that tell one cut across from the next (ours)."""


@dataclass(frozen=True, slots=True)
class JoinedBoards:
    """All boards of a deck in one mesh.

    Attributes
    ----------
    vertices : ndarray
        (n, 3) [mm] in site axes.
    board_co : ndarray
        (n, 3) [mm] along the stock board, across from its centre line, up from its top face.
    corners : ndarray
        (faces,) number of corners of each face; faces take their corners from `vertices` in turn.
    piece : ndarray
        (faces,) place of the face's board in the sequence that was joined.
    is_end : ndarray
        (faces,) bool: whether the face shows the board's core: a sawn one, or the inside of a chamber.
    is_open : ndarray
        (faces,) bool: whether the face is a side along the edge of the deck, which is seen from the garden.
    randoms : ndarray
        (boards, 3) in [0, 1), the same for all pieces of a stock board.
    across : ndarray
        (boards, 3) the direction across each board, of length 1, in site axes.
    """

    vertices: Array
    board_co: Array
    corners: npt.NDArray[np.int32]
    piece: npt.NDArray[np.int32]
    is_end: npt.NDArray[np.bool_]
    is_open: npt.NDArray[np.bool_]
    randoms: Array
    across: Array


def join_boards(boards: Sequence[BoardShape], profile_of: Callable[[float, Side], Array] = top_profile) -> JoinedBoards:
    """Mesh the boards, one after the other, into one set of arrays; `profile_of` draws their tops (see `profile`)."""
    vertices, coordinates, corners, piece, is_end, is_open = [], [], [], [], [], []
    for number, board in enumerate(boards):
        local, sizes, ends, opens = _board(board, profile_of(board.width, board.face))
        vertices.append(local @ axes_of(board) + board.origin)
        coordinates.append(local + np.array([board.from_end, 0.0, 0.0]))
        corners.append(sizes)
        piece.append(np.full(len(sizes), number, np.int32))
        is_end.append(ends)
        is_open.append(opens)
    if not vertices:
        none = np.zeros((0, 3))
        empty, no = np.zeros(0, np.int32), np.zeros(0, np.bool_)
        return JoinedBoards(none, none, empty, empty, no, no, none, none)
    return JoinedBoards(
        np.concatenate(vertices),
        np.concatenate(coordinates),
        np.concatenate(corners),
        np.concatenate(piece),
        np.concatenate(is_end),
        np.concatenate(is_open),
        np.array([randoms(board.stock or board.id) for board in boards]),
        np.array([axes_of(board)[1] for board in boards]),
    )


def randoms(key: str) -> tuple[float, float, float]:
    """Give three numbers in [0, 1) that belong to a name, the same on every machine."""
    digest = blake2b(key.encode(), digest_size=12).digest()
    first, second, third = (int.from_bytes(digest[i : i + 4], "big") / 2**32 for i in (0, 4, 8))
    return first, second, third


def axes_of(board: BoardShape) -> Array:
    """Give the directions along, across and up from the face of a board in site axes, one a row."""
    c, s = np.cos(np.radians(board.angle)), np.sin(np.radians(board.angle))
    if board.upright:
        return np.array([[c, s, 0.0], [0.0, 0.0, 1.0], [s, -c, 0.0]])
    return np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])


def _board(
    board: BoardShape,
    profile: Array,
) -> tuple[Array, npt.NDArray[np.int32], npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
    """Mesh one board in board coordinates: corners of its faces in turn, their counts, which are sawn, which open."""
    # On the grid of the cuts: a side that is level but for its last digits is else met far beyond its ends.
    outlines = [np.round(np.array(ring, float), GRID) for ring in (board.polygon.outer, *board.polygon.holes)]
    edges = np.concatenate([np.stack([ring, np.roll(ring, -1, axis=0)], axis=1) for ring in outlines])
    top = _trapezoids(edges, profile[:, 0])
    up = np.interp(top[..., 1], profile[:, 0], profile[:, 1])
    bottom = _trapezoids(edges, np.zeros(0))[:, ::-1]
    faces: list[Face] = [
        *np.concatenate([top, up[..., None]], axis=2),
        *np.concatenate([bottom, np.full((*bottom.shape[:2], 1), -board.thickness)], axis=2),
    ]
    sawn, opened = [False] * len(faces), [False] * len(faces)
    hollows = chambers(board.width, board.thickness) if board.hollow else ()
    for number, (start, end) in enumerate(edges):
        across = bool(abs(end[1] - start[1]) > 1e-3 * abs(end[0] - start[0]))
        side = _side(start, end, profile, board.thickness)
        seen = number < len(board.open_sides) and board.open_sides[number]
        parts = hollow_end(side, edges, number, hollows) if across and seen else [side]
        faces += parts
        sawn += [across or not _is_works_edge(start, end, board.width)] * len(parts)
        opened += [seen] * len(parts)
    sizes = np.fromiter(map(len, faces), np.int32, len(faces))
    return _bevelled(np.concatenate(faces), board), sizes, np.array(sawn, np.bool_), np.array(opened, np.bool_)


def _is_works_edge(start: Array, end: Array, width: float) -> bool:
    """Tell whether a side is one that the board was made with, and not a rip or the side of a notch."""
    return bool(min(abs(start[1]), abs(end[1])) > width / 2 - 1e-3)


def _bevelled(points: Array, board: BoardShape) -> Array:
    """Lean the ends of a board: what lies deeper below its face reaches further along, or less far."""
    if not any(board.bevel):
        return points
    share = (points[:, 0] - points[:, 0].min()) / np.ptp(points[:, 0])
    lean = (1 - share) * board.bevel[0] + share * board.bevel[1]
    return np.column_stack([points[:, 0] - points[:, 2] / board.thickness * lean, points[:, 1:]])


def _trapezoids(edges: Array, breaks: Array) -> Array:
    """Cut an outline into trapezoids between level lines.

    Parameters
    ----------
    edges : ndarray
        (n, 2, 2) the outline's edges, holes' with them; [..., 1] is the coordinate that the cuts run level in.
    breaks : ndarray
        (m,) where to cut besides at the corners.

    Returns
    -------
    ndarray
        (k, 4, 2), anticlockwise.
    """
    low, high = edges[..., 1].min(), edges[..., 1].max()
    levels = np.unique(np.round(np.concatenate([edges[:, 0, 1], breaks[(breaks > low) & (breaks < high)]]), GRID))
    below, above = levels[:-1], levels[1:]
    middle = (below + above) / 2
    start, end = edges[:, 0], edges[:, 1]
    lowest, highest = np.minimum(start[:, 1], end[:, 1]), np.maximum(start[:, 1], end[:, 1])
    crosses = (lowest[None] < middle[:, None]) & (middle[:, None] < highest[None])
    rise = np.where(end[:, 1] == start[:, 1], 1.0, end[:, 1] - start[:, 1])
    slope = (end[:, 0] - start[:, 0]) / rise
    at_middle = np.where(crosses, start[:, 0] + (middle[:, None] - start[:, 1]) * slope, np.inf)
    order = np.argsort(at_middle, axis=1, kind="stable")
    pieces = []
    counts = crosses.sum(axis=1)
    for pair in range(int(counts.max(initial=0)) // 2):
        rows = np.nonzero(counts >= 2 * pair + 2)[0]
        left, right = order[rows, 2 * pair], order[rows, 2 * pair + 1]
        corner = [
            np.stack([start[edge, 0] + (level - start[edge, 1]) * slope[edge], level], axis=1)
            for edge, level in ((left, below[rows]), (right, below[rows]), (right, above[rows]), (left, above[rows]))
        ]
        pieces.append(np.stack(corner, axis=1))
    return np.concatenate(pieces) if pieces else np.zeros((0, 4, 2))


def _side(start: Array, end: Array, profile: Array, thickness: float) -> Array:
    """Give the upright face under one edge of the outline, its top following the profile."""
    low, high = sorted((start[1], end[1]))
    inner = profile[(profile[:, 0] > low + 1e-6) & (profile[:, 0] < high - 1e-6), 0]
    if end[1] < start[1]:
        inner = inner[::-1]
    share = (inner - start[1]) / (end[1] - start[1]) if len(inner) else inner
    across = np.concatenate([[start[1]], inner, [end[1]]])
    along = np.concatenate([[start[0]], start[0] + share * (end[0] - start[0]), [end[0]]])
    up = np.interp(across, profile[:, 0], profile[:, 1])
    top = np.stack([along, across, up], axis=1)
    foot = np.array([[start[0], start[1], -thickness], [end[0], end[1], -thickness]])
    return np.concatenate([foot, top[::-1]])

"""Sound pieces: plain rectangles that lie soundly on members square to them, looked at all at once.

Nearly every piece of a deck is one, and needs no more than its bounds and those of the members that it crosses. Any
other piece, and one of these that lacks something, is looked at by itself: `support.py` says what then bears it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.strtree import STRtree

from ..layout.bodies import OVERHANG
from ..layout.chords import Bools, Floats, Ints
from ..layout.pieces import LaidPiece
from .intervals import JOINED, in_order
from .resting import LEAST_SEAT, lie_along, lie_square
from .support import TOLERANCE


@dataclass(frozen=True, slots=True)
class Sound:
    """For each piece, whether it lacks nothing for certain, and if so its widest clear bay [mm]."""

    pieces: Bools
    bay: Floats

    @property
    def widest(self) -> float:
        """Widest clear bay under any of the sound pieces [mm]; 0 without any."""
        return float(self.bay[self.pieces].max(initial=0.0))


def sound_pieces(
    pieces: Sequence[LaidPiece], members: NDArray[np.object_], clear: float, bays: int, breadth: float
) -> Sound:
    """Find the rectangles that bear on members across their whole width, and on enough bays of at most `clear`.

    Parameters
    ----------
    pieces : sequence of LaidPiece
        Pieces in the axes of the members.
    members : (n,) array of Polygon
        Footprints of the frame's members.
    clear : float
        Widest clear bay allowed [mm].
    bays : int
        Least number of bays under a piece; members nearer to each other than half of `breadth` bound none.
    """
    sound, widest = np.zeros(len(pieces), dtype=bool), np.zeros(len(pieces))
    if not len(pieces) or not len(members):
        return Sound(sound, widest)
    shapes: NDArray[np.object_] = np.array([piece.polygon for piece in pieces], dtype=object)
    plain = np.array([piece.whole for piece in pieces])
    board, member = _lying_over(shapes, members)
    start, bottom, end, top = shapely.bounds(shapes)[board].T
    left, low, right, high = shapely.bounds(members)[member].T
    crossed = lie_square(members)[member] & (low <= bottom) & (high >= top)
    plain[board[~crossed]] = False
    kept = plain[board]
    board, width = board[kept], (top - bottom)[kept]
    left, right = np.maximum(left, start)[kept], np.minimum(right, end)[kept]
    seated = ((right - left) * width >= LEAST_SEAT) & ~lie_along(members)[member[kept]]
    first, last, open_, reached = in_order(board, left, right)
    np.maximum.at(widest, board, np.where(~first & (open_ > JOINED), open_, 0.0))
    overhang = np.zeros(len(pieces))
    np.maximum.at(overhang, board[first], left[first] - start[kept][first])
    np.maximum.at(overhang, board[last], end[kept][last] - reached[last])
    *_, apart, _ = in_order(board[seated], left[seated], right[seated])
    lines = np.bincount(board[seated], apart > breadth / 2, len(pieces))
    sound = plain & (lines - 1 >= bays) & (widest <= clear + TOLERANCE) & (overhang <= OVERHANG)
    return Sound(sound, widest)


def _lying_over(shapes: NDArray[np.object_], members: NDArray[np.object_]) -> tuple[Ints, Ints]:
    """Pairs of a piece and a member whose bounds overlap, by piece and then from low u to high."""
    board, member = STRtree(members).query(shapes)
    over, under = shapely.bounds(shapes)[board], shapely.bounds(members)[member]
    overlap = (over[:, :2] < under[:, 2:]).all(axis=1) & (under[:, :2] < over[:, 2:]).all(axis=1)
    board, member, under = board[overlap], member[overlap], under[overlap]
    order = np.lexsort((under[:, 2], under[:, 0], board))
    return board[order], member[order]

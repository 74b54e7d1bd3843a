"""The end of a hollow board: a face with its chambers left out, and the chambers' walls behind it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

Face = npt.NDArray[np.float64]
"""Corners of a face, (n, 3) [mm]: along, across, up; anticlockwise as seen from outside the board."""

SEEN_DEPTH = 60.0
"""How far into a chamber one can see [mm]: it is closed there, and dark (ours)."""
SHARE = 0.4
"""Most of the room to the next cut that a chamber drawn takes up, so that two from opposite ends never meet (ours)."""


def hollow_end(side: Face, edges: Face, number: int, chambers: Sequence[Face]) -> list[Face]:
    """Open the chambers that an end cuts through from side to side.

    A chamber that the end leaves in part, as beside a notch, stays closed: what is left of it would be seen
    lengthwise only, down a gap.

    Parameters
    ----------
    side : ndarray
        (n, 3) [mm] the whole end face: its foot from start to end, then its top back from end to start.
    edges : ndarray
        (m, 2, 2) [mm] all edges of the piece's outline, along and across.
    number : int
        Which of them the end stands on.
    chambers : sequence of ndarray
        Outlines (8, 2) [mm], across and up, from left to right (see `profile.chambers`).

    Returns
    -------
    list of ndarray
        The end's faces, then those inside its chambers.
    """
    start, end = edges[number]
    rising = bool(end[1] > start[1])
    low, high = min(start[1], end[1]), max(start[1], end[1])
    cut = [outline for outline in chambers if outline[:, 0].min() > low and outline[:, 0].max() < high]
    if not cut:
        return [side]
    slope = (end[0] - start[0]) / (end[1] - start[1])

    def on_end(points: Face) -> Face:
        return np.column_stack([start[0] + (points[:, 0] - start[1]) * slope, points])

    inwards = -1.0 if rising else 1.0
    top = side[2:][:, 1:]
    top = top[::-1] if rising else top  # from left to right
    foot = side[0, 2]
    flat: list[Face] = []
    at = low
    for outline in cut:
        flat += [_column(top, foot, at, outline[7, 0]), *_above_and_below(top, foot, outline)]
        at = outline[2, 0]
    flat.append(_column(top, foot, at, high))
    faces = [on_end(face if rising else face[::-1]) for face in flat]
    for outline in cut:
        mouth = on_end(outline)
        depth = _depth(edges, mouth, inwards)
        back = mouth + np.array([inwards * depth, 0.0, 0.0])
        walls = [np.stack([mouth[i - 1], mouth[i], back[i], back[i - 1]]) for i in range(len(mouth))]
        faces += [wall if rising else wall[::-1] for wall in walls]
        faces.append(back if rising else back[::-1])
    return faces


def _column(top: Face, foot: float, left: float, right: float) -> Face:
    """Give the part of an end between two places across, from its foot to its top."""
    return np.concatenate([[(left, foot), (right, foot)], _along_top(top, left, right)[::-1]])


def _above_and_below(top: Face, foot: float, outline: Face) -> tuple[Face, Face]:
    """Give the parts of an end over and under a chamber."""
    left, right = outline[7, 0], outline[2, 0]
    under = np.concatenate([[(left, foot), (right, foot)], outline[[2, 1, 0, 7]]])
    over = np.concatenate([_along_top(top, left, right)[::-1], outline[[6, 5, 4, 3]]])
    return over, under


def _along_top(top: Face, left: float, right: float) -> Face:
    """Give the line of the top between two places across, from left to right."""
    inner = top[(top[:, 0] > left) & (top[:, 0] < right)]
    ends = np.interp([left, right], top[:, 0], top[:, 1])
    return np.concatenate([[(left, ends[0])], inner, [(right, ends[1])]])


def _depth(edges: Face, mouth: Face, inwards: float) -> float:
    """Say how deep to draw a chamber so that it stays well within the piece [mm]."""
    least = SEEN_DEPTH
    low, high = edges[..., 1].min(axis=1), edges[..., 1].max(axis=1)
    for along, across, _ in mouth:
        crossed = edges[(low < across) & (across < high)]
        share = (across - crossed[:, 0, 1]) / (crossed[:, 1, 1] - crossed[:, 0, 1])
        room = inwards * (crossed[:, 0, 0] + share * (crossed[:, 1, 0] - crossed[:, 0, 0]) - along)
        least = min(least, SHARE * room[room > 1e-6].min(initial=np.inf))
    return least

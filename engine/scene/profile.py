"""The cross-section of a board: its top's arrises and grooves, as a height for each place across, and its chambers."""

from __future__ import annotations

from functools import lru_cache
from math import cos, pi, sin

import numpy as np
import numpy.typing as npt

from ..spec import Side

ARRIS = 2.5
"""Radius of the long arrises [mm] (common practice, no source)."""
ARRIS_STEPS = 3
GROOVE_PITCH, GROOVE_TOP, GROOVE_BOTTOM, GROOVE_DEPTH = 9.0, 4.4, 3.4, 2.4
"""Routed grooves [mm]: spacing, width at the top and at the bottom, depth (common practice, no source)."""
PLAIN_MARGIN = 7.0
"""Ungrooved strip along each arris [mm] (common practice, no source)."""


FLANGE, WEB, SIDE_WALL, CHAMBER = 5.0, 4.5, 7.0, 15.0
"""Walls of a hollow board above and below its chambers, between them and at its sides, and about how wide a chamber
is [mm] (common practice, no source)."""
CHAMFER = 2.5
"""Cut off a chamber's corners [mm], which are drawn round in the works (common practice, no source)."""


def groove_count(width: float) -> int:
    """Say how many grooves a board of a width [mm] has."""
    return int((width - 2 * PLAIN_MARGIN) // GROOVE_PITCH)


@lru_cache(maxsize=16)
def chambers(width: float, thickness: float) -> tuple[npt.NDArray[np.float64], ...]:
    """Draw the chambers of a hollow board.

    Parameters
    ----------
    width, thickness : float
        Of the whole board [mm].

    Returns
    -------
    tuple of ndarray
        One outline (8, 2) [mm] for each chamber, from left to right: across from the centre line and up from the top
        face, anticlockwise from the left end of its floor. None in a board too thin for any.
    """
    low, high = FLANGE - thickness, -FLANGE
    room = width - 2 * SIDE_WALL
    count = round((room + WEB) / (CHAMBER + WEB))
    if high - low <= 2 * CHAMFER or count < 1:
        return ()
    wide = (room + WEB) / count - WEB
    outlines = []
    for number in range(count):
        left = SIDE_WALL - width / 2 + number * (wide + WEB)
        right = left + wide
        points = [
            (left + CHAMFER, low), (right - CHAMFER, low), (right, low + CHAMFER), (right, high - CHAMFER),
            (right - CHAMFER, high), (left + CHAMFER, high), (left, high - CHAMFER), (left, low + CHAMFER),
        ]  # fmt: skip
        outline = np.array(points)
        outline.setflags(write=False)
        outlines.append(outline)
    return tuple(outlines)


@lru_cache(maxsize=16)
def top_profile(width: float, face: Side) -> npt.NDArray[np.float64]:
    """Draw the top of a board.

    Parameters
    ----------
    width : float
        Of the whole board [mm].
    face : {"grain", "grooved"}

    Returns
    -------
    ndarray
        (n, 2) [mm]: across from the centre line, rising, and up from the top face (never above 0).
    """
    half = width / 2
    arris = [
        (-half + ARRIS * (1 - cos(turn)), -ARRIS * (1 - sin(turn)))
        for turn in (pi / 2 * step / ARRIS_STEPS for step in range(ARRIS_STEPS + 1))
    ]
    points = list(arris)
    if face == "grooved":
        count = groove_count(width)
        for number in range(count):
            middle = (number - (count - 1) / 2) * GROOVE_PITCH
            points += [
                (middle - GROOVE_TOP / 2, 0.0),
                (middle - GROOVE_BOTTOM / 2, -GROOVE_DEPTH),
                (middle + GROOVE_BOTTOM / 2, -GROOVE_DEPTH),
                (middle + GROOVE_TOP / 2, 0.0),
            ]
    points += [(-across, up) for across, up in reversed(arris)]
    profile = np.array(points)
    profile.setflags(write=False)
    return profile


def flat_profile(width: float, _face: Side) -> npt.NDArray[np.float64]:
    """Draw the top of a board as seen from afar: flat from side to side, (2, 2) [mm]; parameters as `top_profile`."""
    return np.array([(-width / 2, 0.0), (width / 2, 0.0)])

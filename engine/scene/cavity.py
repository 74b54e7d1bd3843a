"""What grooves leave of a board's colour in even light, by the light thrown from side to side in them.

A colour is asked for as one sees it: the mean over the board. Grooves shade themselves, so their material must be
lighter than that mean, and by how much depends on the colour: the lighter it is, the more light their sides give
each other. Two-dimensional radiosity, since grooves are long; its form factors are Hottel's crossed strings (Modest,
Radiative Heat Transfer, chapter on view factors; from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from .profile import GROOVE_BOTTOM, GROOVE_DEPTH, GROOVE_TOP, groove_count

Array = npt.NDArray[np.float64]
STRIPS = 10
"""Strips that each side and the bottom of a groove are cut into (ours: twice as many change a mean by under 0.1 %)."""
MOST = 0.98
"""Lightest material there is (ours)."""


def seen_mean(albedo: float, tone: Callable[[float], float], width: float, gloss: float = 0.0) -> float:
    """Work out what a grooved board sends straight up in light that is even from all sides.

    Parameters
    ----------
    albedo : float
        Diffuse reflectance of its face, 0 to 1.
    tone : callable
        Gives what share of `albedo` the material has at a height [mm] below the face (0 or less).
    width : float
        Of the board [mm].
    gloss : float
        What its surface reflects on top, square on, 0 to 1.

    Returns
    -------
    float
        As a share of what a white card sends.
    """
    corners = np.array(
        [
            (-GROOVE_TOP / 2, 0.0),
            (-GROOVE_BOTTOM / 2, -GROOVE_DEPTH),
            (GROOVE_BOTTOM / 2, -GROOVE_DEPTH),
            (GROOVE_TOP / 2, 0.0),
        ]
    )
    share = np.linspace(0.0, 1.0, STRIPS + 1)[:, None]
    sides = [start + (end - start) * share for start, end in pairwise(corners)]
    starts = np.concatenate([side[:-1] for side in sides])
    ends = np.concatenate([side[1:] for side in sides])
    to_sky = _form_factors(starts, ends, corners[-1:], corners[:1])[:, 0]
    among = _form_factors(starts, ends, starts, ends)
    own = albedo * np.array([tone(height) for height in (starts + ends)[:, 1] / 2])
    sent = np.linalg.solve(np.eye(len(own)) - own[:, None] * among, own * to_sky) * (1 - gloss) + gloss * to_sky
    groove = float((sent * (ends - starts)[:, 0]).sum())
    ridge = albedo * (1 - gloss) + gloss
    grooves = groove_count(width)
    return (grooves * groove + (width - grooves * GROOVE_TOP) * ridge) / width


def albedo_for(mean: float, tone: Callable[[float], float], width: float, gloss: float = 0.0) -> float:
    """Find the reflectance that a grooved board's face must have to be seen as `mean`; parameters as `seen_mean`."""
    low, high = 0.0, MOST
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if seen_mean(middle, tone, width, gloss) < mean else (low, middle)
    return (low + high) / 2


def _form_factors(starts: Array, ends: Array, other_starts: Array, other_ends: Array) -> Array:
    """Give the share of what each strip sends that reaches each other one; all see each other in a groove.

    Strips run with the open side on their left, both lists in the same sense.
    """

    def between(a: Array, b: Array) -> Array:
        apart: Array = np.linalg.norm(a[:, None] - b[None], axis=2)
        return apart

    strings = between(starts, other_starts) + between(ends, other_ends)
    crossed = strings - between(starts, other_ends) - between(ends, other_starts)
    shares: Array = np.maximum(crossed, 0.0) / (2 * np.linalg.norm(ends - starts, axis=1)[:, None])
    return shares

"""Chords: where lines square to the boards lie inside a shape, for many lines at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Chords:
    """Intervals of v inside a shape, from `low` to `high`, in the order of their places and upwards in each.

    `place` is the number of the place, in the order asked for, at which each interval lies.
    """

    place: Ints
    low: Floats
    high: Floats

    @property
    def length(self) -> Floats:
        """Length of every interval [mm]."""
        return self.high - self.low


def chords(shape: BaseGeometry, places: Floats) -> Chords:
    """Cut a shape along the lines u = `places`.

    Parameters
    ----------
    shape : BaseGeometry
        A polygon or several, in board axes; whatever else a collection holds is left out.
    places : (n,) array
        Where along the boards [mm], in any order.
    """
    start, end = _edges(shape)
    order = np.argsort(places, kind="stable")
    ordered = places[order]
    # An edge holds its end but not its beginning, so that a line through a corner meets one edge of the two there.
    first = np.searchsorted(ordered, np.minimum(start[:, 0], end[:, 0]), side="right")
    beyond = np.searchsorted(ordered, np.maximum(start[:, 0], end[:, 0]), side="right")
    count = beyond - first
    edge = np.repeat(np.arange(len(start)), count)
    meets = order[np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count) + np.repeat(first, count)]
    (u0, v0), (u1, v1) = start[edge].T, end[edge].T
    across = v0 + (v1 - v0) * (places[meets] - u0) / (u1 - u0)
    along_lines = np.lexsort((across, meets))
    meets, across = meets[along_lines], across[along_lines]
    return Chords(meets[::2], across[::2], across[1::2])


def _edges(shape: BaseGeometry) -> tuple[Floats, Floats]:
    """Both ends of every edge of every ring, each (n, 2)."""
    rings = shapely.get_rings(shapely.get_parts(shape))
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    follows = ring[1:] == ring[:-1]
    return corners[:-1][follows], corners[1:][follows]

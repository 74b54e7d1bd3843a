"""Chords: where lines square to the boards lie inside a shape, for many lines at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from .arrays import array_of

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]
Shapes = Sequence[BaseGeometry] | NDArray[np.object_]


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
    return chords_of_each([shape], places, np.zeros(len(places), dtype=np.intp))


def chords_all_along(shape: BaseGeometry, places: Floats, shifts: Sequence[float]) -> Chords:
    """Where a shape is cut at every one of some shifts from a place: what fits a strip that is as broad.

    Parameters
    ----------
    shape : BaseGeometry
        As for `chords`.
    places : (n,) array
        Where along the boards the strips lie [mm].
    shifts : sequence of float
        Where along the boards, from a place, the shape is cut [mm].
    """
    found = chords(shape, np.add.outer(shifts, places).ravel())
    place = np.tile(found.place % max(len(places), 1), 2)
    across, opens = np.concatenate((found.low, found.high)), np.repeat((1, -1), len(found.low))
    order = np.lexsort((-opens, across, place))
    full = np.flatnonzero(np.cumsum(opens[order]) == len(shifts))
    low, high = order[full], order[full + 1]
    return Chords(place[low], across[low], across[high])


def chords_of_each(shapes: Shapes, places: Floats, owner: Ints) -> Chords:
    """Cut many shapes at once, each along lines of its own: `owner` numbers the shape that each of `places` cuts."""
    start, end, shape_of = _edges(shapes if isinstance(shapes, np.ndarray) else array_of(shapes))
    # An edge holds its end but not its beginning, so that a line through a corner meets one edge of the two there:
    # in one order of places and edges' ends, shape by shape, an end comes after the places that it lies at.
    low, high = np.minimum(start[:, 0], end[:, 0]), np.maximum(start[:, 0], end[:, 0])
    is_end = np.repeat((False, True), (len(places), 2 * len(low)))
    keys = (is_end, np.concatenate((places, low, high)), np.concatenate((owner, shape_of, shape_of)))
    order = np.lexsort(keys)
    passed = np.empty(len(order), dtype=np.intp)
    passed[order] = np.cumsum(~is_end[order])
    first, beyond = passed[len(places) :].reshape(2, -1)
    order = order[~is_end[order]]
    edge, place = counted_out(first, beyond)
    meets = order[place]
    (u0, v0), (u1, v1) = start[edge].T, end[edge].T
    across = v0 + (v1 - v0) * (places[meets] - u0) / (u1 - u0)
    along_lines = np.lexsort((across, meets))
    meets, across = meets[along_lines], across[along_lines]
    return Chords(meets[::2], across[::2], across[1::2])


def counted_out(first: Ints, beyond: Ints) -> tuple[Ints, Ints]:
    """Whole numbers from each `first` to before its `beyond`, all in a row: whose they are, and the numbers."""
    count = beyond - first
    owner = np.repeat(np.arange(len(count)), count)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(count) - count - first, count)


def _edges(shapes: NDArray[np.object_]) -> tuple[Floats, Floats, Ints]:
    """Both ends of every edge of every ring, each (n, 2), and the shape that it belongs to."""
    parts, shape_of = shapely.get_parts(shapes, return_index=True)
    rings, part_of = shapely.get_rings(parts, return_index=True)
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    follows = ring[1:] == ring[:-1]
    return corners[:-1][follows], corners[1:][follows], shape_of[part_of[ring[1:][follows]]]

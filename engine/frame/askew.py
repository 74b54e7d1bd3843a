"""Bearing of members that cross boards askew, or cover a part of their width: looked at in cross-sections."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from ..layout.chords import Chords, Floats, Ints, chords_of_each, counted_out
from .ground import Span
from .intervals import JOINED, in_order, merged
from .resting import LEAST_SEAT, Body

SAMPLE = 12.0
"""Step at which a slanted bearing is looked at along the board [mm]: a quarter of a usual joist's breadth."""
_SHAPES = NDArray[np.object_]


@dataclass(frozen=True, slots=True)
class _Crossings:
    """Members under bodies, one in each row, by body and along it: from where to where they may lie under it."""

    body: Ints
    member: _SHAPES
    left: Floats
    right: Floats


def askew_bearings(
    bodies: Sequence[Body], members: Sequence[Sequence[BaseGeometry]], known: Sequence[list[Span]]
) -> list[list[Span]]:
    """For each body where it bears on its members, and on others on which that is known; merged and in order.

    Parameters
    ----------
    members : sequence of sequences of Polygon
        For each body, footprints of members, each of them convex.
    known : sequence of lists of intervals
        For each body, where it is borne by the others.
    """
    polygons: _SHAPES = np.array([body.polygon for body in bodies], dtype=object)
    crossings = _crossings(bodies, members)
    body, middle, step = _sections(crossings)
    borne, full = _borne(polygons, crossings, body, middle)
    share = np.array([body.share for body in bodies])[body]
    start, end = np.array([(body.box[0], body.box[2]) for body in bodies])[body].T
    held = np.flatnonzero((full > 0) & (borne >= share * full - 1e-6))
    low, high = np.maximum(start, middle - step / 2)[held], np.minimum(end, middle + step / 2)[held]
    spans = [list(own) for own in known]
    for i, *span in zip(body[held].tolist(), low.tolist(), high.tolist(), strict=True):
        spans[i].append((span[0], span[1]))
    return _to_slanted_ends(polygons, crossings, [merged(own) for own in spans])


def _crossings(bodies: Sequence[Body], members: Sequence[Sequence[BaseGeometry]]) -> _Crossings:
    """Where members come to lie beside or under bodies, between the bodies' sides."""
    body = np.repeat(np.arange(len(bodies)), [len(own) for own in members])
    shapes: _SHAPES = np.array([shape for own in members for shape in own], dtype=object)
    start, bottom, end, top = np.array([body.box for body in bodies])[body].T
    left, right = _between_sides(shapes, bottom, top)
    left, right = np.maximum(left, start), np.minimum(right, end)
    order = np.lexsort((right, left, body))
    order = order[left[order] < right[order]]
    return _Crossings(body[order], shapes[order], left[order], right[order])


def _between_sides(shapes: _SHAPES, bottom: Floats, top: Floats) -> tuple[Floats, Floats]:
    """From where to where along u each shape reaches between two places across the boards; infinite where nowhere."""
    corners, owner = shapely.get_coordinates(shapes, return_index=True)
    follows = owner[1:] == owner[:-1]
    (u0, v0), (u1, v1), owner = corners[:-1][follows].T, corners[1:][follows].T, owner[1:][follows]
    rise = np.where(v1 == v0, 1.0, v1 - v0)
    one, other = (bottom[owner] - v0) / rise, (top[owner] - v0) / rise
    level = (v1 == v0) & (v0 >= bottom[owner]) & (v0 <= top[owner])
    enters = np.where(level, 0.0, np.maximum(0.0, np.minimum(one, other)))
    leaves = np.where(level, 1.0, np.minimum(1.0, np.maximum(one, other)))
    left, right = np.full(len(shapes), np.inf), np.full(len(shapes), -np.inf)
    passes = (enters <= leaves) & (level | (v1 != v0))
    for share in (enters, leaves):
        at = (u0 + (u1 - u0) * share)[passes]
        np.minimum.at(left, owner[passes], at)
        np.maximum.at(right, owner[passes], at)
    return left, right


def _sections(crossings: _Crossings) -> tuple[Ints, Floats, Floats]:
    """Cross-sections: the body, where along it, and how much of it each stands for. Members that touch are one."""
    _, _, apart, reached = in_order(crossings.body, crossings.left, crossings.right)
    first = np.flatnonzero(apart > JOINED)
    last = np.append(first[1:], len(apart))[: len(first)] - 1
    left, length = crossings.left[first], reached[last] - crossings.left[first]
    count = np.maximum(1, (length / SAMPLE).astype(np.intp))
    stretch, number = counted_out(np.zeros_like(count), count)
    step = (length / count)[stretch]
    return crossings.body[first][stretch], left[stretch] + (number + 0.5) * step, step


def _borne(polygons: _SHAPES, crossings: _Crossings, body: Ints, middle: Floats) -> tuple[Floats, Floats]:
    """How much of each cross-section lies on members, and how much there is of it [mm]."""
    # Every cross-section of a body with every member that passes there.
    first, beyond = (np.searchsorted(crossings.body, body, side=side) for side in ("left", "right"))
    section, row = counted_out(first, beyond)
    passes = (crossings.left[row] <= middle[section]) & (crossings.right[row] >= middle[section])
    section, row = section[passes], row[passes]
    timber = chords_of_each(crossings.member, middle[section], row)
    board = chords_of_each(polygons, middle, body)
    shared = _shared(Chords(section[timber.place], timber.low, timber.high), board, len(body))
    full: Floats = np.bincount(board.place, board.length, len(body)).astype(np.float64)
    return shared, full


def _shared(some: Chords, others: Chords, count: int) -> Floats:
    """At each of `count` places, what lies in any of some intervals and in any of others [mm]."""
    place = np.concatenate((some.place, some.place, others.place, others.place))
    across = np.concatenate((some.low, some.high, others.low, others.high))
    opens = np.repeat((1, -1, 1, -1), [len(c.place) for c in (some, some, others, others)])
    is_some = np.arange(len(place)) < 2 * len(some.place)
    order = np.lexsort((across, place))
    in_some = np.cumsum(np.where(is_some, opens, 0)[order]) > 0
    in_others = np.cumsum(np.where(is_some, 0, opens)[order]) > 0
    length = np.diff(across[order], append=0.0)
    shared: Floats = np.bincount(place[order], np.where(in_some & in_others, length, 0.0), count).astype(np.float64)
    return shared


def _to_slanted_ends(polygons: _SHAPES, crossings: _Crossings, spans: list[list[Span]]) -> list[list[Span]]:
    """Bearings carried on to where a slanted member at an end last touches the board.

    Where both run at a slant, every fibre of the board ends as far past the member as every other, though a section
    square to the board near its tip lies on less and less of it.
    """
    first = np.array([own[0] if own else (-np.inf, np.inf) for own in spans])[crossings.body].T
    last = np.array([own[-1] if own else (-np.inf, np.inf) for own in spans])[crossings.body].T
    further = np.flatnonzero((crossings.left < first[0]) | (crossings.right > last[1]))
    seats = shapely.intersection(crossings.member[further], polygons[crossings.body[further]])
    reach = shapely.bounds(seats)
    for k in np.flatnonzero(shapely.area(seats) >= LEAST_SEAT).tolist():
        row = further[k]
        own, low, high = spans[crossings.body[row]], float(reach[k, 0]), float(reach[k, 2])
        if high >= first[0, row]:
            own[0] = (min(own[0][0], low), own[0][1])
        if low <= last[1, row]:
            own[-1] = (own[-1][0], max(own[-1][1], high))
    return spans

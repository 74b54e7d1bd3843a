"""Courses of bricks, stones or boards on a wall: which units lie where, cut at corners and round openings.

Terminology
-----------
unit      one brick, stone or board, or what is left of it once cut, by its place along the wall and up it [mm].
void      a part of the wall that its courses leave out: an opening, or the head over one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

THINNEST = 12.0
"""Least height that is worth cutting a unit to [mm]; what is lower is filled with mortar (ours)."""


STRAIGHT_JOINT = 30.0
"""Perpends of courses on each other that lie nearer than this read as one straight joint [mm] (ours)."""

FIRST_UNITS = (0.5, 0.75, 1.0, 0.6, 0.9)
"""What is tried at a jamb, as shares of a whole unit: a half, three quarters, a whole one, then cuts between (ours)."""


@dataclass(frozen=True, slots=True)
class Course:
    """A row of units from `low` to `high`, between the ends `start` and `end`, parted at `perpends` [mm].

    `beside` are the perpends of the courses above and below, if this one is to keep its own clear of them at jambs.
    """

    number: int
    low: float
    high: float
    start: float
    end: float
    perpends: tuple[float, ...]
    beside: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Void:
    """What a wall's courses leave out [mm]; `joint` is what they keep from its sides: none at a jamb."""

    start: float
    end: float
    low: float
    high: float
    joint: float


@dataclass(frozen=True, slots=True)
class Cutting:
    """The joint between units, and the least and greatest length of one that is cut [mm]."""

    joint: float
    least: float
    longest: float


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit; `first` and `last` say whether it ends at the wall's corners, `jambs` whether at an opening's sides."""

    course: int
    start: float
    end: float
    low: float
    high: float
    first: bool = False
    last: bool = False
    jambs: tuple[bool, bool] = (False, False)

    @property
    def length(self) -> float:
        """Length of its face [mm]."""
        return self.end - self.start


def lay(course: Course, voids: Sequence[Void], cutting: Cutting) -> list[Unit]:
    """Lay a course round what it meets.

    Parameters
    ----------
    course : Course
    voids : sequence of Void
    cutting : Cutting

    Returns
    -------
    list of Unit
        Left to right; then those cut in height, under and over voids.
    """
    met = sorted(
        (void for void in voids if void.low < course.high and void.high > course.low), key=lambda void: void.start
    )
    units, at, jamb = [], course.start, False
    for void in met:
        units += _between(course, at, void.start - void.joint, (jamb, void.joint == 0.0), cutting)
        at, jamb = max(at, void.end + void.joint), void.joint == 0.0
    units += _between(course, at, course.end, (jamb, False), cutting)
    edges = sorted({at for void in met for at in (void.start, void.end)})
    for start, end in pairwise(edges):
        over = [void for void in met if void.start < (start + end) / 2 < void.end]
        if not over:
            continue
        for low, high in clear(course.low, course.high, [(void.low, void.high) for void in over]):
            if high - low > THINNEST:
                band = replace(course, low=low, high=high)
                keep = max(cutting.joint - min(void.joint for void in over), 0.0)
                units += _between(band, start + keep, end - keep, (False, False), cutting)
    return units


def clear(low: float, high: float, taken: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Give what is left of a range once others are taken out of it."""
    left, at = [], low
    for bottom, top in sorted(taken):
        if bottom > at:
            left.append((at, min(bottom, high)))
        at = max(at, top)
    if at < high:
        left.append((at, high))
    return left


def _between(course: Course, start: float, end: float, jambs: tuple[bool, bool], cutting: Cutting) -> list[Unit]:
    """Lay a course from one place to another."""
    if end - start < cutting.joint:
        return []
    first, last = start <= course.start, end >= course.end
    half = cutting.joint / 2
    others = _parted(course.beside, start, end, (first, last), (), cutting)[1:-1] if course.beside else []
    edges = _parted(course.perpends, start, end, (first, last), others, cutting)
    return [
        Unit(
            course.number, left + half, right - half, course.low, course.high,
            first and i == 0, last and i == len(edges) - 2,
            (jambs[0] and i == 0, jambs[1] and i == len(edges) - 2),
        )
        for i, (left, right) in enumerate(pairwise(edges))
    ]  # fmt: skip


def _parted(
    perpends: Sequence[float],
    start: float,
    end: float,
    corners: tuple[bool, bool],
    others: Sequence[float],
    cutting: Cutting,
) -> list[float]:
    """Part a stretch of a course, from the middle of a joint to the middle of another; corners are left as set out."""
    half = cutting.joint / 2
    edges = [start - half, *(at for at in perpends if start + half < at < end - half), end + half]
    if not corners[0]:
        edges = _mend(edges, others, cutting)
    if not corners[1]:
        edges = [-at for at in reversed(_mend([-at for at in reversed(edges)], [-at for at in others], cutting))]
    return edges


def _mend(edges: list[float], others: Sequence[float], cutting: Cutting) -> list[float]:
    """Share out a unit at the start that is too short, or whose perpend stands over another course's.

    It makes one with the next, or the two are parted anew: half, or three quarters of a whole unit at the start.
    """
    least, longest = (cutting.least + cutting.joint) * 0.95, (cutting.longest + cutting.joint) * 1.02
    while len(edges) > 2 and edges[1] - edges[0] < least:
        if edges[2] - edges[0] <= longest:
            del edges[1]
        else:
            edges[1] = edges[0] + cutting.least + cutting.joint
    if len(edges) > 2 and _clash(edges[1], others):
        for last in range(2, min(len(edges), 4)):
            anew = _part_anew(edges[0], edges[last], others, cutting)
            if anew is not None:
                return [edges[0], *anew, *edges[last:]]
    return edges


def _part_anew(start: float, end: float, others: Sequence[float], cutting: Cutting) -> list[float] | None:
    """Find perpends between two places that clear those of other courses; None if there are none so."""
    least, longest = (cutting.least + cutting.joint) * 0.95, (cutting.longest + cutting.joint) * 1.02
    if end - start <= longest:
        return [] if not _clash(end, others) else None
    for share in FIRST_UNITS:
        at = start + share * (cutting.longest + cutting.joint)
        rest = end - at
        parts = max(-int(-rest // longest), 1)
        perpends = [at + rest * part / parts for part in range(parts)]
        if min(at - start, rest / parts) >= least and not any(_clash(each, others) for each in perpends):
            return perpends
    return None


def _clash(at: float, others: Sequence[float]) -> bool:
    return any(abs(at - other) < STRAIGHT_JOINT for other in others)

"""Courses of bricks, stones or boards on a wall: which pieces lie where, cut at corners and round openings.

Terminology
-----------
piece     one brick, stone or board, or what is left of it once cut, by its place along the wall and up it [mm].
void      a part of the wall that its courses leave out: an opening, or the head over one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

THINNEST = 12.0
"""Least height that is worth cutting a piece to [mm]; what is lower is filled with mortar (ours)."""


@dataclass(frozen=True, slots=True)
class Course:
    """A row of pieces from `low` to `high`, between the ends `start` and `end`, parted at `perpends` [mm]."""

    number: int
    low: float
    high: float
    start: float
    end: float
    perpends: tuple[float, ...]


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
    """The joint between pieces, and the least and greatest length of one that is cut [mm]."""

    joint: float
    least: float
    longest: float


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece; `first` and `last` say whether it ends at the wall's corners, `jambs` whether at an opening's sides."""

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


def lay(course: Course, voids: Sequence[Void], cutting: Cutting) -> list[Piece]:
    """Lay a course round what it meets.

    Parameters
    ----------
    course : Course
    voids : sequence of Void
    cutting : Cutting

    Returns
    -------
    list of Piece
        Left to right; then those cut in height, under and over voids.
    """
    met = sorted(
        (void for void in voids if void.low < course.high and void.high > course.low), key=lambda void: void.start
    )
    pieces, at, jamb = [], course.start, False
    for void in met:
        pieces += _between(course, at, void.start - void.joint, (jamb, void.joint == 0.0), cutting)
        at, jamb = max(at, void.end + void.joint), void.joint == 0.0
    pieces += _between(course, at, course.end, (jamb, False), cutting)
    edges = sorted({at for void in met for at in (void.start, void.end)})
    for start, end in pairwise(edges):
        over = [void for void in met if void.start < (start + end) / 2 < void.end]
        if not over:
            continue
        for low, high in clear(course.low, course.high, [(void.low, void.high) for void in over]):
            if high - low > THINNEST:
                band = Course(course.number, low, high, course.start, course.end, course.perpends)
                keep = max(cutting.joint - min(void.joint for void in over), 0.0)
                pieces += _between(band, start + keep, end - keep, (False, False), cutting)
    return pieces


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


def _between(course: Course, start: float, end: float, jambs: tuple[bool, bool], cutting: Cutting) -> list[Piece]:
    """Lay a course from one place to another."""
    if end - start < cutting.joint:
        return []
    first, last = start <= course.start, end >= course.end
    inside = [at for at in course.perpends if start + cutting.joint / 2 < at < end - cutting.joint / 2]
    half = cutting.joint / 2
    edges = [start - half, *inside, end + half]
    if not first:
        edges = _mend(edges, cutting)
    if not last:
        edges = [-at for at in reversed(_mend([-at for at in reversed(edges)], cutting))]
    return [
        Piece(
            course.number, left + half, right - half, course.low, course.high,
            first and i == 0, last and i == len(edges) - 2,
            (jambs[0] and i == 0, jambs[1] and i == len(edges) - 2),
        )
        for i, (left, right) in enumerate(pairwise(edges))
    ]  # fmt: skip


def _mend(edges: list[float], cutting: Cutting) -> list[float]:
    """Share out a piece at the start that is too short: with the next one as one piece, or half and half."""
    least = cutting.least + cutting.joint
    while len(edges) > 2 and edges[1] - edges[0] < least * 0.95:
        if edges[2] - edges[0] <= (cutting.longest + cutting.joint) * 1.02:
            del edges[1]
        else:
            edges[1] = edges[0] + least
    return edges

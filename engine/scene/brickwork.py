"""Brick bonds: where the perpends of every course lie, so that the bond closes at corners and is cut well at openings.

Terminology
-----------
stretcher, header   a brick that shows its length, or its end.
perpend             an upright joint; given by its middle [mm along the wall].
queen closer        half a header, laid next to a quoin header to shift the bond.
quoin               an outer corner, where each brick shows its length on one wall and its end on the other.
lead                whether a course begins at a wall's end with a stretcher; it changes from course to course.
phase               0 where even courses lead with a stretcher, 1 where odd ones do.
break               where the bonds set out from both ends of a wall meet, with cut bricks if they do not agree.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import count, pairwise
from typing import Literal

Bond = Literal["stretcher", "flemish", "english"]

BRICK_LENGTH, BRICK_DEPTH, BRICK_HEIGHT = 215.0, 102.5, 65.0
"""Work size of the common brick [mm] (BS EN 771-1 practice: 215 x 102.5 x 65)."""
JOINT = 10.0
"""Mortar joint [mm] (coordinating size 225 x 112.5 x 75, same practice)."""
MODULE, HALF, COURSE = BRICK_LENGTH + JOINT, BRICK_DEPTH + JOINT, BRICK_HEIGHT + JOINT
QUARTER = MODULE / 4
QUEEN = HALF / 2 - JOINT
"""Face of a queen closer [mm]: a header and a joint halved, less the joint (bricklaying practice, from memory)."""
EASE = 0.015
"""Share by which a run of bricks is eased to come out at corners and jambs: 3 mm a brick, taken up in the joints
(common practice, no source). A wall that needs more shows cut bricks instead."""
SAME = 6.0
"""Perpends set out from both ends that lie nearer than this are one [mm] (ours: what the joints beside take up)."""
CUT_CORNER, BROKEN, TURNED = 3.0, 1.0, 10.0
"""How bad a corner is where both walls show the same face of a brick, a wall with cut bricks at its break, and one that
changes from courses of stretchers to courses of headers there (ours)."""

_Corner = Literal[-1, 0, 1]


@dataclass(frozen=True, slots=True)
class Setting:
    """The bond on one wall: for even and odd courses where bricks begin, where they end, and the perpends between."""

    ends: tuple[tuple[float, float], tuple[float, float]]
    perpends: tuple[tuple[float, ...], tuple[float, ...]]


@dataclass(frozen=True, slots=True)
class _Line:
    """A wall to set out: corners 1 for a quoin, -1 for an inner corner, 0 where the wall runs straight on."""

    length: float
    corners: tuple[int, int]
    jambs: tuple[float, ...]
    break_at: float

    @property
    def offsets(self) -> tuple[float, float]:
        """How far from each corner the first whole brick begins [mm]."""
        start, end = (_FIRST[corner] for corner in self.corners)
        return start, end


_FIRST = {1: 0.0, 0: JOINT / 2, -1: JOINT}


def set_out(
    bond: Bond,
    lengths: Sequence[float],
    turns: Sequence[int],
    jambs: Sequence[Sequence[float]],
    breaks: Sequence[float],
) -> tuple[Setting, ...]:
    """Set out a bond round a closed line of walls.

    Parameters
    ----------
    bond : {'stretcher', 'flemish', 'english'}
    lengths : sequence of float
        Length of each wall [mm], anticlockwise round the house.
    turns : sequence of int
        At the start of each wall: 1 for a quoin, -1 for an inner corner, 0 where the wall runs straight on.
    jambs : sequence of sequence of float
        The sides of each wall's openings in pairs [mm along it]: eased onto the bond where that takes little.
    breaks : sequence of float
        Where each wall would take cut bricks if it needs them [mm along it]: best in an opening.

    Returns
    -------
    tuple of Setting
        One for each wall. A brick that shows its length at the end of one wall shows its end on the next.
    """
    number = len(lengths)
    lines = [
        _Line(length, (turns[i], turns[(i + 1) % number]), tuple(jambs[i]), breaks[i])
        for i, length in enumerate(lengths)
    ]
    return tuple(_setting(bond, line, phases) for line, phases in zip(lines, _phases(bond, lines), strict=True))


def _phases(bond: Bond, lines: Sequence[_Line]) -> list[tuple[int, int]]:
    """Choose the phases at both ends of every wall so that as few walls as can be show cut bricks."""
    best: tuple[float, list[tuple[int, int]]] | None = None
    for first in (0, 1):
        # For each phase at the end of the walls so far: what they cost, and their phases.
        ways: dict[int, tuple[float, list[tuple[int, int]]]] = {}
        for i, line in enumerate(lines):
            following: dict[int, tuple[float, list[tuple[int, int]]]] = {}
            for start in (first,) if i == 0 else (0, 1):
                reached = [(0.0, list[tuple[int, int]]())] if i == 0 else [
                    (cost + _corner(line.corners[0], before, start), chosen) for before, (cost, chosen) in ways.items()
                ]  # fmt: skip
                cost, chosen = min(reached, key=lambda way: way[0])
                for end in (0, 1):
                    total = cost + _misfit(bond, line, start, end)
                    if end not in following or total < following[end][0]:
                        following[end] = (total, [*chosen, (start, end)])
            ways = following
        for last, (cost, chosen) in ways.items():
            total = cost + _corner(lines[0].corners[0], last, first)
            if best is None or total < best[0]:
                best = (total, chosen)
    return best[1] if best is not None else []


def _corner(corner: int, before: int, after: int) -> float:
    """Judge a corner: at a bend the walls show different faces of a brick, on a straight line the same."""
    return 0.0 if (before != after) == (corner != 0) else CUT_CORNER


def _misfit(bond: Bond, line: _Line, start: int, end: int) -> float:
    nominal = _nominal(bond, line, start, end)
    if nominal is None:
        return TURNED if bond == "english" and start != end else BROKEN
    return 0.1 * abs(nominal - _bricked(line)) / (EASE * line.length)


def _bricked(line: _Line) -> float:
    """Give the length that whole bricks have to fill [mm]."""
    return line.length - sum(line.offsets)


def _nominal(bond: Bond, line: _Line, start: int, end: int) -> float | None:
    """Give the length of the whole bond nearest to a wall's own [mm], or None if that lies too far off."""
    step, rest = {"stretcher": (2, int(start != end)), "flemish": (3, 2), "english": (2, 0)}[bond]
    if bond != "stretcher" and start != end:
        return None
    bricked = _bricked(line)
    halves = max(round(((bricked + JOINT) / HALF - rest) / step) * step + rest, 1)
    nominal = halves * HALF - JOINT
    return nominal if abs(nominal - bricked) <= EASE * line.length else None


def _setting(bond: Bond, line: _Line, phases: tuple[int, int]) -> Setting:
    nominal = _nominal(bond, line, *phases)
    break_at = line.break_at if HALF < line.break_at < line.length - HALF else line.length / 2
    first, last = line.offsets
    backwards = _Line(line.length, line.corners[::-1], tuple(line.length - at for at in line.jambs[::-1]), 0.0)
    if nominal is not None:
        knots = _knots(line, line.jambs, (line.length - last, nominal))
        returning = [(line.length - s, nominal - u) for s, u in reversed(knots)]
    else:
        knots = _knots(line, [at for at in line.jambs if at <= break_at], None)
        returning = _knots(backwards, [at for at in backwards.jambs if at <= line.length - break_at], None)
    ends, perpends = [], []
    for parity in (0, 1):
        leads = ((parity + phases[0]) % 2 == 0, (parity + phases[1]) % 2 == 0)
        left = [at for at in _perpends(bond, leads[0], knots, break_at) if at < break_at]
        right = [line.length - at for at in _perpends(bond, leads[1], returning, line.length - break_at)]
        right = sorted(at for at in right if at >= break_at)
        # At an inner corner a wall that leads with a header runs on behind the other one.
        start = 0.0 if line.corners[0] < 0 and not leads[0] else first
        end = line.length if line.corners[1] < 0 and not leads[1] else line.length - last
        ends.append((start, end))
        perpends.append(tuple(_close_break(left, right, start - JOINT / 2, end + JOINT / 2)))
    return Setting((ends[0], ends[1]), (perpends[0], perpends[1]))


def _knots(line: _Line, jambs: Iterable[float], end: tuple[float, float] | None) -> list[tuple[float, float]]:
    """Ease the bond onto jambs: places along the wall, each with its place on whole bricks, from the first brick on.

    `end` is the last of them, if the whole wall is set out from one end.
    """
    knots = [(line.offsets[0], 0.0)]
    slope = end[1] / (end[0] - knots[0][0]) if end is not None else 1.0
    for number, at in enumerate(sorted(jambs)):
        gap = JOINT if number % 2 == 0 else 0.0  # an opening's first side ends a brick, its second begins one
        (s, u) = knots[-1]
        nearest = round((u + (at - s) * slope + gap) / HALF) * HALF - gap
        if at - s > QUARTER and abs(nearest - u - (at - s)) <= EASE * (at - s):
            knots.append((at, nearest))
    if end is not None:
        while len(knots) > 1 and abs(end[1] - knots[-1][1] - (end[0] - knots[-1][0])) > EASE * (end[0] - knots[-1][0]):
            knots.pop()
        knots.append(end)
    return knots


def _perpends(bond: Bond, lead: bool, knots: Sequence[tuple[float, float]], reach: float) -> Iterator[float]:
    """Give the perpends of a course from its end on, in places along the wall, up to `reach`."""
    runs = list(pairwise(knots))
    for quarters in _pattern(bond, lead):
        u = quarters * QUARTER - JOINT / 2
        run = next(((a, b) for a, b in runs if u <= b[1]), None)
        if run is None:
            (s, at) = knots[-1]
            along = s + u - at
        else:
            (s0, u0), (s1, u1) = run
            along = s0 + (u - u0) * (s1 - s0) / (u1 - u0)
        if along > reach:
            return
        yield along


def _pattern(bond: Bond, lead: bool) -> Iterator[int]:
    """Give the ends of a course's bricks, joint and all, in quarters of the module."""
    if bond == "stretcher":
        yield from count(4 if lead else 2, 4)
    elif bond == "english":
        if lead:
            yield from count(4, 4)
        yield 2  # a quoin header and its closer
        yield from count(3, 2)
    else:
        at = 0
        if not lead:
            yield 2
            yield 3
            at = 3
        while True:
            yield at + 4
            yield at + 6
            at += 6


def _close_break(left: list[float], right: list[float], start: float, end: float) -> list[float]:
    """Join the perpends set out from both ends, with bricks cut in between where they do not agree."""
    least, longest = (BRICK_DEPTH + JOINT) * 0.95, (BRICK_LENGTH + JOINT) * 1.02
    while True:
        before, after = left[-1] if left else start, right[0] if right else end
        between = after - before
        if between < SAME and left and right:
            left[-1] = (before + after) / 2
            return [*left, *right[1:]]
        if between >= least or not (left or right):
            break
        if left:
            left.pop()
        else:
            right.pop(0)
    if between > longest:
        parts = -(-between // longest)
        return [*left, *(before + between * part / parts for part in range(1, int(parts))), *right]
    return [*left, *right]

"""Stretcher bond on walls: where every brick lies, and the wall coordinate that carries the bond round corners.

Terminology
-----------
u            coordinate along the brickwork [mm]: bricks begin at whole multiples of the module on even courses,
             half a module later on odd ones. It runs on round the house, from the first corner to the last.
course       a row of bricks; course 0 stands on the ground datum.
quoin        an outer corner, where each brick shows its length on one wall and its end on the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

BRICK_LENGTH, BRICK_DEPTH, BRICK_HEIGHT = 215.0, 102.5, 65.0
"""Work size of the common brick [mm] (BS EN 771-1 practice: 215 x 102.5 x 65)."""
JOINT = 10.0
"""Mortar joint [mm] (coordinating size 225 x 112.5 x 75, same practice)."""
MODULE, HALF, COURSE = BRICK_LENGTH + JOINT, BRICK_DEPTH + JOINT, BRICK_HEIGHT + JOINT
SOLDIER = MODULE
"""Height of a soldier course over an opening with its bed joint [mm]."""
EASE = 0.015
"""Share by which a run of bricks is eased to come out at its corners: 3 mm a brick, taken up in the joints
(common practice, no source). A shorter wall shows a cut brick instead."""

STRETCHER_TAG = (0.0, 1.0, 1.0)
"""Parity at u = 0, bond shift, sign of the brick numbers, for faces in stretcher bond."""
SOLDIER_TAG = (0.0, 0.0, 1.0)
"""The same for soldiers, whose u and v are swapped."""


@dataclass(frozen=True, slots=True)
class Brick:
    """One brick, or what a panel's edge leaves of it, in the wall's plane [mm]."""

    number: int
    course: int
    u: float
    v: float
    length: float
    height: float


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of wall from `start` to `end` [mm along it] on which u grows steadily from `u_start` to `u_end`."""

    start: float
    end: float
    u_start: float
    u_end: float

    def u(self, at: float) -> float:
        """Give the brick coordinate at a place along the wall [mm]."""
        return self.u_start + (at - self.start) * (self.u_end - self.u_start) / (self.end - self.start)


def bricks(u0: float, u1: float, v0: float, v1: float) -> list[Brick]:
    """Lay the bricks of a panel of stretcher bond.

    Parameters
    ----------
    u0, u1, v0, v1 : float
        The panel's sides [mm]; bricks that cross them are cut.

    Returns
    -------
    list of Brick
        Course by course from the bottom, left to right.
    """
    laid = []
    for course in range(floor(v0 / COURSE), floor(v1 / COURSE) + 1):
        bottom, top = max(v0, course * COURSE), min(v1, course * COURSE + BRICK_HEIGHT)
        shift = (course % 2) * HALF
        for number in range(floor((u0 + shift) / MODULE), floor((u1 + shift) / MODULE) + 1):
            left = max(u0, number * MODULE - shift)
            right = min(u1, number * MODULE - shift + BRICK_LENGTH)
            if right > left and top > bottom:
                laid.append(Brick(number, course, left, bottom, right - left, top - bottom))
    return laid


def set_out(lengths: Sequence[float], turns: Sequence[int], seams: Sequence[float]) -> tuple[tuple[Run, ...], ...]:
    """Set out the bond round a closed line of walls, so that it meets at every corner.

    A stretcher that ends a wall at a quoin shows its end on the next, so u goes back by the depth of a brick there,
    and forward by as much in an inner corner, where one wall runs past the other.

    Parameters
    ----------
    lengths : sequence of float
        Length of each wall [mm], anticlockwise round the house.
    turns : sequence of int
        At the start of each wall: 1 for a quoin, -1 for an inner corner, 0 where the wall runs straight on.
    seams : sequence of float
        Where each wall would take a cut brick if it needs one [mm along it]: best in an opening.

    Returns
    -------
    tuple of tuple of Run
        The runs of each wall: one, eased to fit, or two with a cut brick between.
    """
    count = len(lengths)
    nominal = [
        _nearest(length, _edge_sum(turns[i], turns[(i + 1) % count])) if turns[i] and turns[(i + 1) % count] else length
        for i, length in enumerate(lengths)
    ]
    halves = round((sum(nominal) - sum(turns) * BRICK_DEPTH) / HALF)
    if halves % 2 and all(turns):
        # Once round must come back to the same brick: the wall that minds least takes half a brick more or less.
        _, wall, step = min(
            (abs(nominal[i] + step - lengths[i]) / lengths[i], i, step) for i in range(count) for step in (HALF, -HALF)
        )
        nominal[wall] += step
    runs: list[tuple[Run, ...]] = []
    u = 0.0 if turns[0] >= 0 else -JOINT
    for i, length in enumerate(lengths):
        if i:
            u -= turns[i] * BRICK_DEPTH
        end = u + nominal[i]
        if abs(nominal[i] - length) <= EASE * length:
            runs.append((Run(0.0, length, u, end),))
        else:
            seam = min(max(seams[i], HALF), length - HALF) if length > 2 * HALF else length / 2
            runs.append((Run(0.0, seam, u, u + seam), Run(seam, length, end - (length - seam), end)))
        u = end
    return tuple(runs)


def _edge_sum(start: int, end: int) -> float:
    """Give by how much a wall differs from a whole number of half modules: it lacks a joint at a quoin."""
    joints_lacking = (1 if start > 0 else 0) + (1 if end > 0 else 0)
    return JOINT * (1 - joints_lacking)


def _nearest(length: float, extra: float) -> float:
    return max(1, round((length - extra) / HALF)) * HALF + extra

"""Places for short labels beside points, so that no two lie over each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""
ROUND = 16
"""Directions tried round a point."""
REACH = (0.0, 8.0, 18.0, 30.0, 44.0, 60.0, 80.0)
"""How far beyond its point a label is tried, nearest first."""


@dataclass(frozen=True, slots=True)
class Label:
    """A text in its place: the middle of it, and its rectangle."""

    text: str
    at: tuple[float, float]
    box: Box


def place(
    named: Sequence[tuple[tuple[float, float], str]],
    others: Sequence[tuple[float, float]],
    size: float,
    radius: float,
    room: Box,
) -> list[Label]:
    """Find a place for each text, near its point and free of all points and of the labels before it.

    Parameters
    ----------
    named : sequence of ((float, float), str)
        Points and what is written beside each, y downwards.
    others : sequence of (float, float)
        Points that have no text.
    size : float
        Height of the letters; a figure is taken to be six tenths as wide.
    radius : float
        Half the breadth of a point.
    room : Box
        What labels stay within.
    """
    points = [point for point, _ in named] + list(others)
    taken: list[Box] = [(x - radius, y - radius, x + radius, y + radius) for x, y in points]
    labels = []
    for (x, y), text in named:
        half = (0.3 * size * len(text) + 1.0, 0.5 * size)
        tried = [_box(x, y, half, radius + reach, turn) for reach in REACH for turn in range(ROUND)]
        best = min(tried, key=lambda box: sum(_overlap(box, other) for other in taken) + _outside(box, room))
        taken.append(best)
        labels.append(Label(text, ((best[0] + best[2]) / 2, (best[1] + best[3]) / 2), best))
    return labels


def _box(x: float, y: float, half: tuple[float, float], reach: float, turn: int) -> Box:
    """A rectangle that touches a circle round a point, in one of the directions: the first is up and to the right."""
    angle = math.tau * turn / ROUND - math.pi / 4
    cos, sin = math.cos(angle), math.sin(angle)
    mx, my = x + (reach + half[0]) * cos, y + (reach + half[1]) * sin
    return mx - half[0], my - half[1], mx + half[0], my + half[1]


def _overlap(one: Box, other: Box) -> float:
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return wide * high if wide > 0 and high > 0 else 0.0


def _outside(box: Box, room: Box) -> float:
    return 10 * sum(max(0.0, gap) for gap in (room[0] - box[0], room[1] - box[1], box[2] - room[2], box[3] - room[3]))

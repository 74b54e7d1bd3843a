"""Walls laid in courses: each brick, stone or board a unit of its own, with returns at openings and its joints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, tan

from .coursing import Course, Cutting, Unit, Void, clear, lay
from .mesh import Mesh, Triple
from .relief import Plane, Sharp, lay_unit
from .tones import Load
from .walls import REVEAL, Hole, Wall

STEEPEST = 3.0
"""Tangent of half the sharpest turn that two faces are mitred for (ours)."""


@dataclass(frozen=True, slots=True)
class Head:
    """What stands over an opening: units so high and, joint and all, so wide, or one unit with a bearing [mm]."""

    height: float
    pitch: float | None
    bearing: float = 0.0


@dataclass(frozen=True, slots=True)
class Facework:
    """How a wall is laid: how its units are cut, how far its joints lie back, its arrises [mm], heads and tones."""

    cutting: Cutting
    depth: float
    arris: float
    head: Head | None
    load: Load

    @property
    def open_sky(self) -> float:
        """Share of what the bottom of a joint sees that is open: by crossed strings between its bottom and its mouth.

        Hottel's rule for long strips (any textbook of heat transfer, from memory).
        """
        bottom, mouth = self.cutting.joint, self.cutting.joint + 2 * self.arris
        crossed, beside = hypot((bottom + mouth) / 2, self.depth), hypot((mouth - bottom) / 2, self.depth)
        return (crossed - beside) / bottom


def lay_wall(wall: Wall, courses: Sequence[Course], work: Facework, base: float, eaves: float) -> Mesh:
    """Build a wall's face from its courses, with its reveals and heads [mm].

    Parameters
    ----------
    wall : Wall
    courses : sequence of Course
    work : Facework
    base, eaves : float
        Levels between which it is seen [mm above datum].
    """
    mesh = Mesh()
    plane = face_of(wall)
    voids = voids_of(wall, work, eaves)
    ends: dict[tuple[float, int], str] = {}
    for course in courses:
        for unit in lay(course, voids, work.cutting):
            key = _key(wall, unit)
            for at, jamb in zip((unit.start, unit.end), unit.jambs, strict=True):
                if jamb:
                    ends[at, unit.course] = key
            _lay(mesh, work, plane, (unit.start, unit.end), (unit.low, unit.high), _edges(wall, unit), key)
    for hole in wall.holes:
        _returns(mesh, work, wall, hole, courses, ends)
        if work.head is not None:
            _head(mesh, work, work.head, wall, hole, eaves)
    _joints(mesh, work, wall, base, eaves)
    return mesh


def face_of(wall: Wall) -> Plane:
    """Give the plane of a wall's outer face."""
    (ax, ay), (ox, oy) = wall.along, wall.out
    return Plane(wall.at(0, 0, 0), (ax, ay, 0.0), (0.0, 0.0, 1.0), (ox, oy, 0.0))


def voids_of(wall: Wall, work: Facework, eaves: float) -> list[Void]:
    """Give what a wall's courses leave out: its openings, and the heads over them."""
    voids = [Void(hole.start, hole.end, hole.bottom, hole.top, 0.0) for hole in wall.holes]
    if work.head is not None:
        for hole in wall.holes:
            left, right = _head_span(wall, hole, work.head)
            top = min(hole.top + work.head.height + work.cutting.joint, eaves)
            voids.append(Void(left, right, hole.top, top, work.cutting.joint))
    return voids


def _head_span(wall: Wall, hole: Hole, head: Head) -> tuple[float, float]:
    return max(hole.start - head.bearing, 0.0), min(hole.end + head.bearing, wall.length)


def _lay(
    mesh: Mesh,
    work: Facework,
    plane: Plane,
    span: tuple[float, float],
    rise: tuple[float, float],
    sharp: Sharp,
    key: str,
) -> None:
    lay_unit(
        mesh, plane, span, rise, depth=work.depth, arris=work.arris, sharp=sharp, key=key, tone=work.load.tone(key)
    )


def _key(wall: Wall, unit: Unit) -> str:
    """Name a unit; one at a corner by the corner, since the next wall shows another side of it."""
    if unit.first or unit.last:
        x, y, _ = wall.at(wall.length if unit.last else 0.0, 0.0, 0.0)
        return f"corner {x:.0f} {y:.0f} {unit.course}"
    return f"wall {wall.number} {unit.course} {unit.start:.0f}"


def _edges(wall: Wall, unit: Unit) -> Sharp:
    """Say which edges of a unit are sharp: those at the corners of the wall and at openings."""
    left = right = None
    if unit.jambs[0]:
        left = 1.0
    elif unit.first and unit.start < 1e-6:
        left = _mitre(wall.turn_start)
    if unit.jambs[1]:
        right = 1.0
    elif unit.last and unit.end > wall.length - 1e-6:
        right = _mitre(wall.turn_end)
    return (left, right, None, None)


def _mitre(turn: float) -> float:
    return min(max(tan(turn / 2), -STEEPEST), STEEPEST)


def _returns(
    mesh: Mesh, work: Facework, wall: Wall, hole: Hole, courses: Sequence[Course], ends: dict[tuple[float, int], str]
) -> None:
    """Show the ends of the units at an opening's two sides."""
    for plane, at, span, sharp in _sides(wall, hole):
        for course in courses:
            low, high = max(course.low, hole.bottom), min(course.high, hole.top)
            key = ends.get((at, course.number))
            if key is not None and high - low > 2 * work.arris:
                _lay(mesh, work, plane, span, (low, high), sharp, key)


def _sides(wall: Wall, hole: Hole) -> tuple[tuple[Plane, float, tuple[float, float], Sharp], ...]:
    """Give the planes of both jambs, with where on the wall they stand and where in them the reveal lies."""
    (ax, ay), (ox, oy) = wall.along, wall.out
    up: Triple = (0.0, 0.0, 1.0)
    left = Plane(wall.at(hole.start, 0, 0), (-ox, -oy, 0.0), up, (ax, ay, 0.0))
    right = Plane(wall.at(hole.end, 0, 0), (ox, oy, 0.0), up, (-ax, -ay, 0.0))
    return (
        (left, hole.start, (0.0, REVEAL), (1.0, None, None, None)),
        (right, hole.end, (-REVEAL, 0.0), (None, 1.0, None, None)),
    )


def _head(mesh: Mesh, work: Facework, head: Head, wall: Wall, hole: Hole, eaves: float) -> None:
    """Stand the head's units over an opening, with their undersides."""
    left, right = _head_span(wall, hole, head)
    joint = work.cutting.joint
    count = max(round((right - left + joint) / head.pitch), 1) if head.pitch is not None else 1
    pitch = (right - left + joint) / count
    top = min(hole.top + head.height, eaves)
    (ax, ay), (ox, oy) = wall.along, wall.out
    under = Plane(wall.at(0, 0, hole.top), (ax, ay, 0.0), (ox, oy, 0.0), (0.0, 0.0, -1.0))
    for number in range(count):
        start, end = left + number * pitch, left + (number + 1) * pitch - joint
        key = f"head {wall.number} {hole.start:.0f} {number}"
        over = end > hole.start and start < hole.end
        sharp: Sharp = (None, None, 1.0 if over and head.bearing == 0.0 else None, None)
        _lay(mesh, work, face_of(wall), (start, end), (hole.top, top), sharp, key)
        if over:
            soffit = (max(start, hole.start), min(end, hole.end))
            _lay(mesh, work, under, soffit, (-REVEAL, 0.0), (None, None, None, 1.0), key)


def _joints(mesh: Mesh, work: Facework, wall: Wall, base: float, eaves: float) -> None:
    """Lay the joints' face behind all units, and behind the returns, tagged with how open the joints are."""
    depth, plane, tag = work.depth, face_of(wall), (0.0, 0.0, work.open_sky)
    first, last = depth * _mitre(wall.turn_start), wall.length - depth * _mitre(wall.turn_end)
    gone = [Void(hole.start - depth, hole.end + depth, hole.bottom, hole.top + depth, 0.0) for hole in wall.holes]
    cuts = {first, last, *(min(max(at, first), last) for void in gone for at in (void.start, void.end))}
    for span in pairwise(sorted(cuts)):
        over = [(void.low, void.high) for void in gone if void.start < sum(span) / 2 < void.end]
        for rise in clear(base, eaves, over):
            plane.panel(mesh, span, rise, -depth, tag)
    for hole in wall.holes:
        for side, _, (start, end), (left, _, _, _) in _sides(wall, hole):
            near = (start + depth, end) if left is not None else (start, end - depth)
            side.panel(mesh, near, (hole.bottom, min(hole.top + depth, eaves)), -depth, tag)
        (ax, ay), (ox, oy) = wall.along, wall.out
        under = Plane(wall.at(0, 0, hole.top), (ax, ay, 0.0), (ox, oy, 0.0), (0.0, 0.0, -1.0))
        under.panel(mesh, (hole.start - depth, hole.end + depth), (-REVEAL, -depth), -depth, tag)

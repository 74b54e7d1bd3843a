"""The house walls as faces cut round their openings, with reveals, heads and the bond of their bricks.

Terminology
-----------
along, out, up   a wall's own coordinates [mm]: along it from its start corner with the house on the left,
                 out from its face into the garden, up from the ground datum.
hole             an opening in those coordinates.
reveal           the side of an opening between wall face and frame.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import tan

import numpy as np

from ..plan import Point2, Point3
from ..spec import House, Opening
from .brickwork import BRICK_DEPTH, COURSE, JOINT, SOLDIER, SOLDIER_TAG, STRETCHER_TAG, Run, set_out
from .mesh import Mesh

REVEAL = BRICK_DEPTH
"""Depth from the wall face to the window frame [mm]: the outer leaf (common practice, no source)."""
STRAIGHT = np.radians(10.0)
"""A corner that turns by less is built as one wall."""
HEAD_COVER = 60.0
"""Least wall kept between an opening and the eaves [mm] (ours, so that a frame never meets the soffit)."""
DOORS = ("folding", "sliding", "door")


@dataclass(frozen=True, slots=True)
class Hole:
    """An opening in its wall's coordinates [mm]."""

    start: float
    end: float
    bottom: float
    top: float
    opening: Opening

    @property
    def width(self) -> float:
        """Clear width in the wall [mm]."""
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class Wall:
    """One straight wall of the house, which lies on its left."""

    number: int
    start: Point2
    along: Point2
    length: float
    turn_start: float
    turn_end: float
    holes: tuple[Hole, ...]
    runs: tuple[Run, ...]

    @property
    def out(self) -> Point2:
        """Unit normal, away from the house."""
        return (self.along[1], -self.along[0])

    def at(self, along: float, out: float, up: float) -> Point3:
        """Give the site coordinates of a place in the wall's own [mm]."""
        (ax, ay), (ox, oy) = self.along, self.out
        return (self.start[0] + along * ax + out * ox, self.start[1] + along * ay + out * oy, up)

    def u(self, along: float) -> float:
        """Give the brick coordinate at a place along the wall [mm]."""
        run = next((run for run in self.runs if along <= run.end + 1e-6), self.runs[-1])
        return run.u(along)


def walls_of(house: House, floor: float) -> tuple[Wall, ...]:
    """Read the walls of a house.

    Parameters
    ----------
    house : House
        Its ring may run either way round.
    floor : float
        Level on which doors stand at the least [mm above datum]: nobody builds a door that the deck would block.

    Returns
    -------
    tuple of Wall
        Anticlockwise round the house; `number` is the edge's number in the site file.
    """
    ring = np.array(house.walls, float)
    edges = list(range(len(ring)))
    following = np.roll(ring, -1, axis=0)
    anticlockwise = float(np.sum(ring[:, 0] * following[:, 1] - following[:, 0] * ring[:, 1])) > 0
    if not anticlockwise:
        ring = ring[::-1]
        edges = [(len(ring) - 2 - i) % len(ring) for i in edges]
    sides = np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    before = np.roll(sides, 1, axis=0)
    turns = np.arctan2(before[:, 0] * sides[:, 1] - before[:, 1] * sides[:, 0], np.sum(before * sides, axis=1))
    holes = [
        tuple(
            _hole(opening, float(length), anticlockwise, floor, house.height)
            for opening in house.openings
            if opening.wall == edge
        )
        for edge, length in zip(edges, lengths, strict=True)
    ]
    corners = [0 if abs(turn) < STRAIGHT else 1 if turn > 0 else -1 for turn in turns]
    seams = [_seam(float(length), cut) for length, cut in zip(lengths, holes, strict=True)]
    runs = set_out([float(length) for length in lengths], corners, seams)
    return tuple(
        Wall(
            number=edges[i],
            start=(float(ring[i, 0]), float(ring[i, 1])),
            along=(float(sides[i, 0] / lengths[i]), float(sides[i, 1] / lengths[i])),
            length=float(lengths[i]),
            turn_start=float(turns[i]),
            turn_end=float(turns[(i + 1) % len(ring)]),
            holes=holes[i],
            runs=runs[i],
        )
        for i in range(len(ring))
    )


def _hole(opening: Opening, length: float, forwards: bool, floor: float, eaves: float) -> Hole:
    start = opening.offset if forwards else length - opening.offset - opening.width
    start = min(max(start, 0.0), length)
    end = min(max(start + opening.width, 0.0), length)
    bottom = max(opening.sill, floor) if opening.kind in DOORS else opening.sill
    return Hole(start, end, bottom, min(bottom + opening.height, eaves - HEAD_COVER), opening)


def _seam(length: float, holes: Sequence[Hole]) -> float:
    if not holes:
        return length / 2
    widest = max(holes, key=lambda hole: hole.width)
    return (widest.start + widest.end) / 2


def shell(wall: Wall, base: float, eaves: float, *, brick: bool) -> Mesh:
    """Build a wall's face with its reveals and heads [mm].

    Parameters
    ----------
    wall : Wall
    base, eaves : float
        Levels between which it is seen [mm above datum].
    brick : bool
        Whether it is mapped as brickwork, with soldiers over openings; else u runs along and v up.
    """
    mesh = Mesh()
    soldiers = {hole: min(hole.top + SOLDIER, eaves) if brick else hole.top for hole in wall.holes}
    cuts = {0.0, wall.length, *(run.end for run in wall.runs[:-1])}
    cuts.update(edge for hole in wall.holes for edge in (hole.start, hole.end))
    for left, right in pairwise(sorted(cuts)):
        if right - left < 1e-6:
            continue
        over = [hole for hole in wall.holes if hole.start < (left + right) / 2 < hole.end]
        for low, high in _clear(base, eaves, [(hole.bottom, soldiers[hole]) for hole in over]):
            _panel(mesh, wall, (left, right), (low, high), brick=brick)
    for hole in wall.holes:
        _reveals(mesh, wall, hole, brick=brick)
        if brick:
            _soldiers(mesh, wall, hole, soldiers[hole])
    return mesh


def _clear(low: float, high: float, taken: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Give what is left of a range once others are taken out of it."""
    left, at = [], low
    for bottom, top in sorted(taken):
        if bottom > at:
            left.append((at, min(bottom, high)))
        at = max(at, top)
    if at < high:
        left.append((at, high))
    return left


def _panel(mesh: Mesh, wall: Wall, span: tuple[float, float], rise: tuple[float, float], *, brick: bool) -> None:
    (left, right), (low, high) = span, rise
    middle = (left + right) / 2
    run = next((run for run in wall.runs if run.start <= middle <= run.end), wall.runs[-1])
    u0, u1 = (run.u(left), run.u(right)) if brick else (left, right)
    corners = [wall.at(left, 0, low), wall.at(right, 0, low), wall.at(right, 0, high), wall.at(left, 0, high)]
    mesh.face(corners, [(u0, low), (u1, low), (u1, high), (u0, high)], STRETCHER_TAG)


def _reveals(mesh: Mesh, wall: Wall, hole: Hole, *, brick: bool) -> None:
    """Add the two jambs, and the underside of the head."""
    low, high = hole.bottom, hole.top
    for along, near, far in ((hole.start, 0.0, -REVEAL), (hole.end, -REVEAL, 0.0)):
        u = wall.u(along) - BRICK_DEPTH if near == 0.0 else wall.u(along)
        corners = [wall.at(along, near, low), wall.at(along, far, low)]
        corners += [wall.at(along, far, high), wall.at(along, near, high)]
        uv = [(u, low), (u + BRICK_DEPTH, low), (u + BRICK_DEPTH, high), (u, high)]
        mesh.face(corners, uv if brick else None, STRETCHER_TAG)
    first = _first_soldier(hole.width)
    corners = [wall.at(hole.start, -REVEAL, high), wall.at(hole.end, -REVEAL, high)]
    corners += [wall.at(hole.end, 0, high), wall.at(hole.start, 0, high)]
    uv = [(REVEAL, first), (REVEAL, first + hole.width), (0.0, first + hole.width), (0.0, first)]
    mesh.face(corners, uv if brick else None, SOLDIER_TAG)


def _soldiers(mesh: Mesh, wall: Wall, hole: Hole, top: float) -> None:
    first, rise = _first_soldier(hole.width), top - hole.top
    corners = [wall.at(hole.start, 0, hole.top), wall.at(hole.end, 0, hole.top)]
    corners += [wall.at(hole.end, 0, top), wall.at(hole.start, 0, top)]
    uv = [(0.0, first), (0.0, first + hole.width), (rise, first + hole.width), (rise, first)]
    mesh.face(corners, uv, SOLDIER_TAG)


def _first_soldier(width: float) -> float:
    """Centre the soldiers over an opening: where in the first of them it begins [mm]."""
    whole = -(-(width + JOINT) // COURSE) * COURSE - JOINT
    return (whole - width) / 2


def lining(wall: Wall, depth: float, base: float, top: float) -> Mesh:
    """Build the inner face of a wall, `depth` behind the outer one, cut round the same openings [mm]."""
    mesh = Mesh()
    start, end = depth * tan(wall.turn_start / 2), wall.length - depth * tan(wall.turn_end / 2)
    cuts = {start, end, *(edge for hole in wall.holes for edge in (hole.start, hole.end) if start < edge < end)}
    for left, right in pairwise(sorted(cuts)):
        over = [hole for hole in wall.holes if hole.start < (left + right) / 2 < hole.end]
        for low, high in _clear(base, top, [(hole.bottom, hole.top) for hole in over]):
            corners = [wall.at(right, -depth, low), wall.at(left, -depth, low)]
            mesh.face([*corners, wall.at(left, -depth, high), wall.at(right, -depth, high)])
    for hole in wall.holes:
        for along, near, far in ((hole.start, -REVEAL, -depth), (hole.end, -depth, -REVEAL)):
            corners = [wall.at(along, near, hole.bottom), wall.at(along, far, hole.bottom)]
            mesh.face([*corners, wall.at(along, far, hole.top), wall.at(along, near, hole.top)])
        corners = [wall.at(hole.start, -depth, hole.top), wall.at(hole.end, -depth, hole.top)]
        mesh.face([*corners, wall.at(hole.end, -REVEAL, hole.top), wall.at(hole.start, -REVEAL, hole.top)])
    return mesh

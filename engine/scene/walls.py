"""The house walls: where they stand and what is cut out of them; plain faces with reveals, outside and in.

Terminology
-----------
along, out, up   a wall's own coordinates [mm]: along it from its start corner with the house on the left,
                 out from its face into the garden, up from the ground datum.
hole             an opening in those coordinates.
reveal           the side of an opening between wall face and frame.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import tan

import numpy as np

from ..plan import Point2, Point3
from ..spec import House, Opening
from .brickwork import BRICK_DEPTH
from .coursing import clear
from .mesh import Mesh

REVEAL = BRICK_DEPTH
"""Depth from the wall face to the window frame [mm]: the outer leaf (common practice, no source)."""
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

    @property
    def out(self) -> Point2:
        """Unit normal, away from the house."""
        return (self.along[1], -self.along[0])

    def at(self, along: float, out: float, up: float) -> Point3:
        """Give the site coordinates of a place in the wall's own [mm]."""
        (ax, ay), (ox, oy) = self.along, self.out
        return (self.start[0] + along * ax + out * ox, self.start[1] + along * ay + out * oy, up)


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
    return tuple(
        Wall(
            number=edges[i],
            start=(float(ring[i, 0]), float(ring[i, 1])),
            along=(float(sides[i, 0] / lengths[i]), float(sides[i, 1] / lengths[i])),
            length=float(lengths[i]),
            turn_start=float(turns[i]),
            turn_end=float(turns[(i + 1) % len(ring)]),
            holes=holes[i],
        )
        for i in range(len(ring))
    )


def _hole(opening: Opening, length: float, forwards: bool, floor: float, eaves: float) -> Hole:
    start = opening.offset if forwards else length - opening.offset - opening.width
    start = min(max(start, 0.0), length)
    end = min(max(start + opening.width, 0.0), length)
    bottom = max(opening.sill, floor) if opening.kind in DOORS else opening.sill
    return Hole(start, end, bottom, min(bottom + opening.height, eaves - HEAD_COVER), opening)


def shell(wall: Wall, base: float, eaves: float) -> Mesh:
    """Build a wall's plain face with its reveals and heads, u along it and v up [mm].

    Parameters
    ----------
    wall : Wall
    base, eaves : float
        Levels between which it is seen [mm above datum].
    """
    mesh = Mesh()
    cuts = {0.0, wall.length, *(edge for hole in wall.holes for edge in (hole.start, hole.end))}
    for left, right in pairwise(sorted(cuts)):
        over = [hole for hole in wall.holes if hole.start < (left + right) / 2 < hole.end]
        for low, high in clear(base, eaves, [(hole.bottom, hole.top) for hole in over]):
            corners = [wall.at(left, 0, low), wall.at(right, 0, low), wall.at(right, 0, high), wall.at(left, 0, high)]
            mesh.face(corners, [(left, low), (right, low), (right, high), (left, high)])
    for hole in wall.holes:
        low, high = max(hole.bottom, base), hole.top
        if high <= low:
            continue
        for along, near, far in ((hole.start, 0.0, -REVEAL), (hole.end, -REVEAL, 0.0)):
            corners = [wall.at(along, near, low), wall.at(along, far, low)]
            mesh.face([*corners, wall.at(along, far, high), wall.at(along, near, high)])
        corners = [wall.at(hole.start, -REVEAL, high), wall.at(hole.end, -REVEAL, high)]
        mesh.face([*corners, wall.at(hole.end, 0, high), wall.at(hole.start, 0, high)])
    return mesh


def lining(wall: Wall, depth: float, base: float, top: float) -> Mesh:
    """Build the inner face of a wall, `depth` behind the outer one, cut round the same openings [mm]."""
    mesh = Mesh()
    start, end = depth * tan(wall.turn_start / 2), wall.length - depth * tan(wall.turn_end / 2)
    cuts = {start, end, *(edge for hole in wall.holes for edge in (hole.start, hole.end) if start < edge < end)}
    for left, right in pairwise(sorted(cuts)):
        over = [hole for hole in wall.holes if hole.start < (left + right) / 2 < hole.end]
        for low, high in clear(base, top, [(hole.bottom, hole.top) for hole in over]):
            corners = [wall.at(right, -depth, low), wall.at(left, -depth, low)]
            mesh.face([*corners, wall.at(left, -depth, high), wall.at(right, -depth, high)])
    for hole in wall.holes:
        for along, near, far in ((hole.start, -REVEAL, -depth), (hole.end, -depth, -REVEAL)):
            corners = [wall.at(along, near, hole.bottom), wall.at(along, far, hole.bottom)]
            mesh.face([*corners, wall.at(along, far, hole.top), wall.at(along, near, hole.top)])
        corners = [wall.at(hole.start, -depth, hole.top), wall.at(hole.end, -depth, hole.top)]
        mesh.face([*corners, wall.at(hole.end, -REVEAL, hole.top), wall.at(hole.start, -REVEAL, hole.top)])
    return mesh

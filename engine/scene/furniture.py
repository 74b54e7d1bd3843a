"""Furniture seen through the glass, in plain shapes of true size."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, pi, sin

from ..plan import Point2
from .mesh import Mesh
from .model import Surface
from .walls import Wall

PICTURE_LEVEL, PICTURE_SPACING = 1_550.0, 1_900.0
"""Height of pictures' middles above the floor, and from one to the next [mm] (ours)."""
ROUND = 12
"""Sides of what is round (ours)."""


@dataclass(slots=True)
class Room:
    """What a house's rooms are made of, by material."""

    plaster: Mesh = field(default_factory=Mesh)
    floor: Mesh = field(default_factory=Mesh)
    ceiling: Mesh = field(default_factory=Mesh)
    fabric: Mesh = field(default_factory=Mesh)
    cushion: Mesh = field(default_factory=Mesh)
    furniture: Mesh = field(default_factory=Mesh)
    picture: Mesh = field(default_factory=Mesh)
    lamp: Mesh = field(default_factory=Mesh)

    def surfaces(self) -> list[Surface]:
        """Close what there is of each as a surface."""
        parts = {
            "wall": self.plaster,
            "floor": self.floor,
            "ceiling": self.ceiling,
            "fabric": self.fabric,
            "cushion": self.cushion,
            "furniture": self.furniture,
            "picture": self.picture,
            "lamp": self.lamp,
        }
        return [
            mesh.surface(f"interior {name}", "Interior", f"interior {name}")
            for name, mesh in parts.items()
            if mesh.faces
        ]


@dataclass(frozen=True, slots=True)
class _Spot:
    """A place in a room: along the wall to the right, out towards the garden, up from the floor [mm]."""

    wall: Wall
    middle: Point2
    floor: float

    def box(self, mesh: Mesh, along: Point2, out: Point2, up: Point2) -> None:
        (ax, ay), (ox, oy) = self.wall.along, self.wall.out
        length, depth = along[1] - along[0], out[1] - out[0]
        corner = self.wall.at(self.middle[0] + along[0], self.middle[1] + out[1], self.floor + up[0])
        mesh.box(corner, (ax * length, ay * length, 0.0), (-ox * depth, -oy * depth, 0.0), (0.0, 0.0, up[1] - up[0]))

    def drum(self, mesh: Mesh, at: Point2, radii: Point2, up: Point2) -> None:
        """Stand a round body, its foot and its top of different radii."""
        rings = [
            [
                self.wall.at(
                    self.middle[0] + at[0] + radius * cos(2 * pi * i / ROUND),
                    self.middle[1] + at[1] + radius * sin(2 * pi * i / ROUND),
                    self.floor + level,
                )
                for i in range(ROUND)
            ]
            for radius, level in zip(radii, up, strict=True)
        ]
        foot, top = rings
        # Along, out and up are left-handed: a ring that runs from along to out is clockwise from above.
        for i in range(ROUND):
            j = (i + 1) % ROUND
            mesh.face([foot[j], foot[i], top[i], top[j]])
        mesh.face(top[::-1])
        mesh.face(foot)

    def legs(self, mesh: Mesh, along: Point2, out: Point2, high: float, thick: float) -> None:
        for x in (along[0], along[1] - thick):
            for y in (out[0], out[1] - thick):
                self.box(mesh, (x, x + thick), (y, y + thick), (0.0, high))


def sitting_group(room: Room, wall: Wall, middle: Point2, floor: float, ceiling: float) -> None:
    """Put a sofa with cushions, a low table on a rug, a sideboard and a floor lamp behind an opening."""
    spot = _Spot(wall, middle, floor)
    spot.box(room.cushion, (-1350, 1350), (-450, 1350), (0, 12))
    spot.box(room.fabric, (-1000, 1000), (-500, 380), (110, 300))
    for left in (-850.0, -280.0, 290.0):
        spot.box(room.fabric, (left, left + 560), (-330, 390), (300, 430))
        spot.box(room.fabric, (left + 10, left + 550), (-440, -270), (430, 780))
    spot.box(room.fabric, (-1000, 1000), (-500, -400), (300, 720))
    for left in (-1000.0, 860.0):
        spot.box(room.fabric, (left, left + 140), (-500, 380), (300, 580))
    spot.legs(room.furniture, (-980, 980), (-480, 360), 110.0, 40.0)
    for left, turn in ((-820.0, 0.0), (440.0, 40.0)):
        spot.box(room.cushion, (left, left + 400), (-270 + turn, -160 + turn), (440, 820))
    spot.box(room.furniture, (-480, 480), (700, 1180), (360, 390))
    spot.legs(room.furniture, (-450, 450), (730, 1150), 360.0, 35.0)
    spot.box(room.picture, (-200, 120), (840, 1050), (390, 420))
    spot.drum(room.furniture, (1280, -280), (130, 130), (0, 25))
    spot.drum(room.furniture, (1280, -280), (12, 12), (25, 1340))
    spot.drum(room.lamp, (1280, -280), (165, 120), (1330, 1560))


def dining_group(room: Room, wall: Wall, middle: Point2, floor: float, ceiling: float) -> None:
    """Put a table with six chairs, and a pendant over it, behind an opening."""
    spot = _Spot(wall, middle, floor)
    spot.box(room.furniture, (-900, 900), (-450, 450), (720, 750))
    spot.legs(room.furniture, (-860, 860), (-410, 410), 720.0, 65.0)
    spot.drum(room.cushion, (0, 0), (60, 95), (750, 930))
    for left in (-780.0, -220.0, 340.0):
        for near, far, rest in ((320.0, 760.0, 720.0), (-760.0, -320.0, -760.0)):
            spot.box(room.fabric, (left, left + 440), (near, far), (430, 475))
            spot.box(room.fabric, (left + 20, left + 420), (rest, rest + 40), (560, 860))
            spot.legs(room.furniture, (left, left + 440), (near, far), 430.0, 32.0)
    high = ceiling - floor
    spot.drum(room.furniture, (0, 0), (4, 4), (min(1720.0, high - 100.0), high))
    spot.drum(room.lamp, (0, 0), (190, 70), (min(1560.0, high - 300.0), min(1740.0, high - 120.0)))


def pictures(room: Room, start: Point2, along: Point2, span: Point2, floor: float) -> None:
    """Hang framed pictures on both sides of a stretch of partition, and stand a sideboard before longer ones."""
    (x0, y0), (ux, uy) = start, along
    count = int((span[1] - span[0]) // PICTURE_SPACING)
    for number in range(count):
        middle = span[0] + (number + 0.5) * (span[1] - span[0]) / count
        wide, high = ((900.0, 640.0), (520.0, 720.0))[number % 2]
        for mesh, grow, proud in ((room.furniture, 0.0, 24.0), (room.picture, -38.0, 27.0)):
            left, width, height = middle - wide / 2 - grow, wide + 2 * grow, high + 2 * grow
            mesh.box(
                (x0 + ux * left + uy * proud, y0 + uy * left - ux * proud, floor + PICTURE_LEVEL - height / 2),
                (ux * width, uy * width, 0.0),
                (-uy * (100.0 + 2 * proud), ux * (100.0 + 2 * proud), 0.0),
                (0.0, 0.0, height),
            )

"""What the walls of a house are faced with: brick, coursed stone, boards or render."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, floor, radians

from ..spec import House
from .board_mesh import randoms
from .brickwork import BRICK_DEPTH, BRICK_HEIGHT, BRICK_LENGTH, COURSE, JOINT, set_out
from .coursing import Course, Cutting
from .facework import Facework, Head, face_of, lay_wall
from .mesh import Mesh
from .model import Surface
from .tones import BOARDS, BRICKS, STONES
from .walls import Wall, shell

STRAIGHT = radians(10.0)
"""A corner that turns by less is built as one wall."""
POINTING = {"bucket-handle": 3.5, "recessed": 9.0}
"""How far the joints lie behind the bricks' faces [mm] (common practice, no source)."""
HEADS = {"soldier": Head(BRICK_LENGTH, BRICK_HEIGHT + JOINT), "brick-on-edge": Head(BRICK_DEPTH, BRICK_HEIGHT + JOINT)}
BRICK = Facework(Cutting(JOINT, BRICK_DEPTH, BRICK_LENGTH), POINTING["bucket-handle"], 1.6, HEADS["soldier"], BRICKS)

STONE_HEIGHTS = (75.0, 110.0, 140.0, 190.0)
"""Courses of squared rubble brought to courses [mm] (common practice, no source)."""
STONE = Facework(Cutting(10.0, 130.0, 520.0), 7.0, 5.0, Head(190.0, None, 130.0), STONES)
QUOIN_STONES = (380.0, 190.0)
"""Long and short face of a quoin stone, turned from course to course [mm] (ours)."""

BOARD_COVER, BOARD_GAP = 140.0, 8.0
"""What a cladding board covers, shadow gap and all [mm] (common practice for boards of 19 x 150, no source)."""
BOARD_LENGTHS = (3000.0, 4200.0)
BOARDING = Facework(Cutting(3.0, 250.0, 4800.0), 14.0, 1.0, None, BOARDS)

BEAD_LEVEL, BEAD_HEIGHT, BEAD_OUT = 150.0, 16.0, 9.0
"""Render stops on a bead, a step above the ground [mm] (150 mm as for a damp course; common practice, no source)."""


def faced_walls(house: House, walls: Sequence[Wall], base: float) -> list[Surface]:
    """Build the outer faces of all walls.

    Parameters
    ----------
    house : House
    walls : sequence of Wall
    base : float
        Level from which they are seen [mm above datum].
    """
    if house.finish == "render":
        return _rendered(walls, base, house.height)
    courses, work = {"brick": _brick, "stone": _stone, "timber": _boarded}[house.finish](house, walls, base)
    return [
        lay_wall(wall, laid, work, base, house.height).surface(f"wall {wall.number}", "House", "wall")
        for wall, laid in zip(walls, courses, strict=True)
    ]


def brick_courses(house: House, walls: Sequence[Wall], base: float) -> list[list[Course]]:
    """Set out the courses of bricks on every wall, between `base` [mm above datum] and the eaves."""
    settings = set_out(
        house.bond,
        [wall.length for wall in walls],
        [0 if abs(wall.turn_start) < STRAIGHT else 1 if wall.turn_start > 0 else -1 for wall in walls],
        [sorted(at for hole in wall.holes for at in (hole.start, hole.end)) for wall in walls],
        [_broken_at(wall) for wall in walls],
    )
    numbers = range(floor(base / COURSE), ceil(house.height / COURSE))
    rows = [
        (number, max(number * COURSE, base), min(number * COURSE + BRICK_HEIGHT, house.height)) for number in numbers
    ]
    return [
        [
            # Even courses are cut at jambs as they come, odd ones so that no straight joint is made.
            Course(i, low, high, *each.ends[i % 2], each.perpends[i % 2], each.perpends[0] if i % 2 else ())
            for i, low, high in rows
            if high > low
        ]
        for each in settings
    ]


def brick_facework(house: House) -> Facework:
    """Give the way in which a house's bricks are laid."""
    return replace(BRICK, depth=POINTING[house.pointing], head=HEADS[house.head])


def _brick(house: House, walls: Sequence[Wall], base: float) -> tuple[list[list[Course]], Facework]:
    return brick_courses(house, walls, base), brick_facework(house)


def _broken_at(wall: Wall) -> float:
    """Choose where a wall takes cut bricks if it must: in its widest opening, where fewest are seen."""
    if not wall.holes:
        return wall.length / 2
    widest = max(wall.holes, key=lambda hole: hole.width)
    return (widest.start + widest.end) / 2


def _stone(house: House, walls: Sequence[Wall], base: float) -> tuple[list[list[Course]], Facework]:
    """Course the stones of all walls at the same levels, with quoin stones long and short in turn."""
    rows, low, number = [], base, 0
    while low < house.height:
        height = STONE_HEIGHTS[floor(randoms(f"stone course {number}")[0] * len(STONE_HEIGHTS))]
        rows.append((number, low, min(low + height, house.height)))
        low, number = low + height + STONE.cutting.joint, number + 1
    return [
        [Course(i, low, high, 0.0, wall.length, _stones(wall, i, high - low)) for i, low, high in rows]
        for wall in walls
    ], STONE


def _stones(wall: Wall, course: int, height: float) -> tuple[float, ...]:
    """Part a course into stones between its quoins, each from one to three and a half times as long as high."""
    lead, tail = QUOIN_STONES[course % 2], QUOIN_STONES[(course + 1) % 2]
    perpends, at = [], lead
    while at < wall.length - tail:
        perpends.append(at)
        chance, _, _ = randoms(f"stone {wall.number} {course} {len(perpends)}")
        at += min(max(height * (1.1 + 2.4 * chance), STONE.cutting.least + 20.0), STONE.cutting.longest)
    if perpends and wall.length - tail - perpends[-1] < STONE.cutting.least:
        perpends.pop()
    return (*perpends, wall.length - tail) if wall.length > lead + tail else (wall.length / 2,)


def _boarded(house: House, walls: Sequence[Wall], base: float) -> tuple[list[list[Course]], Facework]:
    """Course the boards of all walls at the same levels, butted at staggered places where a wall is long."""
    rows = range(floor(base / BOARD_COVER), ceil(house.height / BOARD_COVER))
    courses = []
    for wall in walls:
        laid = []
        for i in rows:
            low, high = i * BOARD_COVER, min((i + 1) * BOARD_COVER - BOARD_GAP, house.height)
            laid.append(Course(i, max(low, base), high, 0.0, wall.length, _butts(wall, i)))
        courses.append([course for course in laid if course.high - course.low > BOARD_GAP])
    return courses, BOARDING


def _butts(wall: Wall, course: int) -> tuple[float, ...]:
    low, high = BOARD_LENGTHS
    first, _, _ = randoms(f"board {wall.number} {course}")
    at, butts = low / 2 + (high - low / 2) * first, []
    while at < wall.length - low / 4 and wall.length > high:
        butts.append(at)
        chance, _, _ = randoms(f"board {wall.number} {course} {len(butts)}")
        at += low + (high - low) * chance
    return tuple(butts)


def _rendered(walls: Sequence[Wall], base: float, eaves: float) -> list[Surface]:
    """Build smooth walls that end on a bead, over a plinth."""
    surfaces = []
    for wall in walls:
        surfaces.append(shell(wall, BEAD_LEVEL, eaves).surface(f"wall {wall.number}", "House", "wall"))
        plinth, bead, plane = Mesh(), Mesh(), face_of(wall)
        gaps = sorted((hole.start, hole.end) for hole in wall.holes if hole.bottom < BEAD_LEVEL)
        at = 0.0
        for start, end in [*gaps, (wall.length, wall.length)]:
            if start > at:
                plane.panel(plinth, (at, start), (base, BEAD_LEVEL))
                ledge = [plane.at(at, BEAD_LEVEL), plane.at(start, BEAD_LEVEL)]
                lip = [
                    plane.at(start, BEAD_LEVEL - BEAD_HEIGHT, BEAD_OUT),
                    plane.at(at, BEAD_LEVEL - BEAD_HEIGHT, BEAD_OUT),
                ]
                foot = [plane.at(at, BEAD_LEVEL - BEAD_HEIGHT), plane.at(start, BEAD_LEVEL - BEAD_HEIGHT)]
                bead.face([*ledge[::-1], *lip[::-1]])
                bead.face([*foot, *lip])
            at = max(at, end)
        for start, end in gaps:
            floor_level = min(hole.bottom for hole in wall.holes if hole.start == start)
            plane.panel(plinth, (start, end), (base, floor_level))
        if plinth.faces:
            surfaces.append(plinth.surface(f"plinth {wall.number}", "House", "sill"))
            surfaces.append(bead.surface(f"bead {wall.number}", "House", "fascia"))
    return surfaces

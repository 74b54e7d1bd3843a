"""What is seen through the glass: lined walls, floor and ceiling, a partition, and enough furniture to be lived in."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import shapely
from shapely.geometry import LineString, Point, Polygon

from .furniture import Room, dining_group, pictures, sitting_group
from .mesh import Mesh
from .model import Surface
from .walls import DOORS, Hole, Wall, lining

LINING = 175.0
"""From the wall face to the plaster, as far as the frames are deep [mm] (ours)."""
STOREY = 2400.0
"""Floor to ceiling [mm] (common practice, no source)."""
ROOM_DEPTH = 4600.0
"""From a window to the partition behind it [mm] (ours)."""
FURNISHED = 1100.0
"""Width of opening from which something stands behind it [mm] (ours)."""
FURNITURE_BACK, FURNITURE_ROOM = 2300.0, 900.0
"""How far in furniture stands, and the room that it takes round its middle [mm] (ours)."""
CURTAIN, FOLDS = 300.0, 14
"""How wide a drawn-back curtain hangs [mm], and in how many half folds (ours)."""
BLIND = 0.28
"""Share of a small window that its blind covers (ours)."""
CLEAR_OF_WALLS = 500.0


def interior(walls: Sequence[Wall], house: Polygon, floor: float, eaves: float) -> list[Surface]:
    """Build the rooms.

    Parameters
    ----------
    walls : sequence of Wall
    house : Polygon
        Outer wall faces [mm].
    floor, eaves : float
        Levels of the finished floor and of the soffit [mm above datum].
    """
    ceiling = min(floor + STOREY, eaves - 20.0)
    room = Room()
    for wall in walls:
        part = lining(wall, LINING, floor, ceiling)
        for face in part.faces:
            room.plaster.face([part.vertices[corner] for corner in face])
    inside = house.buffer(-LINING / 2, join_style="mitre")
    room.floor.floor(inside, floor)
    room.ceiling.floor(inside, ceiling, up=False)
    clear = house.buffer(-CLEAR_OF_WALLS, join_style="mitre")
    for wall in walls:
        _partition(room, wall, clear, floor, ceiling)
        for number, hole in enumerate(wall.holes):
            if hole.opening.kind in DOORS or hole.top - hole.bottom > 1500.0:
                _curtains(room.fabric, wall, hole, floor)
            else:
                _blind(room.fabric, wall, hole)
            middle, back = (hole.start + hole.end) / 2, FURNITURE_BACK
            spot = Point(wall.at(middle, -back, 0.0)[:2]).buffer(FURNITURE_ROOM, quad_segs=2)
            if hole.width >= FURNISHED and clear.contains(spot):
                group = dining_group if (wall.number + number) % 2 else sitting_group
                group(room, wall, (middle, -back), floor, ceiling)
    return room.surfaces()


def _partition(room: Room, wall: Wall, clear: Polygon, floor: float, ceiling: float) -> None:
    """Stand a wall behind the openings, as far back as the house allows, with a doorway and pictures in it."""
    if not wall.holes:
        return
    left = min(hole.start for hole in wall.holes) - 1500.0
    right = max(hole.end for hole in wall.holes) + 1500.0
    line = LineString([wall.at(left, -ROOM_DEPTH, 0.0)[:2], wall.at(right, -ROOM_DEPTH, 0.0)[:2]])
    for part in shapely.get_parts(line.intersection(clear)):
        if part.geom_type != "LineString" or part.length < 1800.0:
            continue
        (x0, y0), (x1, y1) = part.coords[0], part.coords[-1]
        ux, uy = (x1 - x0) / part.length, (y1 - y0) / part.length
        door = part.length * 0.62
        for start, end, low in (
            (0.0, door, floor),
            (door, door + 850.0, floor + 2050.0),
            (door + 850.0, part.length, floor),
        ):
            stop = min(end, part.length)
            if stop > start:
                length = stop - start
                room.plaster.box(
                    (x0 + ux * start, y0 + uy * start, low),
                    (ux * length, uy * length, 0.0),
                    (-uy * 100.0, ux * 100.0, 0.0),
                    (0.0, 0.0, ceiling - low),
                )
                if low == floor:
                    pictures(room, (x0, y0), (ux, uy), (start, stop), floor)


def _curtains(mesh: Mesh, wall: Wall, hole: Hole, floor: float) -> None:
    """Hang a drawn curtain at either side, in folds."""
    low = floor + 20.0 if hole.bottom < floor + 300.0 else hole.bottom - 150.0
    for start, step in ((hole.start - 120.0, 1.0), (hole.end + 120.0, -1.0)):
        folds = [
            (start + step * CURTAIN * fold / FOLDS, -LINING - (45.0 if fold % 2 else 100.0))
            for fold in range(FOLDS + 1)
        ]
        for (a0, o0), (a1, o1) in pairwise(folds):
            corners = [wall.at(a0, o0, low), wall.at(a1, o1, low), wall.at(a1, o1, hole.top + 80.0)]
            mesh.face([*corners, wall.at(a0, o0, hole.top + 80.0)])


def _blind(mesh: Mesh, wall: Wall, hole: Hole) -> None:
    """Draw a roller blind part of the way down."""
    low = hole.top - (hole.top - hole.bottom) * BLIND
    corners = [(hole.start, low), (hole.end, low), (hole.end, hole.top), (hole.start, hole.top)]
    mesh.face([wall.at(along, 10.0 - LINING, up) for along, up in corners])

"""What is seen through the glass: lined walls, floor and ceiling, a partition, and a little furniture."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import shapely
from shapely.geometry import LineString, Point, Polygon

from ..plan import Point2
from .mesh import Mesh
from .model import Surface
from .walls import Hole, Wall, lining

LINING = 175.0
"""From the wall face to the plaster, as far as the frames are deep [mm] (ours)."""
STOREY = 2400.0
"""Floor to ceiling [mm] (common practice, no source)."""
ROOM_DEPTH = 4600.0
"""From a window to the partition behind it [mm] (ours)."""
FURNISHED = 1100.0
"""Width of opening from which something stands behind it [mm] (ours)."""
CURTAIN = 340.0
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
    plaster, boards, above = Mesh(), Mesh(), Mesh()
    for wall in walls:
        part = lining(wall, LINING, floor, ceiling)
        for face in part.faces:
            plaster.face([part.vertices[corner] for corner in face])
    inside = house.buffer(-LINING / 2, join_style="mitre")
    boards.floor(inside, floor)
    above.floor(inside, ceiling, up=False)
    fabric, furniture, lamps = Mesh(), Mesh(), Mesh()
    clear = house.buffer(-CLEAR_OF_WALLS, join_style="mitre")
    for wall in walls:
        _partition(plaster, wall, clear, floor, ceiling)
        for number, hole in enumerate(wall.holes):
            _curtains(fabric, wall, hole, floor)
            if hole.width >= FURNISHED:
                _furnish(fabric, furniture, lamps, wall, hole, clear, floor, dining=(wall.number + number) % 2 == 1)
    parts = {
        "wall": plaster,
        "floor": boards,
        "ceiling": above,
        "fabric": fabric,
        "furniture": furniture,
        "lamp": lamps,
    }
    return [
        mesh.surface(f"interior {name}", "Interior", f"interior {name}") for name, mesh in parts.items() if mesh.faces
    ]


def _partition(mesh: Mesh, wall: Wall, clear: Polygon, floor: float, ceiling: float) -> None:
    """Stand a wall behind the openings, as far back as the house allows, with a doorway in it."""
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
                mesh.box(
                    (x0 + ux * start, y0 + uy * start, low),
                    (ux * length, uy * length, 0.0),
                    (-uy * 100.0, ux * 100.0, 0.0),
                    (0.0, 0.0, ceiling - low),
                )


def _curtains(mesh: Mesh, wall: Wall, hole: Hole, floor: float) -> None:
    """Hang a drawn curtain at either side, in folds."""
    low = floor + 20.0 if hole.bottom < floor + 300.0 else hole.bottom - 150.0
    for start, step in ((hole.start - 60.0, 1.0), (hole.end + 60.0, -1.0)):
        folds = [(start + step * CURTAIN * fold / 8, -LINING - (30.0 if fold % 2 else 75.0)) for fold in range(9)]
        for (a0, o0), (a1, o1) in pairwise(folds):
            corners = [wall.at(a0, o0, low), wall.at(a1, o1, low), wall.at(a1, o1, hole.top + 80.0)]
            mesh.face([*corners, wall.at(a0, o0, hole.top + 80.0)])


def _furnish(
    fabric: Mesh, wood: Mesh, lamps: Mesh, wall: Wall, hole: Hole, clear: Polygon, floor: float, *, dining: bool
) -> None:
    """Put a table with chairs or a sofa with a low table behind an opening, and a lamp over it."""
    middle = (hole.start + hole.end) / 2
    back = 2500.0
    if not clear.contains(Point(wall.at(middle, -back, 0.0)[:2]).buffer(900.0, quad_segs=2)):
        return

    def box(mesh: Mesh, along: Point2, out: Point2, up: Point2) -> None:
        (ax, ay), (ox, oy) = wall.along, wall.out
        length, depth = along[1] - along[0], out[1] - out[0]
        corner = wall.at(middle + along[0], out[1] - back, floor + up[0])
        mesh.box(corner, (ax * length, ay * length, 0.0), (-ox * depth, -oy * depth, 0.0), (0.0, 0.0, up[1] - up[0]))

    if dining:
        box(wood, (-900, 900), (-450, 450), (715, 750))
        for along in (-850, 790):
            for out in (-420, 360):
                box(wood, (along, along + 60), (out, out + 60), (0, 715))
        for along in (-600, 200):
            for out, rest in ((560, 960), (-960, -920)):
                box(fabric, (along, along + 420), (min(out, out + 380), out + 400), (430, 470))
                box(fabric, (along, along + 420), (rest, rest + 40), (430, 880))
        box(lamps, (-180, 180), (-180, 180), (1500, 1560))
        return
    box(fabric, (-1050, 1050), (-450, 400), (120, 420))
    box(fabric, (-1050, 1050), (-450, -250), (420, 820))
    for along in (-1050, 850):
        box(fabric, (along, along + 200), (-450, 400), (420, 600))
    box(wood, (-500, 500), (650, 1150), (330, 370))
    for along in (-450, 400):
        box(wood, (along, along + 50), (700, 1100), (0, 330))
    box(wood, (1250, 1290), (-300, -260), (0, 1400))
    box(lamps, (1130, 1410), (-420, -140), (1400, 1640))

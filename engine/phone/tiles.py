"""Walls and roofs to be pictured once and repeated: brickwork, stone, boards, slates."""

from __future__ import annotations

from dataclasses import replace

from ..plan import Point2, Point3
from ..scene.brickwork import BRICK_DEPTH, BRICK_LENGTH, COURSE, JOINT
from ..scene.finishes import BOARD_COVER, faced_walls
from ..scene.mesh import Mesh
from ..scene.model import Surface
from ..scene.roof import GAUGE, SLATE_WIDTH
from ..scene.walls import walls_of
from ..spec import House
from .model import Tile

LAID = ("brick", "stone", "timber")
"""Finishes of a house that are laid in courses, and so have a picture; render is of one colour."""
WIDTH = 2025.0
"""Of wall that repeats [mm]: a whole number of stretchers (9 x 225), and of a Flemish bond's header and stretcher
(6 x 337.5)."""
HEIGHTS = {"brick": 24 * COURSE, "stone": 1810.0, "timber": 13 * BOARD_COVER}
"""Of wall that repeats [mm]: it begins and ends at a bed joint, where what lies above never goes with what is below."""
ROOF_COURSES, ROOF_SLATES = 10, 8
OVERLAP = 150.0
"""What a picture is taken of to the right of what repeats, to be blended into its beginning [mm] (ours)."""
FROM_CORNER = 900.0
"""Where on a wall the picture is taken [mm] (ours): clear of quoins and, in its first third, of cut bricks."""
LONG = 40 * (BRICK_LENGTH + JOINT)
LENGTHS = {"stretcher": LONG + BRICK_DEPTH}
"""Of that wall [mm]: no joint is drawn wider or narrower to end on a brick; other bonds end on `LONG` less a joint."""


def wall_tile(house: House) -> Tile:
    """Lay a stretch of a house's wall on its back: along it is +x, up it is +y, out of it is +z [mm]."""
    length, height = LENGTHS.get(house.bond, LONG - JOINT), HEIGHTS[house.finish]
    ring = ((0.0, 0.0), (length, 0.0), (length, length), (0.0, length))
    plain = replace(house, walls=ring, openings=(), height=height)
    wall = walls_of(plain, 0.0)[0]
    surfaces = [
        replace(surface, vertices=tuple((x - FROM_CORNER, z, -y) for x, y, z in surface.vertices))
        for surface in faced_walls(plain, (wall,), 0.0)
    ]
    return Tile(tuple(_near(surface) for surface in surfaces), (WIDTH, height))


def roof_tile() -> Tile:
    """Lay slates flat: along the eaves is +x, up the slope is +y, out of it is +z [mm].

    The tails of the courses are in the roof's own faces, so none stand here.
    """
    mesh = Mesh()
    left, right = -OVERLAP, ROOF_SLATES * SLATE_WIDTH + 2 * OVERLAP
    for course in range(ROOF_COURSES):
        low, high = course * GAUGE, (course + 1) * GAUGE
        corners = [(left, low, 0.0), (right, low, 0.0), (right, high, 0.0), (left, high, 0.0)]
        mesh.face(corners, [(x, y) for x, y, _ in corners], (float(course), 0.0, 0.0))
    return Tile((mesh.surface("slates", "House", "roof"),), (ROOF_SLATES * SLATE_WIDTH, ROOF_COURSES * GAUGE))


def _near(surface: Surface) -> Surface:
    """Keep the faces over the picture, and those that reach over it from beside: joints run the whole wall."""

    def reaches(face: tuple[int, ...]) -> bool:
        along = [surface.vertices[i][0] for i in face]
        return max(along) > -OVERLAP and min(along) < WIDTH + 2 * OVERLAP

    kept = [number for number, face in enumerate(surface.faces) if reaches(surface.faces[number])]
    starts = [0]
    for face in surface.faces:
        starts.append(starts[-1] + len(face))
    vertices: list[Point3] = []
    faces: list[tuple[int, ...]] = []
    uv: list[Point2] = []
    for number in kept:
        face = surface.faces[number]
        faces.append(tuple(range(len(vertices), len(vertices) + len(face))))
        vertices.extend(surface.vertices[i] for i in face)
        uv.extend(surface.uv[starts[number] : starts[number + 1]])
    return replace(
        surface,
        vertices=tuple(vertices),
        faces=tuple(faces),
        uv=tuple(uv),
        tags=tuple(surface.tags[number] for number in kept),
    )

"""What the boards go round, as it stands: posts, downpipes, gullies, covers, trees."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import cos, hypot, pi, sin

from shapely.geometry import Polygon

from ..layout.obstacles import obstacle_polygon
from ..plan import Point2, Point3
from ..spec import Obstacle
from .crowns import crown
from .mesh import Mesh, rings
from .model import Surface
from .roof import FASCIA, GUTTER_DEPTH, gutter_line

POST_HEIGHT = 1800.0
"""Of a fence post above the ground [mm] (common practice, no source)."""
POST_CAP = 30.0
TRUNK_HEIGHT = 2300.0
CROWN = 1500.0
"""Least radius of a tree's crown [mm]; a thick trunk carries more (ours)."""
OTHER_HEIGHT = 600.0
FLUSH = 3.0
"""How far plates and grates lie below the boards' tops [mm] (common practice, no source)."""
UNDER_PANEL = 0.0
"""Level of what a lift-out panel lies over: the ground's [mm above datum] (ours)."""
GRATE_BAR, GRATE_SLOT = 14.0, 12.0
BRACKET_SPACING, BRACKET, SOCKET = 1200.0, 34.0, 55.0
"""Of a downpipe [mm] (common practice, no source)."""
SHOE, SHOE_LEVEL = 110.0, 90.0
"""How far a shoe turns out from the wall, and how high over the ground [mm] (common practice, no source)."""


def standing(
    obstacles: Sequence[Obstacle], surface: float, house: Polygon | None, eaves: float, *, decked: bool = True
) -> list[Surface]:
    """Build every obstacle.

    Parameters
    ----------
    obstacles : sequence of Obstacle
    surface : float
        Top of the boards [mm above datum].
    house : Polygon or None
        Outer wall faces, to whose gutter downpipes run [mm].
    eaves : float
        Level of the soffit [mm above datum].
    decked : bool
        Whether they stand in boards: a downpipe then goes through them to its drain, else it ends in a shoe.
    """
    surfaces = []
    for obstacle in obstacles:
        shape, mesh = obstacle_polygon(obstacle), Mesh()
        name = f"{obstacle.kind} {obstacle.name}"
        material = "metal"
        if obstacle.treatment == "hatch":  # whatever it is, a panel can lie over it
            (_grate if obstacle.kind == "gully" else _cover)(mesh, shape, UNDER_PANEL)
        elif obstacle.kind == "post":
            material = "metal" if obstacle.diameter is not None else "post"
            _post(mesh, shape)
        elif obstacle.kind == "downpipe":
            material = "gutter"
            _downpipe(mesh, shape, house, eaves, shoe=not decked)
        elif obstacle.kind == "gully":
            _grate(mesh, shape, surface - FLUSH)
        elif obstacle.kind == "cover":
            _cover(mesh, shape, surface - FLUSH)
        elif obstacle.kind == "tree":
            material = "bark"
            mesh.prism(shape, -100.0, TRUNK_HEIGHT)
            radius = max(CROWN, 4.0 * shape.minimum_clearance / 2)
            middle = (shape.centroid.x, shape.centroid.y, TRUNK_HEIGHT + radius * 0.7)
            surfaces.append(crown(f"{name} crown", middle, radius, obstacle.name))
        else:
            material = "post"
            mesh.prism(shape, 0.0, surface + OTHER_HEIGHT)
        surfaces.append(mesh.surface(name, "Obstacles", material))
    return surfaces


def _post(mesh: Mesh, shape: Polygon) -> None:
    """Stand a post with a weathered top."""
    for ring in rings(shape):
        mesh.skirt(ring, -100.0, POST_HEIGHT)
    peak = (shape.centroid.x, shape.centroid.y, POST_HEIGHT + POST_CAP)
    outline = rings(shape)[0]
    for (x0, y0), (x1, y1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        mesh.face([(x0, y0, POST_HEIGHT), (x1, y1, POST_HEIGHT), peak])


def _downpipe(mesh: Mesh, shape: Polygon, house: Polygon | None, eaves: float, *, shoe: bool) -> None:
    """Run a pipe up the wall and, by two bends, out to the gutter, held by brackets."""
    x, y = shape.centroid.x, shape.centroid.y
    radius = (shape.area / pi) ** 0.5
    if house is None:
        _tube(mesh, [(x, y, 0.0), (x, y, eaves)], radius)
        return
    outlet = eaves + FASCIA - 20.0 - GUTTER_DEPTH
    line = gutter_line(house).exterior
    to = line.interpolate(line.project(shape.centroid))
    wall = house.exterior.interpolate(house.exterior.project(shape.centroid))
    away = hypot(x - wall.x, y - wall.y)
    ox, oy = ((x - wall.x) / away, (y - wall.y) / away) if away > 1.0 else (0.0, 0.0)
    rise = min(350.0, eaves / 4)
    foot = [(x + ox * SHOE, y + oy * SHOE, SHOE_LEVEL), (x, y, SHOE_LEVEL + SHOE)] if shoe else [(x, y, 0.0)]
    _tube(mesh, [*foot, (x, y, eaves - rise), (to.x, to.y, eaves - 40.0), (to.x, to.y, outlet)], radius)
    up = BRACKET_SPACING / 2
    while up < eaves - rise:
        _tube(mesh, [(x, y, up), (x, y, up + BRACKET)], radius + 5.0)
        half, deep = radius + 26.0, away - radius
        if ox or oy:  # ears on the wall, and an arm to the pipe
            for wide, start, end in ((half, -1.0, 8.0), (14.0, 8.0, max(deep, 9.0))):
                corner = (wall.x + ox * start - oy * wide, wall.y + oy * start + ox * wide, up)
                across, out = (oy * 2 * wide, -ox * 2 * wide, 0.0), (ox * (end - start), oy * (end - start), 0.0)
                mesh.box(corner, across, out, (0.0, 0.0, BRACKET))
        up += BRACKET_SPACING
    for joint in (up for up in (eaves - rise - 90.0, SHOE_LEVEL + SHOE + 20.0) if up > 0.0):
        _tube(mesh, [(x, y, joint), (x, y, joint + SOCKET)], radius + 4.0)


def _tube(mesh: Mesh, line: Sequence[Point3], radius: float, sides: int = 16) -> None:
    """Draw a round pipe along a line that never runs level: its rings lie level."""
    around = [(radius * cos(2 * pi * i / sides), radius * sin(2 * pi * i / sides)) for i in range(sides)]
    for (x0, y0, z0), (x1, y1, z1) in pairwise(line):
        for (ax, ay), (bx, by) in zip(around, [*around[1:], around[0]], strict=True):
            mesh.face([(x0 + ax, y0 + ay, z0), (x0 + bx, y0 + by, z0), (x1 + bx, y1 + by, z1), (x1 + ax, y1 + ay, z1)])
    x, y, z = line[-1]
    mesh.face([(x + ax, y + ay, z) for ax, ay in around])


def _grate(mesh: Mesh, shape: Polygon, top: float) -> None:
    """Lay bars across a gully, over a dark sump."""
    west, south, east, north = shape.bounds
    mesh.floor(shape, top - 60.0)
    rim = shape.difference(shape.buffer(-14.0, join_style="mitre"))
    mesh.floor(rim, top)
    for ring in rings(shape):
        mesh.skirt(ring, top - 300.0, top)
    inner = shape.buffer(-14.0, join_style="mitre")
    x = west + 14.0 + GRATE_SLOT
    while x < east - 14.0:
        bar = inner.intersection(_rectangle(x, south, x + GRATE_BAR, north))
        if not bar.is_empty:
            mesh.floor(bar, top)
        x += GRATE_BAR + GRATE_SLOT


def _cover(mesh: Mesh, shape: Polygon, top: float) -> None:
    """Lay a plate in its frame, a dark line between."""
    inner = shape.buffer(-25.0, join_style="mitre")
    mesh.floor(shape.difference(inner), top)
    mesh.floor(inner, top - 12.0)
    mesh.floor(shape.buffer(-30.0, join_style="mitre"), top - 1.0)
    for ring in rings(shape):
        mesh.skirt(ring, top - 300.0, top)


def _rectangle(west: float, south: float, east: float, north: float) -> Polygon:
    ring: list[Point2] = [(west, south), (east, south), (east, north), (west, north)]
    return Polygon(ring)

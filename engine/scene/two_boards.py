"""The close view of two whole boards, from which grain and groove are told apart at a glance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin, tan

import shapely
from shapely.geometry import MultiPoint, Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..layout.axes import Axes
from ..layout.obstacles import obstacle_polygon
from ..plan import Piece, Plan, Point2
from .model import Camera, SceneModel
from .outlook import SENSOR

NAME = "two boards"
SHAPE = 1.5
"""Width of the picture over its height (ours): two boards fill its height, so a narrower crop shows them as well."""
LENS = 85.0
"""A lens for detail, that draws no board wedge-shaped [mm on a 36 mm sensor] (common practice, no source)."""
STEEP = 50.0
"""How steeply one looks down on the boards [degrees] (ours): flat enough to see relief, steep enough to see down it."""
LENGTH = 520.0
"""How much of both boards must be whole, with no joint, notch or end [mm]: more than the view is wide (ours)."""
CLEAR = 150.0
"""Room to be had round the camera [mm] (ours)."""
ROOF = 1_000.0
"""How much higher than the eaves what shades the deck is taken to be [mm] (ours): the roof."""
_SLIVER = 1.0
"""Area in which two boards may fall short of whole [mm2] (ours): rounding."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two boards side by side: the middle of a whole stretch of both, how they run [degrees] and how deep they are."""

    middle: Point2
    angle: float
    depth: float
    top: float


def two_boards(plan: Plan, model: SceneModel) -> Camera:
    """Look square across two boards that fill the picture, near where the close view looks.

    Parameters
    ----------
    plan : Plan
        Whose boards are looked at.
    model : SceneModel
        With the views `garden` and `close`. Boards in the sun are chosen before boards in the house's shade.

    Returns
    -------
    Camera
        Named `NAME`. Where no two whole boards lie side by side it is the close view.
    """
    views = {camera.name: camera for camera in model.cameras}
    close = views["close"]
    aim = looked_at(close, plan.site.deck.surface)
    pairs = sorted(_pairs(plan, aim), key=lambda pair: hypot(pair.middle[0] - aim[0], pair.middle[1] - aim[1]))
    blocked, shade = closed_to_cameras(plan), shade_of(plan, model)
    found = [(pair, look_across(pair, close.heading)) for pair in pairs]
    free = [(pair, camera) for pair, camera in found if blocked.distance(Point(camera.position[:2])) >= CLEAR]
    lit = (camera for pair, camera in free if shade.distance(Point(pair.middle)) >= LENGTH / 2)
    return next(lit, free[0][1] if free else replace(close, name=NAME))


def looked_at(camera: Camera, surface: float) -> Point2:
    """Give the place on the boards in the middle of a view that looks down."""
    ahead = (camera.position[2] - surface) / tan(radians(max(-camera.pitch, 1.0)))
    way = radians(camera.heading)
    return camera.position[0] + ahead * sin(way), camera.position[1] + ahead * cos(way)


def _pairs(plan: Plan, aim: Point2) -> Iterator[Pair]:
    """Find whole stretches of two boards side by side, each as near to a place as it can be."""
    width, pitch = plan.site.boards.width, plan.site.boards.width + plan.site.gaps.course
    courses: dict[tuple[str, int], list[tuple[Piece, Polygon]]] = {}
    for piece in plan.pieces:
        if piece.kind == "board":
            shape = Polygon(_turned(piece.polygon.outer, piece.direction), [
                _turned(hole, piece.direction) for hole in piece.polygon.holes
            ])  # fmt: skip
            courses.setdefault((piece.zone, piece.course), []).append((piece, shape))
    for (zone, course), pieces in courses.items():
        beside = courses.get((zone, course + 1 if course != -1 else 1), [])
        for piece, shape in pieces:
            for _, other in beside:
                whole = _whole_stretch(shape, other, width, pitch, _turned([aim], piece.direction)[0][0])
                if whole is not None:
                    yield Pair(_turned([whole], -piece.direction)[0], piece.direction, 2 * pitch, piece.top)


def _whole_stretch(one: Polygon, other: Polygon, width: float, pitch: float, aim: float) -> Point2 | None:
    """Give the middle of a whole stretch of two boards that lie along the first axis, as near to `aim` as can be."""
    (west, south, east, north), (west2, south2, east2, north2) = one.bounds, other.bounds
    middle = ((south + north) / 2 + (south2 + north2) / 2) / 2
    begin, end = max(west, west2) + LENGTH / 2, min(east, east2) - LENGTH / 2
    if end < begin or abs(abs(south2 - south) - pitch) > 1.0:
        return None
    both = shapely.union(one, other)
    for along in (min(max(aim, begin), end), (begin + end) / 2):
        part = shapely.box(along - LENGTH / 2, middle - pitch, along + LENGTH / 2, middle + pitch)
        if both.intersection(part).area >= 2 * width * LENGTH - _SLIVER:
            return along, middle
    return None


def look_across(pair: Pair, heading: float) -> Camera:
    """Stand back from two boards until they fill the picture, on the side from which the deck is looked at."""
    across = -pair.angle % 360.0  # square to the boards: they run at `angle` from +x, a heading counts from +y
    if cos(radians(across - heading)) < 0:
        across = (across + 180.0) % 360.0
    room = 2 * degrees(atan2(SENSOR / SHAPE / 2, LENS))
    near, far = 0.0, 100 * pair.depth  # bisected: further off, the boards take less of the picture
    for _ in range(60):
        reach = (near + far) / 2
        below = _below(reach, pair.depth)
        near, far = (reach, far) if below[0] - below[1] > room else (near, reach)
    back, high = reach * cos(radians(STEEP)), reach * sin(radians(STEEP))
    x, y = pair.middle
    place = (x - back * sin(radians(across)), y - back * cos(radians(across)), pair.top + high)
    return Camera(NAME, place, across, -(below[0] + below[1]) / 2, LENS)


def _below(reach: float, depth: float) -> tuple[float, float]:
    """How far below the horizon the near and the far edge of the boards are seen [degrees]."""
    back, high = reach * cos(radians(STEEP)), reach * sin(radians(STEEP))
    return degrees(atan2(high, back - depth / 2)), degrees(atan2(high, back + depth / 2))


def closed_to_cameras(plan: Plan) -> BaseGeometry:
    """Where no camera can be: in the house or in an obstacle."""
    house = () if plan.site.house is None else (Polygon(plan.site.house.walls),)
    return shapely.union_all([*house, *(obstacle_polygon(each) for each in plan.site.obstacles)])


def shade_of(plan: Plan, model: SceneModel) -> BaseGeometry:
    """The house's shadow on the deck, a little larger than it is."""
    house, sun = plan.site.house, model.sun
    if house is None:
        return Polygon()
    length = (house.height + ROOF - plan.site.deck.surface) / tan(radians(max(sun.elevation, 1.0)))
    away = radians(sun.azimuth + 180.0)
    dx, dy = length * sin(away), length * cos(away)
    ring = [*house.walls, house.walls[0]]
    sides = [MultiPoint([*pair, *((x + dx, y + dy) for x, y in pair)]).convex_hull for pair in pairwise(ring)]
    return shapely.union_all([Polygon(house.walls), *sides])


def _turned(ring: Sequence[Point2], angle: float) -> list[Point2]:
    """Give points along and across a direction [degrees from +x]."""
    axes = Axes(-angle)
    return [axes.point_to_site(x, y) for x, y in ring]

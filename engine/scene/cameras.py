"""Where to stand to look at the deck: found from the geometry of the site, for any site.

Terminology
-----------
standpoint   where a person could stand: on the deck or the lawn, clear of walls and obstacles.
survey       what is met round a standpoint, direction by direction: the nearest wall, and deck, ground or glass
             at each angle below and above the horizon.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..plan import Point2
from ..spec import View
from .model import Camera
from .walls import DOORS, Wall

Array = npt.NDArray[np.float64]

EYE = 1600.0
"""Height of a standing person's eye [mm] (common practice, no source)."""
SENSOR = 36.0
ASPECT = 16 / 9
"""Shape of the picture for which standpoints are judged."""
LENS = 22.0
"""A natural wide lens for rooms and gardens [mm on a 36 mm sensor] (common practice, no source)."""
SHIFT = -0.13
"""How far the picture is shifted towards the ground, verticals staying straight (ours, judged by eye)."""
BODY = 350.0
"""Room that a standing person takes, and the least distance to walls and obstacles [mm] (ours)."""
STANDPOINT_SPACING = 700.0
DIRECTIONS = 72
"""Directions surveyed round a standpoint."""
ROWS = 11
NEAR_OBSTACLE = 2_500.0
"""An obstacle nearer than this would fill the picture [mm] (ours)."""


@dataclass(frozen=True, slots=True)
class Ground:
    """All that a camera needs to know of a site [mm]."""

    deck: Polygon
    house: Polygon | None
    walls: tuple[Wall, ...]
    obstacles: BaseGeometry
    surface: float
    direction: float
    sun_azimuth: float

    def free(self, at: Point2) -> bool:
        """Tell whether one can stand there."""
        point = Point(at)
        return not any(each.distance(point) < BODY for each in (self.house, self.obstacles) if each is not None)

    def eye(self, at: Point2) -> float:
        """Level of the eye of someone who stands there [mm above datum]."""
        return EYE + (self.surface if self.deck.covers(Point(at)) else 0.0)


def cameras(ground: Ground, view: str | View) -> tuple[Camera, ...]:
    """Set up the cameras: `garden`, `doorway`, `above`, and the user's own if there is one.

    Parameters
    ----------
    ground : Ground
    view : str or View
        What the site file asks for.
    """
    found = [garden_camera(ground), doorway_camera(ground), above_camera(ground)]
    if isinstance(view, View):
        found.append(own_camera(view))
    return tuple(found)


def own_camera(view: View) -> Camera:
    """Look from one point to another."""
    dx, dy, dz = (to - start for to, start in zip(view.target, view.start, strict=True))
    return Camera("own", view.start, degrees(atan2(dx, dy)) % 360.0, degrees(atan2(dz, hypot(dx, dy))), view.lens)


def garden_camera(ground: Ground) -> Camera:
    """Stand at the far side of the deck, or just off it, where most deck and glass is seen."""
    standpoints = _standpoints(ground)
    if not len(standpoints):
        return above_camera(ground)
    scores, headings = _judge(ground, standpoints)
    best = int(np.argmax(scores))
    x, y = (float(value) for value in standpoints[best])
    return Camera("garden", (x, y, ground.eye((x, y))), float(headings[best]), 0.0, LENS, SHIFT)


def doorway_camera(ground: Ground) -> Camera:
    """Stand in the widest door that gives on the deck and look out over it."""
    doors = [
        (hole.width, wall, (hole.start + hole.end) / 2)
        for wall in ground.walls
        for hole in wall.holes
        if hole.opening.kind in DOORS
        and ground.deck.distance(Point(wall.at((hole.start + hole.end) / 2, 0.0, 0.0)[:2])) < EYE
    ]
    if not doors:
        middle = ground.deck.representative_point()
        return _look_round(ground, "doorway", (middle.x, middle.y), range(0, 360, 15))
    _, wall, along = max(doors, key=lambda door: door[0])
    facing = round(degrees(atan2(*wall.out)))
    for out in np.arange(BODY, 3_000.0, 100.0):
        x, y, _ = wall.at(along, float(out), 0.0)
        if ground.free((x, y)):
            return _look_round(ground, "doorway", (x, y), range(facing - 50, facing + 51, 10))
    return _look_round(ground, "doorway", wall.at(along, BODY, 0.0)[:2], [facing])


def above_camera(ground: Ground) -> Camera:
    """Look down on the whole deck from the garden's side."""
    ring = np.array(ground.deck.exterior.coords[:-1])
    middle = ground.deck.centroid
    heading = _towards_house(ground)
    forward = np.array([sin(radians(heading)), cos(radians(heading))])
    aside = np.array([forward[1], -forward[0]])
    offsets = ring - (middle.x, middle.y)
    pitch, lens = -48.0, 28.0
    reach = 2_000.0
    for reach in np.arange(2_000.0, 60_000.0, 250.0):
        ahead = offsets @ forward + reach * cos(radians(pitch))
        up = reach * sin(radians(pitch))
        depth = ahead * cos(radians(pitch)) + up * sin(radians(pitch))
        across, along = offsets @ aside, up * cos(radians(pitch)) - ahead * sin(radians(pitch))
        fits = (np.abs(across) < 0.46 * SENSOR / lens * depth) & (np.abs(along) < 0.44 * SENSOR / ASPECT / lens * depth)
        if np.all(depth > 500.0) and np.all(fits):
            break
    x, y = np.array([middle.x, middle.y]) - forward * float(reach) * cos(radians(pitch))
    return Camera(
        "above", (float(x), float(y), ground.surface - float(reach) * sin(radians(pitch))), heading, pitch, lens
    )


def _towards_house(ground: Ground) -> float:
    """Give the heading from the deck to the walls beside it [degrees clockwise from +y]."""
    if ground.house is None:
        return ground.direction % 360.0
    pull = np.zeros(2)
    for wall in ground.walls:
        side = shapely.LineString([wall.at(0.0, 0.0, 0.0)[:2], wall.at(wall.length, 0.0, 0.0)[:2]])
        pull -= side.intersection(ground.deck.buffer(100.0)).length * np.array(wall.out)
    if not np.any(pull):
        to, start = ground.house.centroid, ground.deck.centroid
        pull = np.array([to.x - start.x, to.y - start.y])
    return degrees(atan2(pull[0], pull[1])) % 360.0


def _standpoints(ground: Ground) -> Array:
    """Give places to stand, (n, 2) [mm]: over the deck and up to two strides off it."""
    reach = ground.deck.buffer(1_600.0)
    west, south, east, north = reach.bounds
    spacing = max(STANDPOINT_SPACING, hypot(east - west, north - south) / 24)
    grid = np.stack(np.meshgrid(np.arange(west, east, spacing), np.arange(south, north, spacing)), axis=-1).reshape(
        -1, 2
    )
    points = shapely.points(grid)
    free = shapely.intersects(reach, points) & ~shapely.dwithin(points, ground.obstacles, BODY)
    if ground.house is not None:
        free &= ~shapely.dwithin(points, ground.house, BODY)
    standpoints: Array = grid[free]
    return standpoints


def _look_round(ground: Ground, name: str, at: Point2, headings: Sequence[int]) -> Camera:
    """Stand in one place and turn to where most deck is seen."""
    survey = _Survey.of(ground, np.array([at]))
    score = [float(survey.seen(heading)[0][0]) - abs(turn) * 2e-4 for turn, heading in enumerate(headings)]
    middle = len(headings) // 2
    score = [value - 0.01 * abs(place - middle) for place, value in enumerate(score)]
    best = headings[int(np.argmax(score))]
    return Camera(name, (at[0], at[1], ground.eye(at)), best % 360.0, 0.0, LENS, SHIFT)


def _judge(ground: Ground, standpoints: Array) -> tuple[Array, Array]:
    """Find the best heading at each standpoint, and how good it is."""
    survey = _Survey.of(ground, standpoints)
    scores = np.full(len(standpoints), -np.inf)
    best = np.zeros(len(standpoints))
    home = _towards_house(ground)
    for heading in np.arange(0.0, 360.0, 360.0 / DIRECTIONS):
        deck, glass, wall, room = survey.seen(float(heading))
        # Boards that run slantwise through the picture show their joints and their grain; end on they are but lines.
        slant = abs(sin(radians(2 * ((90.0 - heading) - ground.direction))))
        lit = -cos(radians(heading - ground.sun_azimuth))
        score = np.minimum(deck, 0.45) + 1.5 * np.minimum(glass, 0.22) + 0.4 * np.minimum(wall, 0.3)
        score = score + 0.12 * slant + 0.03 * lit + 0.04 * cos(radians(heading - home)) - room
        better = score > scores
        scores[better], best[better] = score[better], heading
    return scores, best


@dataclass(frozen=True, slots=True)
class _Survey:
    """What is met round each of n standpoints: shares of the picture's height, direction by direction.

    Each array is (n, DIRECTIONS): `deck`, `glass` and `wall` in [0, 1], and `close` 1 where
    something stands too near.
    """

    deck: Array
    glass: Array
    wall: Array
    close: Array

    @classmethod
    def of(cls, ground: Ground, standpoints: Array) -> _Survey:
        bearings = np.radians(np.arange(DIRECTIONS) * 360.0 / DIRECTIONS)
        ways = np.stack([np.sin(bearings), np.cos(bearings)], axis=1)
        distance, along, number = _nearest_wall(ground.walls, standpoints, ways)
        half = SENSOR / ASPECT / LENS / 2
        rows = np.linspace(-half, half, ROWS) + SHIFT * SENSOR / LENS
        eyes = np.where(shapely.covers(ground.deck, shapely.points(standpoints)), EYE, EYE - ground.surface)
        below = rows[rows < -1e-6]
        reach = eyes[:, None, None] / -below[None, None, :]
        spots = standpoints[:, None, None, :] + ways[None, :, None, :] * reach[..., None]
        shapely.prepare(ground.deck)
        on_deck = shapely.contains_xy(ground.deck, spots[..., 0], spots[..., 1])
        deck = np.sum(on_deck & (reach < distance[..., None]), axis=2) / ROWS
        shown = np.isfinite(distance)
        up = np.where(shown, distance, 0.0)[..., None] * rows + (eyes + ground.surface)[:, None, None]
        eaves = 2.6 * 1000.0 + ground.surface
        wall = np.sum(shown[..., None] & (up > ground.surface) & (up < eaves), axis=2) / ROWS
        glass = np.zeros(distance.shape)
        for index, side in enumerate(ground.walls):
            for hole in side.holes:
                meets = shown & (number == index) & (along > hole.start) & (along < hole.end)
                pane = meets[..., None] & (up > hole.bottom) & (up < hole.top)
                glass += np.sum(pane, axis=2) / ROWS
        near = _near_obstacle(ground, standpoints, ways)
        close = ((distance < 1_200.0) | near).astype(float)
        return cls(deck, glass, wall, close)

    def seen(self, heading: float) -> tuple[Array, Array, Array, Array]:
        """Give the shares of a picture taken at a heading [degrees]: deck, glass, wall, and what stands too near."""
        bearings = np.arange(DIRECTIONS) * 360.0 / DIRECTIONS
        turn = np.radians((bearings - heading + 180.0) % 360.0 - 180.0)
        inside = np.abs(turn) < np.arctan(SENSOR / 2 / LENS)
        weight = np.where(inside, 1 / np.cos(np.where(inside, turn, 0.0)) ** 2, 0.0)
        weight /= weight.sum()
        return self.deck @ weight, self.glass @ weight, self.wall @ weight, self.close @ weight


def _nearest_wall(walls: Sequence[Wall], standpoints: Array, ways: Array) -> tuple[Array, Array, npt.NDArray[np.int64]]:
    """Find the first wall in each direction: its distance (inf for none), the place along it and its index."""
    shape = (len(standpoints), len(ways))
    nearest, place = np.full(shape, np.inf), np.zeros(shape)
    number = np.full(shape, -1)
    for index, wall in enumerate(walls):
        out, along = np.array(wall.out), np.array(wall.along)
        offset = (np.array(wall.start) - standpoints) @ out
        closing = ways @ out
        with np.errstate(divide="ignore", invalid="ignore"):
            distance = offset[:, None] / closing[None, :]
        spot = (standpoints - wall.start) @ along
        at = spot[:, None] + distance * (ways @ along)[None, :]
        hit = (closing[None, :] < -1e-9) & (distance > 0.0) & (at >= 0.0) & (at <= wall.length) & (distance < nearest)
        nearest, place, number = (
            np.where(hit, distance, nearest),
            np.where(hit, at, place),
            np.where(hit, index, number),
        )
    return nearest, place, number


def _near_obstacle(ground: Ground, standpoints: Array, ways: Array) -> npt.NDArray[np.bool_]:
    """Tell in which directions an obstacle stands so near that it would fill the picture."""
    if ground.obstacles.is_empty:
        return np.zeros((len(standpoints), len(ways)), np.bool_)
    near = shapely.distance(shapely.points(standpoints), ground.obstacles) < NEAR_OBSTACLE
    result = np.zeros((len(standpoints), len(ways)), np.bool_)
    if near.any():
        starts = np.repeat(standpoints[near], len(ways), axis=0)
        ends = starts + np.tile(ways * NEAR_OBSTACLE, (int(near.sum()), 1))
        rays = shapely.linestrings(np.stack([starts, ends], axis=1))
        shapely.prepare(ground.obstacles)
        result[near] = shapely.intersects(ground.obstacles, rays).reshape(-1, len(ways))
    return result

"""What is seen from a place in the garden: walls, glass, deck and ground, direction by direction.

Terminology
-----------
standpoint   where a person could stand: on the deck or the lawn, clear of walls and obstacles.
survey       what is met round a standpoint, direction by direction: the nearest wall, and deck, ground or glass
             at each angle below and above the horizon.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..plan import Point2
from ..spec import Look
from .levels import Level
from .walls import Wall

Array = npt.NDArray[np.float64]

EYES = {"standing": 1600.0, "sitting": 1150.0}
"""Height of the eye of a person who stands, and of one who sits in a garden chair [mm] (common practice, no source)."""
SENSOR = 36.0
ASPECT = 16 / 9
"""Shape of the picture for which standpoints are judged."""
LENS = 22.0
"""A natural wide lens for rooms and gardens [mm on a 36 mm sensor] (common practice, no source)."""
SHIFT = -0.13
"""How far the picture is shifted towards the ground, verticals staying straight (ours, judged by eye)."""
BEST_SLANT = 40.0
"""Angle between heading and boards at which joints, grain and grooves read best [degrees] (ours, judged by eye)."""
BODY = 350.0
"""Room that a standing person takes, and the least distance to walls and obstacles [mm] (ours)."""
STANDPOINT_SPACING = 700.0
OFF_DECK = 1_600.0
"""How far from the deck one may stand: two strides [mm] (ours)."""
DIRECTIONS = 72
"""Directions surveyed round a standpoint."""
ROWS = 11
"""Heights in the picture at which each direction is sampled."""
DECK_SAMPLING, DECK_SAMPLES = 300.0, 200
"""Least spacing [mm] and rough number of the places at which the deck is sampled (ours)."""
NEAR_WALL, NEAR_OBSTACLE = 1_200.0, 2_500.0
"""What stands nearer than this would fill the picture [mm] (ours)."""


@dataclass(frozen=True, slots=True)
class Ground:
    """All that a camera needs to know of a site [mm]."""

    levels: tuple[Level, ...]
    house: Polygon | None
    walls: tuple[Wall, ...]
    obstacles: BaseGeometry
    eaves: float
    direction: float
    sun_azimuth: float
    eye_height: float = EYES["standing"]

    @property
    def deck(self) -> BaseGeometry:
        """All decks with their openings."""
        return shapely.union_all([level.area for level in self.levels])

    @property
    def filled(self) -> BaseGeometry:
        """All decks without openings."""
        return shapely.union_all([level.filled for level in self.levels])

    @property
    def surface(self) -> float:
        """Top of the boards of the largest deck [mm above datum], from which heights in a picture are judged."""
        return max(self.levels, key=lambda level: level.area.area).surface

    def underfoot(self, points: Array) -> Array:
        """How high one stands at places (n, 2): on a deck or on the ground, (n,) [mm above datum]."""
        heights = np.zeros(len(points))
        for level in self.levels:
            heights[shapely.covers(level.area, shapely.points(points))] = level.surface
        return heights

    def free(self, at: Point2) -> bool:
        """Tell whether one can stand there."""
        point = Point(at)
        return not any(each.distance(point) < BODY for each in (self.house, self.obstacles) if each is not None)

    def eye(self, at: Point2) -> float:
        """Level of the eye of someone who stands or sits there [mm above datum]."""
        return self.eye_height + float(self.underfoot(np.array([at]))[0])


def eye_height_of(look: Look) -> float:
    """How high the eye is above what one stands or sits on [mm]."""
    return EYES[look.eye] if isinstance(look.eye, str) else look.eye


def off_boards(heading: Array | float, direction: float) -> Array:
    """Angle between a heading and boards that run at `direction`, 0 to 90 [degrees]."""
    angle: Array = np.abs(((90.0 - heading) - direction + 90.0) % 180.0 - 90.0)
    return angle


def standpoints_of(ground: Ground) -> Array:
    """Give places to stand, (n, 2) [mm]: over the deck and up to two strides off it."""
    reach = ground.filled.buffer(OFF_DECK)
    west, south, east, north = reach.bounds
    spacing = max(STANDPOINT_SPACING, hypot(east - west, north - south) / 24)
    grid = np.stack(np.meshgrid(np.arange(west, east, spacing), np.arange(south, north, spacing)), axis=-1).reshape(
        -1, 2
    )
    points = shapely.points(grid)
    free = shapely.intersects(reach, points) & ~shapely.dwithin(points, ground.obstacles, BODY)
    free &= ~shapely.contains(ground.filled, points) | shapely.covers(ground.deck, points)
    if ground.house is not None:
        free &= ~shapely.dwithin(points, ground.house, BODY)
    standpoints: Array = grid[free]
    return standpoints


@dataclass(frozen=True, slots=True)
class Survey:
    """What is met round each of n standpoints: shares of the picture's height, direction by direction.

    Each array is (n, DIRECTIONS): `deck`, `glass` and `wall` in [0, 1], `close` 1 where
    something stands too near, and `extent` the share of the whole deck's area that lies that way in sight.
    """

    deck: Array
    glass: Array
    wall: Array
    close: Array
    extent: Array

    @classmethod
    def of(cls, ground: Ground, standpoints: Array) -> Survey:
        """Survey all standpoints, (n, 2) [mm], at once."""
        bearings = np.radians(np.arange(DIRECTIONS) * 360.0 / DIRECTIONS)
        ways = np.stack([np.sin(bearings), np.cos(bearings)], axis=1)
        distance, along, number = _nearest_wall(ground.walls, standpoints, ways)
        half = SENSOR / ASPECT / LENS / 2
        rows = np.linspace(-half, half, ROWS) + SHIFT * SENSOR / LENS
        eyes = ground.eye_height + ground.underfoot(standpoints) - ground.surface
        below = rows[rows < -1e-6]
        reach = eyes[:, None, None] / -below[None, None, :]
        spots = standpoints[:, None, None, :] + ways[None, :, None, :] * reach[..., None]
        deck_area = ground.deck
        shapely.prepare(deck_area)
        on_deck = shapely.contains_xy(deck_area, spots[..., 0], spots[..., 1])
        deck = np.sum(on_deck & (reach < distance[..., None]), axis=2) / ROWS
        shown = np.isfinite(distance)
        up = np.where(shown, distance, 0.0)[..., None] * rows + (eyes + ground.surface)[:, None, None]
        wall = np.sum(shown[..., None] & (up > ground.surface) & (up < ground.eaves), axis=2) / ROWS
        glass = np.zeros(distance.shape)
        for index, side in enumerate(ground.walls):
            for hole in side.holes:
                meets = shown & (number == index) & (along > hole.start) & (along < hole.end)
                pane = meets[..., None] & (up > hole.bottom) & (up < hole.top)
                glass += np.sum(pane, axis=2) / ROWS
        near = _near_obstacle(ground, standpoints, ways)
        close = ((distance < NEAR_WALL) | near).astype(float)
        return cls(deck, glass, wall, close, _overlooked(deck_area, standpoints, distance))

    def seen(self, heading: float) -> tuple[Array, Array, Array, Array, Array]:
        """Give what a picture taken at a heading [degrees] shows.

        Shares of the picture that are deck, glass, wall and something too near; share of all the deck that is in it.
        """
        bearings = np.arange(DIRECTIONS) * 360.0 / DIRECTIONS
        turn = np.radians((bearings - heading + 180.0) % 360.0 - 180.0)
        inside = np.abs(turn) < np.arctan(SENSOR / 2 / LENS)
        weight = np.where(inside, 1 / np.cos(np.where(inside, turn, 0.0)) ** 2, 0.0)
        weight /= weight.sum()
        return self.deck @ weight, self.glass @ weight, self.wall @ weight, self.close @ weight, self.extent @ inside


def _overlooked(deck: BaseGeometry, standpoints: Array, distance: Array) -> Array:
    """Share out the deck's area among the directions in which it is seen from each standpoint, before any wall."""
    west, south, east, north = deck.bounds
    spacing = max(DECK_SAMPLING, (deck.area / DECK_SAMPLES) ** 0.5)
    spots = np.stack(np.meshgrid(np.arange(west, east, spacing), np.arange(south, north, spacing)), axis=-1)
    spots = spots[shapely.contains_xy(deck, spots[..., 0], spots[..., 1])]
    away = spots[None] - standpoints[:, None]
    bearing = np.round(np.degrees(np.arctan2(away[..., 0], away[..., 1])) * DIRECTIONS / 360.0).astype(int) % DIRECTIONS
    row = np.arange(len(standpoints))[:, None]
    in_sight = np.hypot(away[..., 0], away[..., 1]) < distance[row, bearing]
    extent = np.zeros(distance.shape)
    np.add.at(extent, (np.broadcast_to(row, bearing.shape), bearing), in_sight / max(len(spots), 1))
    return extent


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

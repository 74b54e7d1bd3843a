"""The view of a corner: near enough to see how the boards meet the house, or where the deck's own corner lies."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, degrees, hypot

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import Point
from shapely.geometry.base import BaseGeometry

from ..plan import Point2
from .model import Camera
from .outlook import BEST_SLANT, BODY, SENSOR, Array, Ground, off_boards

CORNER_LENS = 35.0
"""The lens of an eye that looks at one thing [mm on a 36 mm sensor] (common practice, no source)."""
CORNER_REACH = (2_200.0, 4_400.0)
"""How far from the corner one may stand [mm] (ours)."""
NEAREST = 3_000.0
"""The distance at which a corner fills the picture well [mm] (ours, judged by eye)."""
ROUND = 1_500.0
"""How far round a corner boards count [mm] (ours)."""
TOUCHING = 150.0
"""A corner of the house no further from the boards stands on the deck [mm] (ours)."""
LOW, MOST_SHIFT = 0.09, 0.36
"""How far below the picture's middle the corner's foot stands, and the most that a picture is shifted, as shares of
its width (ours)."""


def corner_camera(ground: Ground) -> Camera | None:
    """Stand before the corner with most deck round it, boards at a slant, the sun rather behind one.

    Parameters
    ----------
    ground : Ground

    Returns
    -------
    Camera or None
        None where there is no room to stand before any corner.
    """
    deck = ground.deck
    bearings, reaches = (
        each.ravel() for each in np.meshgrid(np.arange(0.0, 360.0, 10.0), np.arange(*CORNER_REACH, 200.0))
    )
    back = -reaches[:, None] * np.stack([np.sin(np.radians(bearings)), np.cos(np.radians(bearings))], axis=1)
    merits = (
        -np.abs(off_boards(bearings, ground.direction) - BEST_SLANT) / 90.0
        - np.abs(reaches - NEAREST) / NEAREST
        - 0.2 * np.cos(np.radians(bearings - ground.sun_azimuth))
    )
    best: tuple[float, Point2, Point2] | None = None
    for corner in _corners(ground, deck):
        boards = Point(corner).buffer(ROUND).intersection(deck).area / (np.pi * ROUND**2)
        places = corner + back
        worth = np.where(_can_be_seen_from(ground, places, corner), merits + 2.0 * boards, -np.inf)
        top = int(np.argmax(worth))
        if np.isfinite(worth[top]) and (best is None or worth[top] > best[0]):
            best = float(worth[top]), (float(places[top, 0]), float(places[top, 1])), corner
    return None if best is None else _looking(ground, best[1], best[2])


def _corners(ground: Ground, deck: BaseGeometry) -> Iterator[Point2]:
    """Give the house's corners that stand on the deck, or else the deck's own."""
    beside = [wall.at(0.0, 0.0, 0.0)[:2] for wall in ground.walls]
    on_deck = [corner for corner in beside if deck.distance(Point(corner)) < TOUCHING]
    if on_deck:
        yield from on_deck
        return
    for part in shapely.get_parts(ground.filled):
        yield from ((x, y) for x, y in part.exterior.coords[:-1])


def _can_be_seen_from(ground: Ground, places: Array, corner: Point2) -> npt.NDArray[np.bool_]:
    """Tell at which places (n, 2) one can stand with neither wall nor obstacle before the corner."""
    points = shapely.points(places)
    sights = shapely.linestrings(np.stack([places, np.broadcast_to(corner, places.shape)], axis=1))
    free: npt.NDArray[np.bool_] = shapely.contains(ground.filled, points)
    free &= ~shapely.dwithin(points, ground.obstacles, BODY) & ~shapely.intersects(sights, ground.obstacles)
    if ground.house is not None:
        free &= ~shapely.dwithin(points, ground.house, BODY)
        free &= shapely.length(shapely.intersection(sights, ground.house)) < 1.0
    return free


def _looking(ground: Ground, at: Point2, corner: Point2) -> Camera:
    dx, dy = corner[0] - at[0], corner[1] - at[1]
    eye = ground.eye(at)
    foot = (ground.surface - eye) / hypot(dx, dy) * CORNER_LENS / SENSOR
    shift = max(min(foot + LOW, 0.0), -MOST_SHIFT)
    return Camera("corner", (at[0], at[1], eye), degrees(atan2(dx, dy)) % 360.0, 0.0, CORNER_LENS, shift)

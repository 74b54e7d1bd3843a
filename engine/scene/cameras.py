"""Where to stand to look at the deck: found from the geometry of the site, for any site."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np
import shapely
from shapely.geometry import LineString, Point

from ..plan import Point2
from ..spec import View
from .corner import corner_camera
from .levels import nearest
from .model import Camera
from .outlook import (
    ASPECT,
    BEST_SLANT,
    BODY,
    DIRECTIONS,
    LENS,
    SENSOR,
    SHIFT,
    Array,
    Ground,
    Survey,
    off_boards,
    standpoints_of,
)
from .walls import DOORS

CLOSE_LENS = 80.0
CLOSE_SPOT = 500.0
CLOSE_REACH = (1_500.0, 6_000.0)
"""The close view: its lens, the radius of clear boarding aimed at, and how far ahead that may lie [mm] (ours)."""
ABOVE_PITCH, ABOVE_LENS, ABOVE_REACH, ABOVE_FILL = -48.0, 28.0, (2_000.0, 90_000.0), 0.9
"""The view from above: pitch [degrees], lens, how far off it may hang [mm], and the share of the picture that the deck
may take (ours)."""
LEVEL_WITHIN = 25.0
"""A view of one's own that looks up or down by no more is taken level and shifted, so that verticals stay straight
[degrees] (ours)."""
DOOR_REACH = 1_500.0
"""A door this near the deck gives on it [mm] (ours)."""
DOORSTEP = (BODY, 3_000.0)
"""How far out from a door the view from the doorway may stand [mm] (ours)."""
TURN, TURN_COST = 10, 0.01
"""Steps by which a doorway's view may turn aside [degrees], and the share of the picture that each must win (ours)."""
ENOUGH = {"deck": 0.45, "glass": 0.22, "wall": 0.30}
"""Shares of the picture beyond which more is no better (ours, judged by eye)."""
WORTH = {"deck": 1.0, "glass": 1.5, "wall": 0.4, "extent": 0.35, "slant": 0.12, "light": 0.03, "home": 0.10}
"""What makes a garden view good (ours, judged by eye on three sites): deck, glass and wall in it, how much of the whole
deck it takes in, boards at a slant, the sun behind one, and the house ahead."""


def cameras(ground: Ground, view: str | View) -> tuple[Camera, ...]:
    """Set up the cameras: `garden`, `doorway`, `above`, `corner`, `close`, and the user's own if there is one.

    Where there is no room to stand before a corner, `corner` looks from the garden.

    Parameters
    ----------
    ground : Ground
    view : str or View
        What the site file asks for.
    """
    garden = garden_camera(ground)
    corner = corner_camera(ground) or replace(garden, name="corner")
    found = [garden, doorway_camera(ground), above_camera(ground), corner, close_camera(ground, garden)]
    if isinstance(view, View):
        found.append(own_camera(view))
    return tuple(found)


def own_camera(view: View) -> Camera:
    """Look from one point to another, verticals straight unless it is steeply up or down."""
    dx, dy, dz = (to - start for to, start in zip(view.target, view.start, strict=True))
    heading, pitch = degrees(atan2(dx, dy)) % 360.0, degrees(atan2(dz, hypot(dx, dy)))
    if abs(pitch) > LEVEL_WITHIN:
        return Camera("own", view.start, heading, pitch, view.lens)
    return Camera("own", view.start, heading, 0.0, view.lens, dz / hypot(dx, dy) * view.lens / SENSOR)


def garden_camera(ground: Ground) -> Camera:
    """Stand at the far side of the deck, or just off it, where most deck and glass is seen."""
    standpoints = standpoints_of(ground)
    if not len(standpoints):
        return replace(above_camera(ground), name="garden")
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
        and ground.deck.distance(Point(wall.at((hole.start + hole.end) / 2, 0.0, 0.0)[:2])) < DOOR_REACH
    ]
    if not doors:
        middle = ground.deck.representative_point()
        return _look_round(ground, "doorway", (middle.x, middle.y), range(0, 360, 15))
    _, wall, along = max(doors, key=lambda door: door[0])
    facing = round(degrees(atan2(*wall.out)))
    for out in np.arange(*DOORSTEP, 100.0):
        x, y, _ = wall.at(along, float(out), 0.0)
        if ground.free((x, y)):
            return _look_round(ground, "doorway", (x, y), range(facing - 5 * TURN, facing + 6 * TURN, TURN))
    return _look_round(ground, "doorway", wall.at(along, BODY, 0.0)[:2], [facing])


def above_camera(ground: Ground) -> Camera:
    """Look down on the whole deck from the garden's side."""
    ring = shapely.get_coordinates(ground.deck.convex_hull)
    middle = ground.deck.centroid
    heading = _towards_house(ground)
    forward = np.array([sin(radians(heading)), cos(radians(heading))])
    aside = np.array([forward[1], -forward[0]])
    offsets = ring - (middle.x, middle.y)
    pitch, lens = ABOVE_PITCH, ABOVE_LENS
    reach = 0.0
    for reach in np.arange(*ABOVE_REACH, 250.0):
        ahead = offsets @ forward + reach * cos(radians(pitch))
        up = reach * sin(radians(pitch))
        depth = ahead * cos(radians(pitch)) + up * sin(radians(pitch))
        across, along = offsets @ aside, up * cos(radians(pitch)) - ahead * sin(radians(pitch))
        half = ABOVE_FILL * SENSOR / lens / 2 * depth
        fits = (np.abs(across) < half) & (np.abs(along) < half / ASPECT)
        if np.all(depth > 500.0) and np.all(fits):
            break
    x, y = np.array([middle.x, middle.y]) - forward * float(reach) * cos(radians(pitch))
    return Camera(
        "above", (float(x), float(y), ground.surface - float(reach) * sin(radians(pitch))), heading, pitch, lens
    )


def close_camera(ground: Ground, garden: Camera) -> Camera:
    """Look down from the garden view's place at the nearest boards, close enough to tell their faces apart."""
    x, y, eye = garden.position
    clear = ground.deck.difference(ground.obstacles).buffer(-CLOSE_SPOT)
    way = (sin(radians(garden.heading)), cos(radians(garden.heading)))
    reaches = np.arange(*CLOSE_REACH, 100.0)
    on_boards = shapely.contains_xy(clear, x + way[0] * reaches, y + way[1] * reaches)
    ahead = float(reaches[np.argmax(on_boards)])
    boards = nearest(ground.levels, (x + way[0] * ahead, y + way[1] * ahead)).surface
    down = degrees(atan2(eye - boards, ahead))
    return Camera("close", garden.position, garden.heading, -down, CLOSE_LENS)


def line_of_sight(ground: Ground, camera: Camera) -> LineString:
    """Give the line on the ground from a camera to the middle of the deck: no tree may stand in it."""
    middle = ground.deck.centroid
    return LineString([camera.position[:2], (middle.x, middle.y)])


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


def _look_round(ground: Ground, name: str, at: Point2, headings: Sequence[int]) -> Camera:
    """Stand in one place and turn to where most deck is seen."""
    survey = Survey.of(ground, np.array([at]))
    # Straight ahead is the middle of the headings: to turn aside must be worth it.
    middle = (len(headings) - 1) / 2
    scores = [
        float(survey.seen(heading)[0][0]) - TURN_COST * abs(place - middle) for place, heading in enumerate(headings)
    ]
    best = headings[int(np.argmax(scores))]
    return Camera(name, (at[0], at[1], ground.eye(at)), best % 360.0, 0.0, LENS, SHIFT)


def _judge(ground: Ground, standpoints: Array) -> tuple[Array, Array]:
    """Find the best heading at each standpoint, and how good it is."""
    survey = Survey.of(ground, standpoints)
    scores = np.full(len(standpoints), -np.inf)
    best = np.zeros(len(standpoints))
    home = _towards_house(ground)
    for heading in np.arange(0.0, 360.0, 360.0 / DIRECTIONS):
        deck, glass, wall, close, extent = survey.seen(float(heading))
        slant = 1.0 - np.abs(off_boards(heading, ground.direction) - BEST_SLANT) / BEST_SLANT
        merits: dict[str, Array | float] = {
            "deck": np.minimum(deck, ENOUGH["deck"]),
            "glass": np.minimum(glass, ENOUGH["glass"]),
            "wall": np.minimum(wall, ENOUGH["wall"]),
            "extent": extent,
            "slant": slant,
            "light": -cos(radians(heading - ground.sun_azimuth)),
            "home": cos(radians(heading - home)),
        }
        score = -close
        for name, merit in merits.items():
            score = score + WORTH[name] * merit
        better = score > scores
        scores[better], best[better] = score[better], heading
    return scores, best

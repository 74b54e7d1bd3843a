"""Where two pieces of a zone face each other, end to end along a course or side to side across courses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point

from .model import TOLERANCE, Zone

REACH = 100.0
"""How far past the proper gap a facing piece is looked for [mm]; the bare-spot rule sees what is wider."""
SAMPLES = (0.02, 0.35, 0.5, 0.65, 0.98)
"""Where across a shared face the gap is measured: near both ends, midway, and beside it, where no joint lies."""
OPEN_WIDTH = 40.0
"""Width [mm] of open ground from which a gap wider than it should be is one: the contract's narrowest bare spot.

Without it a look through the butt joint of the course between, or along a neck too thin to be laid, would count.
"""
LEAST_FACE = 1.0
"""Shared face too short to be called one [mm]."""


@dataclass(frozen=True, slots=True)
class Facing:
    """The gap between two pieces at one line square to it: pieces by position, `first` lower along or across."""

    first: int
    second: int
    start: tuple[float, float]
    end: tuple[float, float]

    @property
    def gap(self) -> float:
        """Width of the gap [mm]."""
        return abs(self.end[0] - self.start[0]) + abs(self.end[1] - self.start[1])

    @property
    def middle(self) -> Point:
        """Midway across the gap, in board axes."""
        return Point((self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2)


def near_pairs(zone: Zone, distance: float) -> np.ndarray:
    """Pairs of pieces no further apart than a distance, each pair once, (n, 2)."""
    if not zone.pieces:
        return np.empty((0, 2), dtype=int)
    pairs = zone.tree.query(zone.shapes, predicate="dwithin", distance=distance).T
    return pairs[pairs[:, 0] < pairs[:, 1]]


def end_to_end(zone: Zone) -> list[Facing]:
    """Facing ends along a course with nothing but free boardable ground between: the places of butt joints."""
    pairs = near_pairs(zone, zone.ground.gaps["butt"] + REACH)
    courses = np.array([p["course"] for p in zone.pieces], dtype=int)
    return free_facings(
        zone, pairs[courses[pairs[:, 0]] == courses[pairs[:, 1]]], axis=0, proper=zone.ground.gaps["butt"]
    )


def side_to_side(zone: Zone) -> list[Facing]:
    """Facing sides of pieces of different courses with nothing but free boardable ground between."""
    pairs = near_pairs(zone, zone.ground.gaps["course"] + REACH)
    courses = np.array([p["course"] for p in zone.pieces], dtype=int)
    return free_facings(
        zone, pairs[courses[pairs[:, 0]] != courses[pairs[:, 1]]], axis=1, proper=zone.ground.gaps["course"]
    )


def free_facings(zone: Zone, pairs: np.ndarray, axis: int, proper: float) -> list[Facing]:
    """Find gaps measured parallel to an axis (0 along, 1 across) at a few lines over each pair's shared face."""
    if not len(pairs):
        return []
    boxes = shapely.bounds(zone.shapes)
    one, two = boxes[pairs[:, 0]], boxes[pairs[:, 1]]
    other = 1 - axis
    low = np.maximum(one[:, other], two[:, other])
    high = np.minimum(one[:, other + 2], two[:, other + 2])
    shared = high - low > LEAST_FACE
    pairs, low, high = (np.repeat(a[shared], len(SAMPLES), axis=0) for a in (pairs, low, high))
    fractions = np.tile(SAMPLES, len(pairs) // len(SAMPLES))
    ends = np.empty((len(pairs), 2, 2))
    ends[:, :, other] = (low + fractions * (high - low))[:, None]
    both = boxes[pairs]
    ends[:, 0, axis], ends[:, 1, axis] = both[:, :, axis].min(axis=1), both[:, :, axis + 2].max(axis=1)
    return _free_runs(zone, pairs, shapely.linestrings(ends), axis, proper)


def _free_runs(zone: Zone, pairs: np.ndarray, lines: np.ndarray, axis: int, proper: float) -> list[Facing]:
    left_over = shapely.difference(shapely.difference(lines, zone.shapes[pairs[:, 0]]), zone.shapes[pairs[:, 1]])
    runs, source = shapely.get_parts(left_over, return_index=True)
    runs, source = runs[shapely.length(runs) > 0], source[shapely.length(runs) > 0]
    of = pairs[source]
    touching = np.all([shapely.dwithin(runs, zone.shapes[of[:, k]], 1e-6) for k in (0, 1)], axis=0)
    # Measured without the last hundredth at each end, where the run touches the pieces that bound it.
    inner_ends = [shapely.line_interpolate_point(runs, f, normalized=True) for f in (0.01, 0.99)]
    inner = shapely.linestrings(np.stack([shapely.get_coordinates(points) for points in inner_ends], axis=1))
    free = touching & shapely.covers(zone.bare, inner)
    wide = free & (shapely.length(runs) > proper + TOLERANCE)
    free[wide] = shapely.covers(zone.bare, shapely.buffer(inner[wide], OPEN_WIDTH / 2, cap_style="flat"))
    found = []
    for run, (i, j) in zip(runs[free], of[free], strict=True):
        start, end = sorted(run.coords, key=lambda xy: xy[axis])[:: len(run.coords) - 1]
        first, second = (i, j) if shapely.distance(zone.shapes[i], Point(start)) < 1e-6 else (j, i)
        found.append(Facing(int(first), int(second), start, end))
    return found

"""The close view for choices whose boards are alike but lie otherwise: a place where their joints or borders differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..plan import Plan
from .model import Camera, SceneModel
from .outlook import Array
from .two_boards import CLEAR, NAME, Pair, closed_to_cameras, look_across, looked_at, shade_of

BOARDS = 4
"""How many boards deep the view is (ours): room for a corner of a border, or for joints of some courses."""
SAME = 12.0
"""Edges of two choices that lie nearer to each other than this are one [mm] (ours: a gap may be so wide)."""
SPACING = 25.0
"""At which the edges that differ are sampled [mm] (ours)."""
REACH = 0.45
"""How far round the middle of the view edges count, as a share of its depth (ours)."""
SHADED, FAR = 0.5, 20_000.0
"""What a place in the house's shade counts for, and how far off a place counts for half [mm] (ours)."""
MOST_TRIED = 400
"""Places that are tried (ours)."""


def where_they_differ(plans: Sequence[Plan], model: SceneModel) -> Camera | None:
    """Look at a few boards where the first plan and the others differ most, the same place for all.

    Parameters
    ----------
    plans : sequence of Plan
        Two or more of one site.
    model : SceneModel
        With the view `close`.

    Returns
    -------
    Camera or None
        Named as the view of two boards, in whose stead it is. None where boards of another kind, face or direction are
        compared: then any boards show it.
    """
    first = plans[0]
    directions = {zone.id: zone.direction for zone in first.zones}
    if any({zone.id: zone.direction for zone in plan.zones} != directions for plan in plans):
        return None
    points = _differences(plans)
    if not len(points):
        return None
    depth = BOARDS * (first.site.boards.width + first.site.gaps.course)
    tried = points[:: max(1, len(points) // MOST_TRIED)]
    near = np.hypot(*(tried[:, None] - points[None]).transpose(2, 0, 1)) < REACH * depth
    close = next(camera for camera in model.cameras if camera.name == "close")
    aim, closed, shade = looked_at(close, first.site.deck.surface), closed_to_cameras(first), shade_of(first, model)
    best: tuple[float, Camera] | None = None
    for (x, y), count in zip(tried.tolist(), near.sum(axis=1).tolist(), strict=True):
        worth = count / (1 + hypot(x - aim[0], y - aim[1]) / FAR)
        worth *= SHADED if shade.intersects(Point(x, y)) else 1.0
        if best is not None and worth <= best[0]:
            continue
        angle, top = _lie(first, (x, y))
        camera = replace(look_across(Pair((x, y), angle, depth, top), close.heading), name=NAME)
        sight = LineString([(x, y), camera.position[:2]])
        if closed.distance(Point(camera.position[:2])) >= CLEAR and sight.intersection(closed).length < 1.0:
            best = worth, camera
    return None if best is None else best[1]


def _differences(plans: Sequence[Plan]) -> Array:
    """Sample the edges of boards that the first plan has and another has not, or the other way round, (n, 2) [mm]."""
    first, *others = [_edges(plan) for plan in plans]
    apart = [part for other in others for part in (_without(first, other), _without(other, first))]
    lines = shapely.segmentize(shapely.union_all(apart), SPACING)
    points: Array = shapely.get_coordinates(lines)
    return points


def _edges(plan: Plan) -> BaseGeometry:
    shapes = MultiPolygon([Polygon(each.polygon.outer) for each in plan.pieces if each.kind != "fascia"])
    return shapes.boundary


def _without(lines: BaseGeometry, others: BaseGeometry) -> BaseGeometry:
    return lines.difference(others.buffer(SAME, quad_segs=2, cap_style="square"))


def _lie(plan: Plan, at: tuple[float, float]) -> tuple[float, float]:
    """Say how the nearest field board runs [degrees] and how high its top is [mm above datum]."""
    field = [each for each in plan.pieces if each.kind == "board"] or list(plan.pieces)
    away = shapely.distance(shapely.polygons([Polygon(each.polygon.outer).exterior for each in field]), Point(at))
    nearest = field[int(np.argmin(away))]
    return nearest.direction, nearest.top

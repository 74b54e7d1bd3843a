"""Divider boards: where zones meet, a single board along the seam that both fields end at."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ..spec import Site
from .axes import Axes
from .border import Strip, Vector, half_plane, mitre_normal
from .courses import is_box, solid_parts
from .obstacles import kept_clear
from .pieces import LaidPiece
from .region import deck_area, open_area
from .zones import ZoneArea


def divider_strips(site: Site, zone: ZoneArea, taken: BaseGeometry) -> tuple[Strip, ...]:
    """The dividers counted with a zone, clear of what edge boards have taken, mitred where a seam bends."""
    if site.pattern.seam != "divider" or zone.own_seams.is_empty:
        return ()
    free = open_area(site, deck_area(site), Polygon()).difference(shapely.union_all([*kept_clear(site), taken]))
    strips: list[Strip] = []
    laid: list[BaseGeometry] = []
    number = 0
    for seam in shapely.get_parts(shapely.line_merge(zone.own_seams)):
        for a, b, before, after in _legs(shapely.get_coordinates(seam)):
            number += 1
            cell = _cell(site, a, b, before, after).intersection(free)
            if laid:
                cell = cell.difference(shapely.union_all(laid).buffer(site.gaps.course, join_style="mitre"))
            axes, edge = Axes(round(math.degrees(math.atan2(*(b - a)[::-1])) % 360.0, 9)), f"{zone.id}-S{number}"
            for polygon in solid_parts(axes.to_local(cell)):
                strips.append(Strip(f"{edge}R1", edge, "border", 1, axes, polygon, is_box(polygon), divides=True))
                laid.append(axes.to_site(polygon))
    return tuple(strips)


def _legs(corners: Vector) -> list[tuple[Vector, Vector, Vector | None, Vector | None]]:
    """Straight legs of a seam, each with the corner before its start and that after its end, if it has any."""
    closed = len(corners) > 2 and bool(np.allclose(corners[0], corners[-1]))
    first, last = (corners[-2], corners[1]) if closed else (None, None)
    before = [first, *corners[:-2]]
    after = [*corners[2:], last]
    return [(a, b, p, n) for (a, b), p, n in zip(pairwise(corners), before, after, strict=True)]


def _cell(site: Site, a: Vector, b: Vector, before: Vector | None, after: Vector | None) -> BaseGeometry:
    """One leg's band, from end to end, or to the bisector where the seam bends."""
    width, along = site.boards.width, (b - a) / np.hypot(*(b - a))
    inward = np.array((-along[1], along[0]))
    reach = float(np.hypot(*(b - a))) + 4 * width
    band: BaseGeometry = Polygon(
        [a + u * along + v * width / 2 * inward for u, v in ((-reach, -1), (reach, -1), (reach, 1), (-reach, 1))]
    )
    for corner, away, neighbour in ((a, along, before), (b, -along, after)):
        if neighbour is None:
            point, normal = corner, away
        else:
            normal = mitre_normal(away, (neighbour - corner) / np.hypot(*(neighbour - corner)))
            point = corner + normal * site.gaps.butt / 2
        band = band.intersection(half_plane(point, normal, 2 * reach))
    return band


def is_divider(piece: LaidPiece) -> bool:
    """Whether a piece lies along a seam, as its name says: A-S1R1-2."""
    return piece.kind == "border" and piece.id.split("-")[1].startswith("S")

"""Border and nosing boards: rings of boards along chosen edges, mitred or butted where two edges meet.

The field stops one course gap short of them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ..plan import PieceKind
from ..spec import Site
from .axes import Axes
from .courses import is_box, solid_parts
from .obstacles import kept_clear
from .region import open_area
from .sides import Side
from .wall import moved_out
from .zones import ZoneArea

Vector = NDArray[np.float64]
GENTLE = math.radians(45.0)
"""At a corner that turns less, a board ends square: run on to the next edge it would end in a feather."""


@dataclass(frozen=True, slots=True)
class Strip:
    """An unbroken stretch of one ring, before it is butted: `polygon` in axes along its edge, the deck at higher v."""

    name: str
    edge: str
    kind: PieceKind
    ring: int
    axes: Axes
    polygon: Polygon
    whole: bool
    divides: bool = False
    """Whether it lies between two zones, on their rims."""


@dataclass(frozen=True, slots=True)
class Mitre:
    """Where two sides' boards meet: from the corner inwards along the cut, in site axes."""

    corner: tuple[float, float]
    inner: tuple[float, float]


def ring_pitch(site: Site) -> float:
    """From one ring to the next [mm]."""
    return site.boards.width + site.gaps.course


def depth_of(site: Site, side: Side) -> float:
    """From an edge to the inner side of its trim [mm]; zero if it has none."""
    if not side.rings:
        return 0.0
    return offset_of(site, side) + len(side.rings) * ring_pitch(site) - site.gaps.course


def offset_of(site: Site, side: Side) -> float:
    """What the outermost ring keeps off its edge [mm]: the gap at a wall."""
    return site.gaps.wall + moved_out(site, side.edge) if side.at_wall else 0.0


def border_strips(site: Site, zone: ZoneArea, sides: Sequence[Side]) -> tuple[Strip, ...]:
    """Border and nosing boards of a zone, ring by ring, the longer sides first.

    Where strips would overlap, as in a neck narrower than two borders, the earlier one is laid.
    """
    if not any(side.rings for side in sides):
        return ()
    # At a seam two borders meet end to end, or as the mitre of a corner that it runs into.
    free = open_area(site, zone.area, zone.seams, site.gaps.butt / 2).difference(shapely.union_all(kept_clear(site)))
    gap = min(site.gaps.course, site.gaps.butt)
    strips: list[Strip] = []
    laid: list[BaseGeometry] = []
    order = sorted(range(len(sides)), key=lambda i: (-sides[i].length, sides[i].edge))
    for ring in range(max(len(side.rings) for side in sides)):
        for i in order:
            if ring >= len(sides[i].rings):
                continue
            cell = _cell(site, sides, i, ring).intersection(free)
            crowding = [other for other in laid if other.distance(cell) < gap - 1e-2]
            if crowding:
                cell = cell.difference(shapely.union_all(crowding).buffer(gap, join_style="mitre"))
            made = _strips(zone, sides[i], ring, cell)
            strips += made
            laid += [strip.axes.to_site(strip.polygon) for strip in made]
    return tuple(strips)


def covered(strips: Sequence[Strip], site: Site) -> BaseGeometry:
    """What the field keeps off: the strips and the gaps between and beside them."""
    if not strips:
        return Polygon()
    shapes = shapely.union_all([strip.axes.to_site(strip.polygon) for strip in strips])
    close = max(site.gaps.butt, site.gaps.course) / 2 + 0.1
    closed = shapes.buffer(close, join_style="mitre").buffer(-close, join_style="mitre")
    return shapely.union(closed, shapes).buffer(site.gaps.course, join_style="mitre")


def _strips(zone: ZoneArea, side: Side, ring: int, cell: BaseGeometry) -> list[Strip]:
    axes, edge = Axes(side.angle), f"{zone.id}-E{side.edge}"
    return [
        Strip(f"{edge}R{ring + 1}", edge, side.rings[ring], ring + 1, axes, polygon, is_box(polygon))
        for polygon in solid_parts(axes.to_local(cell))
    ]


def _cell(site: Site, sides: Sequence[Side], i: int, ring: int) -> BaseGeometry:
    """Where a ring of one side lies: a band along it, cut at both corners."""
    side, reach = sides[i], 2.0 * sum(s.length for s in sides)
    low = offset_of(site, side) + ring * ring_pitch(site)
    start, along, inward = np.asarray(side.start), side.along, side.inward
    corners = [start + u * along + v * inward for u, v in _band(-reach, reach, low, low + site.boards.width)]
    band: BaseGeometry = Polygon(corners)
    for other, corner, away in (
        (sides[i - 1], np.asarray(side.start), along),
        (sides[(i + 1) % len(sides)], np.asarray(side.end), -along),
    ):
        point, normal = _corner_cut(site, side, other, corner, away, ring)
        band = band.intersection(half_plane(point, normal, 2 * reach))
    return band


def _corner_cut(site: Site, side: Side, other: Side, corner: Vector, away: Vector, ring: int) -> tuple[Vector, Vector]:
    """Line at which a ring ends at a corner: a point of it and the normal towards the ring.

    Where the other side has the same ring, the two are mitred, or the longer runs through if the corner is sharp
    enough. A further ring runs on to the inner side of the other's trim, or to its edge; round a corner that points
    into the deck it ends square.
    """
    gap, width, pitch = site.gaps.butt, site.boards.width, ring_pitch(site)
    other_away = other.along if away @ side.along < 0 else -other.along
    convex = float(side.inward @ other_away) > 0.0
    offset, depth = offset_of(site, other), len(other.rings)
    if ring >= depth:
        if not convex or turns_gently(away, other_away):
            return corner, away
        return corner + other.inward * (offset + depth * pitch - site.gaps.course + gap if depth else 0.0), other.inward
    if site.pattern.border.corners == "mitre" or turns_gently(away, other_away):
        normal = mitre_normal(away, other_away)
        return corner + normal * gap / 2, normal
    through = (side.length, -side.edge) > (other.length, -other.edge)
    outer = offset + ring * pitch
    if convex:
        before = outer - site.gaps.course + gap if ring else offset
        return corner + other.inward * (before if through else outer + width + gap), other.inward
    return corner + other.inward * (outer + width if through else outer - gap), -other.inward


def turns_gently(away: Vector, other_away: Vector) -> bool:
    """Whether two sides, each given by its way from the corner, run nearly on in one line."""
    return float(away @ other_away) < -math.cos(GENTLE)


def mitre_normal(away: Vector, other_away: Vector) -> Vector:
    """Unit normal, towards the first side, of the line that halves the angle between two sides.

    Parameters
    ----------
    away, other_away : ndarray, shape (2,)
        Unit vectors from the corner along either side.
    """
    apart: Vector = away - other_away
    normal: Vector = apart / np.hypot(*apart)
    return normal


def mitres_of(site: Site, sides: Sequence[Side]) -> tuple[Mitre, ...]:
    """Every corner at which two sides' boards are mitred: the line that halves it, as deep as both reach."""
    found = []
    for side, other in zip(sides, (*sides[1:], sides[0]), strict=True):
        common = min(len(side.rings), len(other.rings))
        mitred = site.pattern.border.corners == "mitre" or turns_gently(-side.along, other.along)
        if not common or not mitred:
            continue
        corner = np.asarray(side.end)
        way = other.along - side.along
        if float(side.inward @ other.along) < 0.0:  # a corner that points into the deck
            way = -way
        if np.hypot(*way) < 1e-6:
            way = side.inward
        way = way / np.hypot(*way)
        deep = (common * ring_pitch(site) - site.gaps.course + offset_of(site, side)) / float(way @ side.inward)
        inner = corner + way * deep
        found.append(Mitre((float(corner[0]), float(corner[1])), (float(inner[0]), float(inner[1]))))
    return tuple(found)


def half_plane(point: Vector, normal: Vector, reach: float) -> Polygon:
    """The side of a line towards its normal, as a square of some reach."""
    along = np.array((-normal[1], normal[0]))
    return Polygon([point + u * along + v * normal for u, v in _band(-reach, reach, 0.0, reach)])


def _band(start: float, end: float, low: float, high: float) -> tuple[tuple[float, float], ...]:
    return ((start, low), (end, low), (end, high), (start, high))

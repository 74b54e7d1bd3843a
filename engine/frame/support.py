"""What bears a run of boards: where along it a member lies under at least half of its width."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from ..layout.chords import Bools, Floats, chords
from ..layout.clip import Box, within
from .ground import Span

SHARE = 0.5
"""A member bears a board where it lies under this share of the board's width."""
HALF_SHARE = 0.2
"""Of one half of a board's width, the other being borne as well, this share is enough; common practice, no source."""
OVERHANG = 50.0
"""How far a board end may reach past its last support [mm]; common practice, no source."""
SAMPLE = 12.0
"""Step at which a slanted bearing is looked at along the board [mm]: a quarter of a usual joist's breadth."""
LEAST_SEAT = 200.0
"""A board bears on a member on no less than this [mm2]: half the least bearing of a board end on 20 mm of width."""
ALONG = 15.0
"""A member at less than this angle to the boards lies along them [degrees]."""
JOINED = 0.5
"""Bearings no further than this from each other are one [mm]."""
TOLERANCE = 0.01
"""A bay too wide by no more than this is as wide as allowed [mm]."""
STANDS = 40.0
"""Width of board from which a foot stands on it [mm], the plan's own measure of a bare spot."""


@dataclass(frozen=True, slots=True)
class Support:
    """A member's footprint, with what is asked of it again and again."""

    shape: BaseGeometry
    box: Box
    square: bool
    """Whether it is its own box: the member lies along the boards or square to them."""
    along: bool
    """Whether its longer sides run along the boards."""


def support(shape: BaseGeometry) -> Support:
    """Look at a member's footprint once, for all the boards over it."""
    return supports([shape])[0]


def supports(shapes: Sequence[BaseGeometry]) -> list[Support]:
    """Look at the footprints of many members."""
    members: NDArray[np.object_] = np.array(shapes, dtype=object)
    boxes = map(tuple, shapely.bounds(members).reshape(-1, 4).tolist())
    return list(map(Support, shapes, boxes, lie_square(members).tolist(), lie_along(members).tolist()))


def lie_square(members: NDArray[np.object_]) -> Bools:
    """Whether each footprint is its own box: the member lies along the boards or square to them."""
    x0, y0, x1, y1 = shapely.bounds(members).T
    square: Bools = (x1 - x0) * (y1 - y0) - shapely.area(members) < 1.0
    return square


def lie_along(members: NDArray[np.object_]) -> Bools:
    """Whether the longer sides of each footprint run along the boards."""
    corners, owner = shapely.get_coordinates(members, return_index=True)
    first = np.searchsorted(owner, np.arange(len(members)))
    one, other = corners[first + 1] - corners[first], corners[first + 2] - corners[first + 1]
    longer = np.where(((one**2).sum(axis=1) >= (other**2).sum(axis=1))[:, None], one, other)
    along: Bools = np.abs(longer[:, 1]) < np.abs(longer[:, 0]) * math.tan(math.radians(ALONG))
    return along


def bearings(polygon: Polygon, whole: bool, supports: Sequence[Support], share: float = SHARE) -> list[Span]:
    """Intervals along u in which a board is borne, merged and in order.

    Parameters
    ----------
    polygon : Polygon
        A piece, or a body of one, in board axes.
    whole : bool
        Whether it is a rectangle.
    supports : sequence of Support
        Members that may lie under it.
    share : float
        Share of the board's width that must lie on them.
    """
    start, bottom, end, top = polygon.bounds
    spans: list[Span] = []
    partial, slanted = [], []
    for member in supports:
        x0, y0, x1, y1 = member.box
        if x1 <= start or x0 >= end or y1 <= bottom or y0 >= top:
            continue
        if member.square and y0 <= bottom and y1 >= top:
            spans.append((max(x0, start), min(x1, end)))
        elif member.square and whole:
            partial.append(member.box)
        else:
            slanted.append(member.shape)
    if slanted:
        slanted += [box(*part) for part in partial]
        spans.extend(_sampled(polygon, slanted, start, end, share))
    elif partial:
        spans.extend(_swept(partial, (start, bottom, end, top), share))
    return merged(spans)


def borne(
    polygon: Polygon,
    whole: bool,
    supports: Sequence[Support],
    clear: float,
    widest: float = math.inf,
    share: float = SHARE,
) -> list[Span]:
    """Bearings of a board, none if it rests on a mere corner; no more of them than show that it lacks nothing.

    Members that lie square under a board's whole width are known from their bounds. Where these alone leave no gap,
    nor any bay of more than `widest`, the others are not looked at.
    """
    start, bottom, end, top = polygon.bounds
    spans = merged(
        [
            (max(m.box[0], start), min(m.box[2], end))
            for m in supports
            if m.square and m.box[1] <= bottom and m.box[3] >= top and m.box[0] < end and m.box[2] > start
        ]
    )
    if not gaps(polygon, spans, clear) and all(high - low <= widest for (_, low), (high, _) in pairwise(spans)):
        return spans
    return bearings(polygon, whole, supports, share) if rests(polygon, whole, supports) else []


def _swept(members: list[Box], board: Box, share: float) -> list[Span]:
    """Bearing of a rectangular board on members that cover a part of its width, from one member's end to the next."""
    start, bottom, end, top = board
    stops = sorted({start, end, *(x for x0, _, x1, _ in members for x in (x0, x1) if start < x < end)})
    spans = []
    for low, high in pairwise(stops):
        under = merged([(max(y0, bottom), min(y1, top)) for x0, y0, x1, y1 in members if x0 <= low and x1 >= high])
        if sum(y1 - y0 for y0, y1 in under) >= share * (top - bottom) - 1e-6:
            spans.append((low, high))
    return spans


def _sampled(
    polygon: Polygon, members: list[BaseGeometry], start: float, end: float, share: float
) -> list[Span]:
    """Bearing of members that cross a board askew or cover a part of its width, from cross-sections."""
    under = shapely.union_all(members).intersection(polygon)
    if under.is_empty:
        return []
    spans: list[Span] = []
    for part in shapely.get_parts(under):
        x0, _, x1, _ = part.bounds
        count = max(1, int((x1 - x0) / SAMPLE))
        step = (x1 - x0) / count
        middles = x0 + (np.arange(count) + 0.5) * step
        borne, full = (
            np.bincount(c.place, c.length, count) for c in (chords(under, middles), chords(polygon, middles))
        )
        for x in middles[(full > 0) & (borne >= share * full - 1e-6)].tolist():
            spans.append((max(start, x - step / 2), min(end, x + step / 2)))
    return spans


def _across(shape: BaseGeometry, places: Floats) -> Floats:
    """How much of a shape lies across the boards at each place along them [mm]."""
    found = chords(shape, places)
    total: Floats = np.bincount(found.place, found.length, len(places)).astype(float)
    return total


def merged(spans: list[Span]) -> list[Span]:
    """Intervals joined where they touch."""
    out: list[Span] = []
    for low, high in sorted(spans):
        if out and low <= out[-1][1] + JOINED:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out


def bays(polygon: Polygon, whole: bool, supports: Sequence[Support], breadth: float, enough: int) -> int:
    """Number of bays that a board bears on: stretches between supports that lie apart, a double being one.

    A ledger or rim along the board carries it and bounds no bay. It may be counted no further than `enough`.
    """
    crossing = sorted((member for member in supports if not member.along), key=lambda member: member.box[0])
    seats = (_seat(polygon, whole, member) for member in crossing)
    # Square members lie on the board in the order of their bounds; the seats of others are known only when all are.
    in_order = seats if all(member.square for member in crossing) else sorted(seats)
    lines, reached = 0, -math.inf
    for low, high, area in in_order:
        if area < LEAST_SEAT:
            continue
        if low - reached > breadth / 2:
            lines += 1
            if lines > enough:
                break
        reached = max(reached, high)
    return max(0, lines - 1)


def rests(polygon: Polygon, whole: bool, supports: Sequence[Support]) -> bool:
    """Whether any member bears a board on more than a corner."""
    return any(_seat(polygon, whole, member)[2] >= LEAST_SEAT for member in supports)


def _seat(polygon: Polygon, whole: bool, member: Support) -> tuple[float, float, float]:
    """Where a board lies on a member along u, from and to, and on what area."""
    if whole and member.square:
        (x0, y0, x1, y1), (start, bottom, end, top) = member.box, polygon.bounds
        low, high = max(x0, start), min(x1, end)
        return low, high, max(0.0, high - low) * max(0.0, min(y1, top) - max(y0, bottom))
    shared = within(polygon, member.box) if member.square else member.shape.intersection(polygon)
    return (shared.bounds[0], shared.bounds[2], shared.area) if shared.area else (0.0, 0.0, 0.0)


def gaps(polygon: Polygon, spans: list[Span], clear: float) -> list[Span]:
    """Stretches of a board that lack support: bays wider than `clear`, ends that reach out too far."""
    start, _, end, _ = polygon.bounds
    found: list[Span] = []
    if not spans:
        return [(start, end)]
    if spans[0][0] - start > OVERHANG:
        found.append((start, spans[0][0]))
    for (_, low), (high, _) in pairwise(spans):
        if high - low > clear + TOLERANCE:
            found.append((low, high))
    if end - spans[-1][1] > OVERHANG:
        found.append((spans[-1][1], end))
    return found


def bodies(polygon: Polygon, whole: bool) -> list[Polygon]:
    """The parts of a board that need support of their own: where it is wide enough to be stood on.

    A notch beside a post may leave no more than a tongue between two bodies; it carries neither.
    """
    if whole:
        return [polygon]
    _, bottom, _, top = polygon.bounds
    radius = min(STANDS, 0.9 * (top - bottom)) / 2
    opened = polygon.buffer(-radius, quad_segs=4).buffer(radius, quad_segs=4).intersection(polygon)
    parts = [p for p in shapely.get_parts(opened) if isinstance(p, Polygon)]
    return [p for p in parts if p.bounds[2] - p.bounds[0] > OVERHANG] or [polygon]


def halves(polygon: Polygon) -> list[Polygon]:
    """The two halves of a board's width: one that lies along a rim must be borne on its other side as well."""
    start, bottom, end, top = polygon.bounds
    middle = (bottom + top) / 2
    parts = [within(polygon, (start, low, end, high)) for low, high in ((bottom, middle), (middle, top))]
    return [max(shapely.get_parts(part), key=lambda piece: piece.area) for part in parts if part.area > LEAST_SEAT]

"""What bears a run of boards: where along it a member lies under at least half of its width."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from heapq import merge
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.strtree import STRtree

from ..layout.bodies import OVERHANG
from ..layout.chords import Bools, chords_of_each
from ..layout.clip import Box, within
from ..layout.pieces import LaidPiece
from .ground import Span

SHARE = 0.5
"""A member bears a board where it lies under this share of the board's width."""
HALF_SHARE = 0.2
"""Of one half of a board's width, the other being borne as well, this share is enough; common practice, no source."""
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


def members_under(pieces: Sequence[LaidPiece], members: Sequence[Support]) -> list[list[Support]]:
    """For each piece, the members whose bounds meet its own."""
    shapes: NDArray[np.object_] = np.array([piece.polygon for piece in pieces], dtype=object)
    under: list[list[Support]] = [[] for _ in pieces]
    for piece, member in STRtree([member.shape for member in members]).query(shapes).T.tolist():
        under[piece].append(members[member])
    return under


@dataclass(frozen=True, slots=True)
class Body:
    """A piece, or a body of one, in board axes, and the members that may lie under it."""

    polygon: Polygon
    whole: bool
    """Whether the piece is a rectangle."""
    under: Sequence[Support]
    share: float = SHARE
    """Share of the board's width that must lie on members."""
    box: Box = field(init=False)

    def __post_init__(self) -> None:
        """Look the bounds up once; they are asked for again and again."""
        object.__setattr__(self, "box", self.polygon.bounds)


def bearings(laid: Sequence[Body]) -> list[list[Span]]:
    """For each body, the intervals along u in which it is borne, merged and in order."""
    spans: list[list[Span]] = []
    askew: list[tuple[Body, list[BaseGeometry]]] = []
    places: list[int] = []
    for place, body in enumerate(laid):
        known, slanted = _on_square_members(body)
        spans.append(known)
        if slanted:
            askew.append((body, slanted))
            places.append(place)
    if askew:
        seats = _seats(askew)
        for place, own, more in zip(places, seats, _sampled(askew, seats), strict=True):
            spans[place] = _to_slanted_ends(own, merged(spans[place] + more))
    return [merged(found) for found in spans]


def _seats(askew: Sequence[tuple[Body, list[BaseGeometry]]]) -> list[NDArray[np.object_]]:
    """For each body, what of it lies on each of some members."""
    members: NDArray[np.object_] = np.array([shape for _, shapes in askew for shape in shapes], dtype=object)
    polygons = np.array([body.polygon for body, shapes in askew for _ in shapes], dtype=object)
    ends = np.cumsum([len(shapes) for _, shapes in askew])
    return np.split(shapely.intersection(members, polygons), ends[:-1])


def _on_square_members(body: Body) -> tuple[list[Span], list[BaseGeometry]]:
    """What is known from bounds alone of where a body bears, and the members that must be looked at for the rest."""
    start, bottom, end, top = body.box
    spans: list[Span] = []
    partial, slanted = [], []
    for member in body.under:
        x0, y0, x1, y1 = member.box
        if x1 <= start or x0 >= end or y1 <= bottom or y0 >= top:
            continue
        if member.square and y0 <= bottom and y1 >= top:
            spans.append((max(x0, start), min(x1, end)))
        elif member.square and body.whole:
            partial.append(member.box)
        else:
            slanted.append(member.shape)
    if slanted:
        slanted += [box(*part) for part in partial]
    elif partial:
        spans += _swept(partial, (start, bottom, end, top), body.share)
    return spans, slanted


def borne(laid: Sequence[Body], clear: float, widest: float = math.inf) -> list[list[Span]]:
    """Bearings of bodies, none of one that rests on a mere corner; no more than show that a body lacks nothing.

    Members that lie square under a board's whole width are known from their bounds. Where these alone leave no gap,
    nor any bay of more than `widest`, the others are not looked at.
    """
    spans = [_right_across(body) for body in laid]
    doubtful = [
        i
        for i, (body, known) in enumerate(zip(laid, spans, strict=True))
        if gaps(body, known, clear) or any(high - low > widest for (_, low), (high, _) in pairwise(known))
    ]
    resting = [i for i in doubtful if rests(laid[i])]
    for i in doubtful:
        spans[i] = []
    for i, found in zip(resting, bearings([laid[i] for i in resting]), strict=True):
        spans[i] = found
    return spans


def _right_across(body: Body) -> list[Span]:
    """Bearing on the members that lie square under a body's whole width."""
    start, bottom, end, top = body.box
    return merged(
        [
            (max(m.box[0], start), min(m.box[2], end))
            for m in body.under
            if m.square and m.box[1] <= bottom and m.box[3] >= top and m.box[0] < end and m.box[2] > start
        ]
    )


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
    askew: Sequence[tuple[Body, list[BaseGeometry]]], seats: Sequence[NDArray[np.object_]]
) -> list[list[Span]]:
    """Bearing of members that cross bodies askew or cover a part of their width, from cross-sections."""
    polygons: NDArray[np.object_] = np.array([body.polygon for body, _ in askew], dtype=object)
    # Members that touch are one, and looked at from end to end.
    under: NDArray[np.object_] = np.array(
        [
            own[0] if len(own) == 1 else shapely.union_all(members).intersection(body.polygon)
            for (body, members), own in zip(askew, seats, strict=True)
        ],
        dtype=object,
    )
    parts, body_of = shapely.get_parts(under, return_index=True)
    filled = ~shapely.is_empty(parts)
    parts, body_of = parts[filled], body_of[filled]
    x0, _, x1, _ = shapely.bounds(parts).reshape(-1, 4).T
    count = np.maximum(1, ((x1 - x0) / SAMPLE).astype(np.intp))
    part = np.repeat(np.arange(len(parts)), count)
    number = np.arange(len(part)) - np.repeat(np.cumsum(count) - count, count)
    step, owner = ((x1 - x0) / count)[part], body_of[part]
    middles = x0[part] + (number + 0.5) * step
    borne, full = (
        np.bincount(c.place, c.length, len(middles))
        for c in (chords_of_each(under, middles, owner), chords_of_each(polygons, middles, owner))
    )
    share = np.array([body.share for body, _ in askew])[owner]
    start, _, end, _ = shapely.bounds(polygons)[owner].T
    held = np.flatnonzero((full > 0) & (borne >= share * full - 1e-6))
    low, high = np.maximum(start, middles - step / 2)[held], np.minimum(end, middles + step / 2)[held]
    spans: list[list[Span]] = [[] for _ in askew]
    for i, *span in zip(owner[held].tolist(), low.tolist(), high.tolist(), strict=True):
        spans[i].append((span[0], span[1]))
    return spans


def _to_slanted_ends(seats: NDArray[np.object_], spans: list[Span]) -> list[Span]:
    """Bearings carried on to where a slanted member at an end last touches the board.

    Where both run at a slant, every fibre of the board ends as far past the member as every other, though a section
    square to the board near its tip lies on less and less of it.
    """
    if not spans:
        return spans
    (first, _), (_, last) = spans[0], spans[-1]
    for seat in seats:
        if seat.area >= LEAST_SEAT:
            low, _, high, _ = seat.bounds
            first = min(first, low) if high >= spans[0][0] else first
            last = max(last, high) if low <= spans[-1][1] else last
    ends = [(first, spans[0][1]), *spans[1:]]
    return [*ends[:-1], (ends[-1][0], last)]


def merged(spans: list[Span]) -> list[Span]:
    """Intervals joined where they touch."""
    out: list[Span] = []
    for low, high in sorted(spans):
        if out and low <= out[-1][1] + JOINED:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out


def bays(body: Body, breadth: float, enough: int) -> int:
    """Number of bays that a board bears on: stretches between supports that lie apart, a double being one.

    A ledger or rim along the board carries it and bounds no bay. It may be counted no further than `enough`.
    """
    crossing = sorted((member for member in body.under if not member.along), key=lambda member: member.box[0])
    # Square members lie on the board in the order of their bounds, and few are enough; where the others lie on it is
    # known only when all of them are looked at.
    square = (_seat(body, member) for member in crossing if member.square)
    others = sorted(_seat(body, member) for member in crossing if not member.square)
    lines, reached = 0, -math.inf
    for low, high, _ in merge(filter(_holds, square), filter(_holds, others)):
        if low - reached > breadth / 2:
            lines += 1
            if lines > enough:
                break
        reached = max(reached, high)
    return max(0, lines - 1)


def rests(body: Body) -> bool:
    """Whether any member bears a board on more than a corner."""
    return any(_holds(_seat(body, member)) for member in body.under)


def _holds(seat: tuple[float, float, float]) -> bool:
    """Whether a board lies on more than a corner of a member."""
    return seat[2] >= LEAST_SEAT


def _seat(body: Body, member: Support) -> tuple[float, float, float]:
    """Where a board lies on a member along u, from and to, and on what area."""
    if body.whole and member.square:
        (x0, y0, x1, y1), (start, bottom, end, top) = member.box, body.box
        low, high = max(x0, start), min(x1, end)
        return low, high, max(0.0, high - low) * max(0.0, min(y1, top) - max(y0, bottom))
    shared = within(body.polygon, member.box) if member.square else member.shape.intersection(body.polygon)
    area = shared.area
    if not area:
        return 0.0, 0.0, 0.0
    low, _, high, _ = shared.bounds
    return low, high, area


def gaps(body: Body, spans: list[Span], clear: float) -> list[Span]:
    """Stretches of a board that lack support: bays wider than `clear`, ends that reach out too far."""
    start, _, end, _ = body.box
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


def halves(bodies_: Sequence[Polygon], under: Sequence[Support]) -> list[Body]:
    """Both halves of an edge board's width: one that lies along a rim must be borne on its other side as well.

    Of a half a smaller share is enough, but no mere corner of a member.
    """
    laid = []
    for polygon in bodies_:
        start, bottom, end, top = polygon.bounds
        middle = (bottom + top) / 2
        for low, high in ((bottom, middle), (middle, top)):
            for half in shapely.get_parts(within(polygon, (start, low, end, high))):
                seats = shapely.area(shapely.intersection(half, np.array([m.shape for m in under], dtype=object)))
                holding = [member for member, seat in zip(under, seats, strict=True) if seat >= LEAST_SEAT]
                if half.area > LEAST_SEAT:
                    laid.append(Body(half, False, holding, HALF_SHARE))
    return laid

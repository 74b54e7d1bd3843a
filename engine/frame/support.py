"""What bears a run of boards: where along it a member lies under at least half of its width."""

from __future__ import annotations

import math
from collections.abc import Sequence
from heapq import merge
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from ..layout.bodies import OVERHANG
from ..layout.clip import Box, within
from .askew import askew_bearings
from .ground import Span
from .intervals import merged
from .resting import LEAST_SEAT, Body, Support

HALF_SHARE = 0.2
"""Of one half of a board's width, the other being borne as well, this share is enough; common practice, no source."""
TOLERANCE = 0.01
"""A bay too wide by no more than this is as wide as allowed [mm]."""


def bearings(laid: Sequence[Body]) -> list[list[Span]]:
    """For each body, the intervals along u in which it is borne, merged and in order."""
    spans: list[list[Span]] = []
    askew: list[tuple[int, Body, list[BaseGeometry]]] = []
    for place, body in enumerate(laid):
        known, slanted = _on_square_members(body)
        spans.append(known)
        if slanted:
            askew.append((place, body, slanted))
    if askew:
        places, bodies, members = zip(*askew, strict=True)
        for place, found in zip(places, askew_bearings(bodies, members, [spans[i] for i in places]), strict=True):
            spans[place] = found
    return [merged(found) for found in spans]


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

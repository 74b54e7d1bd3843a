"""Clips and screws: every piece held on both long sides wherever it crosses a member.

A clip in the gap between two courses holds both. A side with no neighbour takes a starter clip at a
wall and an edge clip elsewhere. A piece that crosses no member lies along one, and is screwed to it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString
from shapely.strtree import STRtree

from .frame.setout import SetOut
from .layout.axes import Axes
from .layout.courses import Field
from .layout.pieces import LaidPiece
from .layout.region import house_lines
from .plan import Fixing, FixingKind
from .spec import Site

CROSSES = 30.0
"""A member crosses a piece if its centre line runs across it at more than this angle to the boards [degrees]."""
SHORTEST_CROSSING = 10.0
"""A centre line that merely nicks a corner for less than this is not fixed to [mm]."""
SCREW_EDGE = 15.0
"""Least distance of a screw from a board's edge [mm]; common practice, no source."""
HALF_CLIP = 5.0
"""How far a clip may be moved to stand on timber and still hold its boards [mm]; common practice, no source."""
TOUCHES = 0.05
"""Sides nearer than this to the edge of their strip are uncut [mm]."""


@dataclass(frozen=True, slots=True)
class _Side:
    """Where a member's centre line leaves a piece: at (u, v), on the uncut side that faces `gap`, or a cut one."""

    u: float
    v: float
    piece: str
    member: str
    gap: float | None
    upper: bool


@dataclass(frozen=True, slots=True)
class _Clip:
    """A clip in board axes, before it is known what timber it stands on, and the one or two pieces it holds."""

    kind: FixingKind
    at: tuple[float, float]
    pieces: tuple[str, ...]
    member: str


def place_fixings(
    site: Site, field: Field, pieces: tuple[LaidPiece, ...], frame: tuple[SetOut, ...]
) -> tuple[Fixing, ...]:
    """Place every clip and screw."""
    sides = _sides(site, field, pieces, frame)
    walls = field.axes.to_local(house_lines(site))
    fixings = _in_their_timber(_clips(site, sides, walls), pieces, frame, site.frame.section[0])
    held = _held(pieces, fixings, site.gaps.course)
    for piece in pieces:
        if piece.id not in held:
            fixings.extend(screws_along(site, piece, frame))
    # Where two members meet, both may ask for a fixing in one spot.
    spots = {(fixing.member, *map(round, field.axes.point_to_site(*fixing.at))): fixing for fixing in reversed(fixings)}
    return tuple(replace(f, at=field.axes.point_to_site(*f.at)) for f in reversed(spots.values()))


def _held(pieces: tuple[LaidPiece, ...], fixings: list[Fixing], reach: float) -> set[str]:
    """Pieces with a clip beside them or a screw through them."""
    if not fixings or not pieces:
        return set()
    tree = STRtree([piece.polygon for piece in pieces])
    _, found = tree.query(shapely.points([f.at for f in fixings]), predicate="dwithin", distance=reach)
    return {pieces[i].id for i in np.unique(found)}


def _sides(site: Site, field: Field, pieces: tuple[LaidPiece, ...], frame: tuple[SetOut, ...]) -> list[_Side]:
    """Both ends of every crossing, in the order of pieces and members."""
    crossing = [m for m in frame if _angle(m) > CROSSES]
    if not crossing or not pieces:
        return []
    lines = np.array([LineString((m.start, m.end)) for m in crossing])
    polygons = np.array([p.polygon for p in pieces])
    member_at, piece_at = STRtree(polygons).query(lines, predicate="intersects")
    order = np.lexsort((member_at, piece_at))
    member_at, piece_at = member_at[order], piece_at[order]
    reaching = np.array([_reaching(m, 4 * site.boards.width) for m in crossing])
    cuts = shapely.intersection(reaching[member_at], polygons[piece_at])
    sides: dict[tuple[str, float, float], _Side] = {}
    for m, p, cut in zip(member_at, piece_at, cuts, strict=True):
        piece = pieces[p]
        strip = field.strip(piece.course)
        for part in shapely.get_parts(cut):
            if part.length < SHORTEST_CROSSING or part.distance(lines[m]) > TOUCHES:
                continue
            ends = sorted(part.coords, key=lambda c: c[1])
            for (u, v), upper in ((ends[0], False), (ends[-1], True)):
                border = strip[0] + site.boards.width if upper else strip[0]
                gap = None
                if abs(v - border) < TOUCHES:
                    gap = border if upper else border - site.gaps.course
                # Two lengths of one spliced member leave a piece at the same place; one fixing serves.
                sides.setdefault((piece.id, round(u), round(v)), _Side(u, v, piece.id, crossing[m].id, gap, upper))
    return list(sides.values())


def _reaching(member: SetOut, beyond: float) -> LineString:
    """Centre line of a member, carried on over the ledger, rim or nogging that its ends butt against."""
    (x0, y0), (x1, y1) = member.start, member.end
    ex, ey = (x1 - x0) / member.length * beyond, (y1 - y0) / member.length * beyond
    return LineString(((x0 - ex, y0 - ey), (x1 + ex, y1 + ey)))


def _angle(member: SetOut) -> float:
    (x0, y0), (x1, y1) = member.start, member.end
    return math.degrees(math.atan2(abs(y1 - y0), abs(x1 - x0)))


def _clips(site: Site, sides: list[_Side], walls: shapely.Geometry) -> list[_Clip]:
    """One clip for each side, and one for each two sides that face each other across a gap on one member."""
    course = site.gaps.course
    facing: dict[tuple[str, float], list[_Side]] = {}
    for side in sides:
        if side.gap is not None and side.upper:
            facing.setdefault((side.member, round(side.gap, 2)), []).append(side)
    single, clips = [], []
    shared: set[int] = set()
    for side in sides:
        if side.gap is None or side.upper:
            continue
        below = facing.get((side.member, round(side.gap, 2)), [])
        match = next((s for s in below if id(s) not in shared and abs(s.u - side.u) < 2 * course + 1.0), None)
        if match is None:
            single.append(side)
        else:
            shared.add(id(match))
            at = ((match.u + side.u) / 2, side.gap + course / 2)
            clips.append(_Clip("clip", at, (match.piece, side.piece), side.member))
    single += [side for side in sides if (side.gap is None or side.upper) and id(side) not in shared]
    if single:
        at_wall = _at_wall(site, single, walls)
        for side, wall in zip(single, at_wall, strict=True):
            kind: FixingKind = "starter clip" if wall else "edge clip"
            clips.append(_Clip(kind, (side.u, side.v), (side.piece,), side.member))
    return clips


def _in_their_timber(
    clips: list[_Clip], pieces: tuple[LaidPiece, ...], frame: tuple[SetOut, ...], breadth: float
) -> list[Fixing]:
    """Stand each clip on timber: past a joist's end, on the member that the joist butts against.

    Where a board's side runs beside the timber, not over it, a screw through each board's face takes the clip's place.
    """
    if not clips:
        return []
    number = {member.id: i for i, member in enumerate(frame)}
    footprints = np.array([member.footprint(breadth) for member in frame])
    points = shapely.points([clip.at for clip in clips])
    off = np.flatnonzero(shapely.distance(points, footprints[[number[clip.member] for clip in clips]]) > 0.0)
    nearest = dict(zip(off, STRtree(footprints).nearest(points[off]), strict=True))
    polygons = {piece.id: piece.polygon for piece in pieces}
    fixings = []
    for i, clip in enumerate(clips):
        if i not in nearest:
            fixings.append(Fixing(clip.kind, clip.at, clip.pieces[0], clip.member))
            continue
        timber = footprints[nearest[i]]
        if shapely.distance(points[i], timber) <= HALF_CLIP:
            spot = shapely.shortest_line(timber, points[i]).coords[0]
            fixings.append(Fixing(clip.kind, (spot[0], spot[1]), clip.pieces[0], frame[nearest[i]].id))
            continue
        for name in clip.pieces:
            shared = footprints[number[clip.member]].intersection(polygons[name])
            if shared.area > 0.0:
                seat = shared.buffer(-SCREW_EDGE)
                spot = shapely.shortest_line(seat if not seat.is_empty else shared.centroid, points[i]).coords[0]
                fixings.append(Fixing("screw", (spot[0], spot[1]), name, clip.member))
    return fixings


def _at_wall(site: Site, sides: list[_Side], walls: shapely.Geometry) -> NDArray[np.bool_]:
    points = shapely.points([(side.u, side.v) for side in sides])
    if walls.is_empty:
        return np.zeros(len(sides), dtype=bool)
    near: NDArray[np.bool_] = shapely.dwithin(points, walls, site.gaps.wall + 2.0)
    return near


def screws_along(site: Site, piece: LaidPiece, frame: tuple[SetOut, ...]) -> list[Fixing]:
    """Screws through a piece that lies along a member: near both ends, and between at no more than joist centres."""
    breadth = site.frame.section[0]
    best, on = None, 0.0
    for member in frame:
        bearing = member.footprint(breadth).intersection(piece.polygon)
        if bearing.area > on:
            best, on, under = member, bearing.area, bearing
    if best is None:
        return []
    start, bottom, end, top = under.bounds
    count = max(2, math.ceil((end - start - 2 * SCREW_EDGE) / site.frame.max_centres) + 1)
    screws = []
    for u in (
        np.linspace(start + SCREW_EDGE, end - SCREW_EDGE, count)
        if end - start > 2 * SCREW_EDGE
        else [(start + end) / 2]
    ):
        section = under.intersection(LineString(((u, bottom - 1), (u, top + 1))))
        if not section.is_empty:
            middle = section.centroid
            screws.append(Fixing("screw", (middle.x, middle.y), piece.id, best.id))
    return screws


def screw_panels(axes: Axes, panels: Sequence[LaidPiece], battens: Sequence[SetOut]) -> tuple[Fixing, ...]:
    """Screw the boards of lift-out panels to the panels' own battens."""
    found = [fixing for piece in panels for fixing in screws_at_crossings(piece, battens)]
    return tuple(replace(fixing, at=axes.point_to_site(*fixing.at)) for fixing in found)


def screws_at_crossings(piece: LaidPiece, members: Sequence[SetOut], along: float = 0.0) -> list[Fixing]:
    """Screws at each member that crosses a piece: a pair, or one in a narrow rip; `along` is the piece's own angle."""
    fixings = []
    for member in members:
        (x0, y0), (x1, y1) = member.start, member.end
        turned = abs((math.degrees(math.atan2(y1 - y0, x1 - x0)) - along + 90.0) % 180.0 - 90.0)
        if turned <= CROSSES:
            continue
        for crossing in shapely.get_parts(LineString((member.start, member.end)).intersection(piece.polygon)):
            if crossing.length < SHORTEST_CROSSING:
                continue
            (x0, y0), (x1, y1) = crossing.coords[0], crossing.coords[-1]
            inset = min(2 * SCREW_EDGE / crossing.length, 0.25)
            for share in (inset, 1.0 - inset) if crossing.length > 2 * SCREW_EDGE else (0.5,):
                at = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
                fixings.append(Fixing("screw", at, piece.id, member.id))
    return fixings

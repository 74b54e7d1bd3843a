"""Clips and screws: every piece held on both long sides wherever it crosses a member.

A clip in the gap between two courses holds both. A side with no neighbour takes a starter clip at a
wall and an edge clip elsewhere. A piece that crosses no member lies along one, and is screwed to it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString
from shapely.strtree import STRtree

from .frame.setout import SetOut
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


def place_fixings(
    site: Site, field: Field, pieces: tuple[LaidPiece, ...], frame: tuple[SetOut, ...]
) -> tuple[Fixing, ...]:
    """Place every clip and screw."""
    sides = _sides(site, field, pieces, frame)
    walls = field.axes.to_local(house_lines(site))
    held = {side.piece for side in sides}
    fixings = _in_their_timber(_clips(site, sides, walls), site, frame)
    for piece in pieces:
        if piece.id not in held:
            fixings.extend(_screws(site, piece, frame))
    return tuple(replace(fixing, at=field.axes.point_to_site(*fixing.at)) for fixing in fixings)


def _sides(site: Site, field: Field, pieces: tuple[LaidPiece, ...], frame: tuple[SetOut, ...]) -> list[_Side]:
    """Both ends of every crossing, in the order of pieces and members."""
    crossing = [m for m in frame if _angle(m) > CROSSES]
    if not crossing or not pieces:
        return []
    lines = [_reaching(m, 2 * site.frame.section[0]) for m in crossing]
    polygons = np.array([p.polygon for p in pieces])
    member_at, piece_at = STRtree(polygons).query(lines, predicate="intersects")
    order = np.lexsort((member_at, piece_at))
    member_at, piece_at = member_at[order], piece_at[order]
    cuts = shapely.intersection(np.array(lines)[member_at], polygons[piece_at])
    sides = []
    for m, p, cut in zip(member_at, piece_at, cuts, strict=True):
        piece = pieces[p]
        strip = field.strip(piece.course)
        for part in shapely.get_parts(cut):
            if part.length < SHORTEST_CROSSING:
                continue
            ends = sorted(part.coords, key=lambda c: c[1])
            for (u, v), upper in ((ends[0], False), (ends[-1], True)):
                border = strip[0] + site.boards.width if upper else strip[0]
                gap = None
                if abs(v - border) < TOUCHES:
                    gap = border if upper else border - site.gaps.course
                sides.append(_Side(u, v, piece.id, crossing[m].id, gap, upper))
    return sides


def _reaching(member: SetOut, beyond: float) -> LineString:
    """Centre line of a member, carried on over the ledger, rim or nogging that its ends butt against."""
    (x0, y0), (x1, y1) = member.start, member.end
    ex, ey = (x1 - x0) / member.length * beyond, (y1 - y0) / member.length * beyond
    return LineString(((x0 - ex, y0 - ey), (x1 + ex, y1 + ey)))


def _angle(member: SetOut) -> float:
    (x0, y0), (x1, y1) = member.start, member.end
    return math.degrees(math.atan2(abs(y1 - y0), abs(x1 - x0)))


def _clips(site: Site, sides: list[_Side], walls: shapely.Geometry) -> list[Fixing]:
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
            clips.append(Fixing("clip", at, match.piece, side.member))
    single += [side for side in sides if (side.gap is None or side.upper) and id(side) not in shared]
    if single:
        at_wall = _at_wall(site, single, walls)
        for side, wall in zip(single, at_wall, strict=True):
            kind: FixingKind = "starter clip" if wall else "edge clip"
            clips.append(Fixing(kind, (side.u, side.v), side.piece, side.member))
    return clips


def _in_their_timber(clips: list[Fixing], site: Site, frame: tuple[SetOut, ...]) -> list[Fixing]:
    """Name for each clip the timber that it stands on: past a joist's end, the member that the joist butts against."""
    number = {member.id: i for i, member in enumerate(frame)}
    footprints = np.array([member.footprint(site.frame.section[0]) for member in frame])
    points = shapely.points([clip.at for clip in clips]) if clips else np.array([])
    off = shapely.distance(points, footprints[[number[clip.member] for clip in clips]]) > site.gaps.course
    if not off.any():
        return clips
    nearest = STRtree(footprints).nearest(points[off])
    standing = dict(zip(np.flatnonzero(off), nearest, strict=True))
    return [replace(clip, member=frame[standing[i]].id) if i in standing else clip for i, clip in enumerate(clips)]


def _at_wall(site: Site, sides: list[_Side], walls: shapely.Geometry) -> NDArray[np.bool_]:
    points = shapely.points([(side.u, side.v) for side in sides])
    if walls.is_empty:
        return np.zeros(len(sides), dtype=bool)
    near: NDArray[np.bool_] = shapely.dwithin(points, walls, site.gaps.wall + 2.0)
    return near


def _screws(site: Site, piece: LaidPiece, frame: tuple[SetOut, ...]) -> list[Fixing]:
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

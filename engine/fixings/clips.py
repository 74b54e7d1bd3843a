"""Where clips go: on both long sides of every piece, wherever it crosses a member.

Terminology
-----------
side  where a member's centre line leaves a piece. It is uncut if it is the board's own edge, and then faces the gap
      between two courses; the side that faces it across the gap shares its clip.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry
from shapely.strtree import STRtree

from ..frame.footprints import centre_lines
from ..frame.setout import SetOut
from ..layout.chords import Bools, Floats, Ints, chords_of_each
from ..layout.courses import Field
from ..layout.pieces import LaidPiece
from ..spec import Site

CROSSES = 30.0
"""A member crosses a piece if its centre line runs across it at more than this angle to the boards [degrees]."""
SHORTEST_CROSSING = 10.0
"""A centre line that merely nicks a corner for less than this is not fixed to [mm]."""
TOUCHES = 0.05
"""Sides nearer than this to the edge of their strip are uncut [mm]."""
BEYOND = 4.0
"""How far a centre line is carried on past its ends, over what the member butts against [board widths]."""
ALONE = -1
"""In place of the second piece, for a clip that holds but one."""


@dataclass(frozen=True, slots=True)
class Sides:
    """Sides, one in each row: at (`u`, `v`), facing `gap`, which is not a number for a cut side.

    `piece` and `member` are places in the lists given.
    """

    u: Floats
    v: Floats
    piece: Ints
    member: Ints
    gap: Floats
    upper: Bools


@dataclass(frozen=True, slots=True)
class Clips:
    """Clips in board axes, one in each row, before it is known what timber they stand on.

    `other` is the second piece held, or `ALONE`; `at_wall` tells a starter clip from an edge clip.
    """

    u: Floats
    v: Floats
    piece: Ints
    other: Ints
    member: Ints
    at_wall: Bools


def find_sides(site: Site, field: Field, pieces: tuple[LaidPiece, ...], frame: tuple[SetOut, ...]) -> Sides:
    """Both ends of every crossing, in the order of pieces and members."""
    ends = centre_lines(frame)
    rise, run = np.abs(ends[:, 1] - ends[:, 0]).T[::-1]
    member_of = np.flatnonzero(np.degrees(np.arctan2(rise, run)) > CROSSES)
    if not len(member_of):
        none = np.empty(0)
        return Sides(none, none, member_of, member_of, none, none.astype(bool))
    ends = ends[member_of]
    shapes: NDArray[np.object_] = np.array([piece.polygon for piece in pieces], dtype=object)
    whole = np.array([piece.whole for piece in pieces], dtype=bool)
    line, piece = STRtree(shapes).query(shapely.linestrings(ends))
    order = np.lexsort((line, piece))
    line, piece = line[order], piece[order]

    # A line square to a plain rectangle crosses it from side to side; the others are cut.
    plain = whole[piece] & (ends[line, 0, 0] == ends[line, 1, 0])
    _, bottom, _, top = shapely.bounds(shapes[piece]).reshape(-1, 4).T
    across = np.flatnonzero(plain & (top - bottom >= SHORTEST_CROSSING))
    askew = np.flatnonzero(~plain)
    crossing, cut_at, is_upper = _cut_sides(ends[line[askew]], shapes, piece[askew], BEYOND * site.boards.width)

    pair = np.concatenate((across, across, askew[crossing]))
    u = np.concatenate((ends[line[across], 0, 0], ends[line[across], 0, 0], cut_at[:, 0]))
    v = np.concatenate((bottom[across], top[across], cut_at[:, 1]))
    upper = np.concatenate((np.zeros(len(across), bool), np.ones(len(across), bool), is_upper))
    order = np.argsort(pair, kind="stable")
    u, v, upper, pair = u[order], v[order], upper[order], pair[order]
    # Two lengths of one spliced member leave a piece at the same place; one fixing serves.
    once = np.sort(first_and_last((np.rint(v), np.rint(u), piece[pair]))[0])
    u, v, upper, pair = u[once], v[once], upper[once], pair[once]

    course = np.array([piece.course for piece in pieces])[piece[pair]]
    edge = field.first + field.pitch * np.where(course > 0, course - 1, course)
    edge = np.where(upper, edge + site.boards.width, edge)
    gap = np.where(np.abs(v - edge) < TOUCHES, np.where(upper, edge, edge - site.gaps.course), np.nan)
    return Sides(u, v, piece[pair], member_of[line[pair]], gap, upper)


def _cut_sides(
    ends: Floats, shapes: NDArray[np.object_], piece: Ints, beyond: float
) -> tuple[Ints, Floats, Bools]:
    """Where centre lines leave each its piece: the pair's place in the list, the point, and whether it is the upper."""
    upright = ends[:, 0, 0] == ends[:, 1, 0]
    square, askew = np.flatnonzero(upright), np.flatnonzero(~upright)
    first, low, high = _cut_upright(ends[square], shapes, piece[square], beyond)
    last, *more = _cut_askew(ends[askew], shapes[piece[askew]], beyond)
    low, high = np.concatenate((low, more[0])), np.concatenate((high, more[1]))
    pair = np.concatenate((square[first], askew[last]))
    both = np.stack((low, high), axis=1).reshape(-1, 2)
    return np.repeat(pair, 2), both, np.tile([False, True], len(pair))


def _cut_upright(
    ends: Floats, shapes: NDArray[np.object_], piece: Ints, beyond: float
) -> tuple[Ints, Floats, Floats]:
    """As `_cut_askew`, for centre lines square to the boards."""
    u = ends[:, 0, 0]
    cut, owner = np.unique(piece, return_inverse=True)
    found = chords_of_each(shapes[cut], u, owner)
    foot, head = ends[:, :, 1].min(axis=1)[found.place], ends[:, :, 1].max(axis=1)[found.place]
    low, high = np.maximum(found.low, foot - beyond), np.minimum(found.high, head + beyond)
    kept = (high - low >= SHORTEST_CROSSING) & (low <= head + TOUCHES) & (high >= foot - TOUCHES)
    pair, low, high = found.place[kept], low[kept], high[kept]
    return pair, np.stack((u[pair], low), axis=1), np.stack((u[pair], high), axis=1)


def _cut_askew(ends: Floats, shapes: NDArray[np.object_], beyond: float) -> tuple[Ints, Floats, Floats]:
    """The pair's place in the list, and the lower and the upper point, of every stretch of a line in its shape."""
    lines = shapely.linestrings(ends)
    hits = np.flatnonzero(shapely.intersects(lines, shapes))
    ends, lines, shapes = ends[hits], lines[hits], shapes[hits]
    # Carried on over the ledger, rim or nogging that a member's ends butt against.
    along = ends[:, 1] - ends[:, 0]
    further = along / np.hypot(*along.T)[:, None] * beyond
    reaching = shapely.linestrings(np.stack((ends[:, 0] - further, ends[:, 1] + further), axis=1))
    parts, owner = shapely.get_parts(shapely.intersection(reaching, shapes), return_index=True)
    kept = (shapely.length(parts) >= SHORTEST_CROSSING) & (shapely.distance(parts, lines[owner]) <= TOUCHES)
    parts, owner = parts[kept], owner[kept]
    points = shapely.get_coordinates([shapely.get_point(parts, i) for i in (0, -1)]).reshape(2, len(parts), 2)
    rising = points[0, :, 1] <= points[1, :, 1]
    low = np.where(rising[:, None], points[0], points[1])
    high = np.where(rising[:, None], points[1], points[0])
    return hits[owner], low, high


def first_and_last(keys: tuple[NDArray[np.generic], ...]) -> tuple[Ints, Ints]:
    """Of each group of rows that agree in all keys, the first row and the last."""
    order = np.lexsort(keys)
    new = np.ones(len(order), dtype=bool)
    new[1:] = np.any([key[order[1:]] != key[order[:-1]] for key in keys], axis=0)
    return order[new], order[np.append(new[1:], True)] if len(order) else order


def clip_sides(site: Site, sides: Sides, walls: BaseGeometry) -> Clips:
    """One clip for each side, and one for each two sides that face each other across a gap on one member."""
    lower, upper = _facing(sides, 2 * site.gaps.course + 1.0)
    alone = np.ones(len(sides.u), dtype=bool)
    alone[lower] = alone[upper] = False
    below = ~np.isnan(sides.gap) & ~sides.upper
    single = np.concatenate((np.flatnonzero(alone & below), np.flatnonzero(alone & ~below)))
    points = shapely.points(sides.u[single], sides.v[single])
    at_wall = np.zeros(len(single), bool) if walls.is_empty else shapely.dwithin(points, walls, site.gaps.wall + 2.0)
    return Clips(
        u=np.concatenate(((sides.u[upper] + sides.u[lower]) / 2, sides.u[single])),
        v=np.concatenate((sides.gap[lower] + site.gaps.course / 2, sides.v[single])),
        piece=np.concatenate((sides.piece[upper], sides.piece[single])),
        other=np.concatenate((sides.piece[lower], np.full(len(single), ALONE))),
        member=np.concatenate((sides.member[lower], sides.member[single])),
        at_wall=np.concatenate((np.zeros(len(lower), bool), at_wall)),
    )


def _facing(sides: Sides, reach: float) -> tuple[Ints, Ints]:
    """Pairs of a lower and an upper side on one gap and member, in the order of the lower ones."""
    uncut = np.flatnonzero(~np.isnan(sides.gap))
    gap = np.round(sides.gap, 2)
    order = uncut[np.lexsort((sides.u[uncut], gap[uncut], sides.member[uncut]))]
    one, next_ = order[:-1], order[1:]
    meets = (sides.member[one] == sides.member[next_]) & (gap[one] == gap[next_])
    meets &= (sides.upper[one] != sides.upper[next_]) & (sides.u[next_] - sides.u[one] < reach)
    # Of a row of sides that each face the next, the first two share a clip, then the next two.
    place = np.arange(len(meets))
    begins = np.maximum.accumulate(np.where(meets & ~np.append(False, meets)[: len(meets)], place, 0))
    meets &= (place - begins) % 2 == 0
    one, next_ = one[meets], next_[meets]
    lower, upper = np.where(sides.upper[one], next_, one), np.where(sides.upper[one], one, next_)
    by_lower = np.argsort(lower)
    return lower[by_lower], upper[by_lower]

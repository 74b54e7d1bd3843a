"""Clips and screws: every piece held on both long sides wherever it crosses a member.

A clip in the gap between two courses holds both. A side with no neighbour takes a starter clip at a
wall and an edge clip elsewhere. A piece that crosses no member lies along one, and is screwed to it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.strtree import STRtree

from ..frame.footprints import footprints
from ..frame.resting import lie_square
from ..frame.setout import SetOut
from ..layout.axes import Axes
from ..layout.chords import Bools, Floats, Ints
from ..layout.courses import Field
from ..layout.pieces import LaidPiece
from ..layout.region import house_lines
from ..plan import Fixing, FixingKind
from ..spec import Site
from .clips import ALONE, CROSSES, SHORTEST_CROSSING, Clips, clip_sides, find_sides, first_and_last

SCREW_EDGE = 15.0
"""Least distance of a screw from a board's edge [mm]; common practice, no source."""
HALF_CLIP = 5.0
"""How far a clip may be moved to stand on timber and still hold its boards [mm]; common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Rows:
    """Fixings in board axes, one in each row; `piece` and `member` are places in the lists given."""

    kind: NDArray[np.object_]
    u: Floats
    v: Floats
    piece: Ints
    member: Ints

    def taken(self, rows: Ints | Bools) -> _Rows:
        """Some of the rows."""
        return _Rows(self.kind[rows], self.u[rows], self.v[rows], self.piece[rows], self.member[rows])

    def joined(self, more: _Rows) -> _Rows:
        """These rows, and more."""
        columns = ("kind", "u", "v", "piece", "member")
        return _Rows(*(np.concatenate((getattr(self, name), getattr(more, name))) for name in columns))


def place_fixings(
    site: Site, field: Field, pieces: tuple[LaidPiece, ...], frame: tuple[SetOut, ...]
) -> tuple[Fixing, ...]:
    """Place every clip and screw."""
    if not pieces or not frame:
        return ()
    sides = find_sides(site, field, pieces, frame)
    clips = clip_sides(site, sides, field.axes.to_local(house_lines(site)))
    strips = footprints(frame, site.frame.section[0])
    off = _off_their_timber(clips, strips)
    rows = _in_their_timber(clips, off, pieces, strips)
    loose = _loose(clips, off, rows, pieces, site.gaps.course)
    rows = rows.joined(_screws(site, loose, pieces, frame, strips))
    x, y = field.axes.points_to_site(rows.u, rows.v)
    # Where two members meet, both may ask for a fixing in one spot: told to the millimetre from places as written.
    first, last = first_and_last((np.rint(np.round(y, 3)), np.rint(np.round(x, 3)), rows.member))
    kept = first[np.argsort(last)]
    piece_ids = np.array([piece.id for piece in pieces], dtype=object)
    member_ids = np.array([member.id for member in frame], dtype=object)
    places = zip(x[kept].tolist(), y[kept].tolist(), strict=True)
    return tuple(map(Fixing, rows.kind[kept], places, piece_ids[rows.piece[kept]], member_ids[rows.member[kept]]))


def _in_their_timber(clips: Clips, off: Ints, pieces: tuple[LaidPiece, ...], strips: NDArray[np.object_]) -> _Rows:
    """Stand each clip on timber: past a joist's end, on the member that the joist butts against.

    Where a board's side runs beside the timber, not over it, a screw through each board's face takes the clip's place.
    """
    single = np.where(clips.at_wall, "starter clip", "edge clip").astype(object)
    rows = _Rows(np.where(clips.other == ALONE, single, "clip"), clips.u, clips.v, clips.piece, clips.member)
    clip_of, moved = [], []
    points = shapely.points(clips.u[off], clips.v[off])
    nearest = STRtree(strips).nearest(points)
    ways = shapely.shortest_line(strips[nearest], points)
    spots = shapely.get_coordinates(shapely.get_point(ways, 0)).tolist()
    at_timber = (shapely.length(ways) <= HALF_CLIP).tolist()
    for i, point, near, spot, stands in zip(off, points, nearest, spots, at_timber, strict=True):
        if stands:
            moved.append((rows.kind[i], *spot, clips.piece[i], near))
            clip_of.append(i)
            continue
        for held in (clips.piece[i], clips.other[i]):
            shared = Polygon() if held == ALONE else strips[clips.member[i]].intersection(pieces[held].polygon)
            if shared.area > 0.0:
                seat = shared.buffer(-SCREW_EDGE)
                spot = shapely.shortest_line(seat if not seat.is_empty else shared.centroid, point).coords[0]
                moved.append(("screw", *spot, held, clips.member[i]))
                clip_of.append(i)
    on = _but(len(clips.u), off)
    order = np.argsort(np.concatenate((on, np.array(clip_of, dtype=np.intp))), kind="stable")
    return rows.taken(on).joined(_rows(moved)).taken(order)


def _off_their_timber(clips: Clips, strips: NDArray[np.object_]) -> Ints:
    """Clips that do not stand on the member whose centre line they lie on."""
    left, low, right, high = shapely.bounds(strips)[clips.member].T
    beside = (clips.u < left) | (clips.u > right) | (clips.v < low) | (clips.v > high)
    askew = np.flatnonzero(~beside & ~lie_square(strips)[clips.member])
    points = shapely.points(clips.u[askew], clips.v[askew])
    beside[askew] = shapely.distance(points, strips[clips.member[askew]]) > 0.0
    return np.flatnonzero(beside)


def _rows(fixings: Sequence[tuple[FixingKind, float, float, int, int]]) -> _Rows:
    kinds: NDArray[np.object_] = np.array([fixing[0] for fixing in fixings], dtype=object)
    at = np.array([fixing[1:3] for fixing in fixings], dtype=float).reshape(-1, 2)
    on = np.array([fixing[3:] for fixing in fixings], dtype=np.intp).reshape(-1, 2)
    return _Rows(kinds, at[:, 0], at[:, 1], on[:, 0], on[:, 1])


def _loose(clips: Clips, off: Ints, rows: _Rows, pieces: tuple[LaidPiece, ...], reach: float) -> list[LaidPiece]:
    """Pieces that have no clip beside them and no screw through them."""
    unheld = np.ones(len(pieces), dtype=bool)
    on = _but(len(clips.u), off)
    unheld[clips.piece[on]] = unheld[clips.other[on][clips.other[on] != ALONE]] = False
    doubtful = [pieces[i] for i in np.flatnonzero(unheld)]
    if not doubtful:
        return []
    points = shapely.points(rows.u, rows.v)
    _, held = STRtree([piece.polygon for piece in doubtful]).query(points, predicate="dwithin", distance=reach)
    return [doubtful[i] for i in _but(len(doubtful), held)]


def _but(count: int, rows: Ints) -> Ints:
    """All rows but some."""
    kept = np.ones(count, dtype=bool)
    kept[rows] = False
    return np.flatnonzero(kept)


def _screws(
    site: Site,
    loose: Sequence[LaidPiece],
    pieces: tuple[LaidPiece, ...],
    frame: tuple[SetOut, ...],
    strips: NDArray[np.object_],
) -> _Rows:
    """Screws through pieces that lie along a member."""
    piece_at = {piece.id: i for i, piece in enumerate(pieces)} if loose else {}
    member_at = {member.id: i for i, member in enumerate(frame)} if loose else {}
    tree = STRtree(strips)
    found = []
    for piece in loose:
        near = tuple(frame[i] for i in np.sort(tree.query(piece.polygon)))
        found += screws_along(site, piece, near)
    return _rows([(f.kind, *f.at, piece_at[f.piece], member_at[f.member]) for f in found])


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
    return tuple(Fixing(f.kind, axes.point_to_site(*f.at), f.piece, f.member) for f in found)


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

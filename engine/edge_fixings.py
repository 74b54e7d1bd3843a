"""Screws of edge boards: a border has no course on its far side that a clip could hold, so it is screwed down."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Point
from shapely.geometry.base import BaseGeometry
from shapely.strtree import STRtree

from .fixings import SCREW_EDGE, screws_at_crossings
from .frame.setout import SetOut
from .layout.axes import Axes
from .layout.pieces import LaidPiece
from .layout.trim import in_axes
from .plan import Fixing
from .spec import Site


def screw_edging(
    site: Site, axes: Axes, pieces: Sequence[LaidPiece], frame: tuple[SetOut, ...]
) -> tuple[Fixing, ...]:
    """Two screws at each member that crosses an edge board, and along the members under it where none does."""
    if not pieces or not frame:
        return ()
    footprints = np.array([member.footprint(site.frame.section[0]) for member in frame])
    tree = STRtree(footprints)
    fixings: list[Fixing] = []
    for piece in pieces:
        local = in_axes(piece, axes)
        near = sorted(tree.query(local.polygon, predicate="intersects"))
        across = (piece.axes.angle - axes.angle) % 180.0
        found = screws_at_crossings(local, [_where_it_bears(frame[i], footprints[i], local) for i in near], across)
        fixings += [_on_site(fixing, axes) for fixing in found]
        own = {frame[i].id: piece.axes.to_local(axes.to_site(footprints[i])) for i in near}
        screwed = [piece.axes.to_local(Point(fixing.at)).x for fixing in fixings[len(fixings) - len(found) :]]
        fixings += _between(site, piece, own, screwed)
    return tuple(fixings)


def _where_it_bears(member: SetOut, footprint: BaseGeometry, piece: LaidPiece) -> SetOut:
    """A member moved aside to the middle of what it bears, where an end lies on it short of its centre line."""
    seat = footprint.intersection(piece.polygon)
    if seat.is_empty or LineString((member.start, member.end)).intersects(piece.polygon.buffer(-1.0)):
        return member
    (x0, y0), (x1, y1) = member.start, member.end
    along = np.array((x1 - x0, y1 - y0)) / member.length
    off = np.array(seat.centroid.coords[0]) - np.array(member.start)
    aside = off - along * float(off @ along)
    return replace(member, start=(x0 + aside[0], y0 + aside[1]), end=(x1 + aside[0], y1 + aside[1]))


def _between(
    site: Site, piece: LaidPiece, under: dict[str, BaseGeometry], screwed: Sequence[float]
) -> list[Fixing]:
    """Screws at no more than joist centres where no member crosses a board, each in the member widest under it."""
    start, low, end, high = piece.polygon.bounds
    stops = [start - site.frame.max_centres / 2, *sorted(screwed), end + site.frame.max_centres / 2]
    fixings = []
    for a, b in pairwise(stops):
        count = math.ceil((b - a) / site.frame.max_centres - 1e-9)
        for u in np.linspace(a, b, count + 1)[1:-1]:
            section = LineString(((u, low - 1.0), (u, high + 1.0))).intersection(piece.polygon)
            seats = {name: section.intersection(shape) for name, shape in under.items()}
            name = max(seats, key=lambda name: seats[name].length, default=None)
            if name is not None and seats[name].length > 0.0:
                seat = max(shapely.get_parts(seats[name]), key=lambda part: part.length)
                fixings.append(Fixing("screw", piece.axes.point_to_site(u, seat.centroid.y), piece.id, name))
    return fixings


def screw_fascias(
    site: Site, axes: Axes, pieces: Sequence[LaidPiece], frame: tuple[SetOut, ...]
) -> tuple[Fixing, ...]:
    """Screw fascias to the member behind them: two at either end, and two at no more than joist centres between.

    The two stand over one another, a little apart along the member so as not to split it.
    """
    if not frame:
        return ()
    lines = np.array([LineString((member.start, member.end)) for member in frame])
    tree = STRtree(lines)
    fixings = []
    for piece in pieces:
        start, low, end, high = piece.polygon.bounds
        count = max(2, math.ceil((end - start - 2 * SCREW_EDGE) / site.frame.max_centres) + 1)
        for u in np.linspace(start + 2 * SCREW_EDGE, end - 2 * SCREW_EDGE, count):
            for aside in (-SCREW_EDGE / 2, SCREW_EDGE / 2):
                at = piece.axes.point_to_site(float(u) + aside, (low + high) / 2)
                behind = frame[int(tree.nearest(axes.to_local(Point(at))))]
                fixings.append(Fixing("screw", at, piece.id, behind.id))
    return tuple(fixings)


def _on_site(fixing: Fixing, axes: Axes) -> Fixing:
    return Fixing(fixing.kind, axes.point_to_site(*fixing.at), fixing.piece, fixing.member)

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

from ..frame.setout import SetOut
from ..laid import LaidZone
from ..layout.axes import Axes
from ..layout.pieces import LaidPiece
from ..layout.trim import in_axes
from ..plan import Fixing
from ..spec import Site
from .place import SCREW_EDGE, screws_at_crossings

PAIR = (-SCREW_EDGE / 2, SCREW_EDGE / 2)
"""Where the two screws of a pair stand along a fascia [mm]."""
STEP = 25.0
"""How finely a place for a screw is looked for along a board [mm]."""


def screw_edging(site: Site, axes: Axes, pieces: Sequence[LaidPiece], frame: tuple[SetOut, ...]) -> tuple[Fixing, ...]:
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
        bearing = [_where_it_bears(frame[i], footprints[i], local) for i in near]
        found = [_on_site(fixing, axes) for fixing in screws_at_crossings(local, bearing, across)]
        own = {frame[i].id: piece.axes.to_local(axes.to_site(footprints[i])) for i in near}
        screwed = [piece.axes.to_local(Point(fixing.at)).x for fixing in found]
        fixings += [*found, *_between(site, piece, own, screwed)]
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


def _between(site: Site, piece: LaidPiece, under: dict[str, BaseGeometry], screwed: Sequence[float]) -> list[Fixing]:
    """Screws at no more than joist centres where no member crosses a board, each in the member widest under it."""
    start, low, end, high = piece.box
    most = site.frame.max_centres
    stops = [start - most / 2, *sorted(screwed), end + most / 2]
    if all(b - a <= most for a, b in pairwise(stops)):
        return []
    seats = {}
    for u in np.arange(start + SCREW_EDGE, end, STEP):
        section = LineString(((u, low - 1.0), (u, high + 1.0))).intersection(piece.polygon)
        on = {name: section.intersection(shape) for name, shape in under.items()}
        name = max(on, key=lambda name: on[name].length, default=None)
        if name is not None and on[name].length > 0.0:
            seats[float(u)] = (name, max(shapely.get_parts(on[name]), key=lambda part: part.length).centroid.y)
    fixings = []
    reached = stops[0]
    for stop in stops[1:]:
        while stop - reached > most:
            ahead = [u for u in seats if reached < u < stop]
            if not ahead:
                break
            reached = max((u for u in ahead if u <= reached + most), default=min(ahead))
            name, across = seats[reached]
            fixings.append(Fixing("screw", piece.axes.point_to_site(reached, across), piece.id, name))
        reached = stop
    return fixings


def screw_fascias(site: Site, pieces: Sequence[LaidPiece], zones: Sequence[LaidZone]) -> tuple[Fixing, ...]:
    """Screw fascias to the members behind them: two near either end, and two at no more than joist centres between.

    The two stand over one another, a little apart along the member so as not to split it; where no timber is right
    behind, they move along to where there is.
    """
    members = [(member.id, LineString(points)) for zone in zones for member, points in _in_plan(zone)]
    if not pieces or not members:
        return ()
    lines = np.array([line for _, line in members])
    within = site.frame.section[0] / 2 + site.boards.thickness + 2.0
    fixings = []
    for piece in pieces:
        start, low, end, high = piece.box
        count = max(2, math.ceil((end - start - 2 * SCREW_EDGE) / site.frame.max_centres) + 1)
        taken: list[float] = []
        for u in np.linspace(start + 2 * SCREW_EDGE, end - 2 * SCREW_EDGE, count):
            for along in sorted(np.arange(start + SCREW_EDGE, end - SCREW_EDGE, STEP), key=lambda v: abs(v - u)):
                pair = [piece.axes.point_to_site(float(along) + side, (low + high) / 2) for side in PAIR]
                behind = np.argmin(shapely.distance(lines, Point(pair[0])))
                if all(lines[behind].distance(Point(at)) <= within for at in pair):
                    if any(abs(along - other) < 2 * SCREW_EDGE for other in taken):
                        break
                    taken.append(float(along))
                    fixings += [Fixing("screw", at, piece.id, members[behind][0]) for at in pair]
                    break
    return tuple(fixings)


def _in_plan(zone: LaidZone) -> list[tuple[SetOut, list[tuple[float, float]]]]:
    axes = zone.field.axes
    return [(m, [axes.point_to_site(*m.start), axes.point_to_site(*m.end)]) for m in zone.frame]


def _on_site(fixing: Fixing, axes: Axes) -> Fixing:
    return Fixing(fixing.kind, axes.point_to_site(*fixing.at), fixing.piece, fixing.member)

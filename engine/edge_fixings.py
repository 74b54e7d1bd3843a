"""Screws of edge boards: a border has no course on its far side that a clip could hold, so it is screwed down."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Point
from shapely.strtree import STRtree

from .fixings import SCREW_EDGE, screws_along, screws_at_crossings
from .frame.setout import SetOut
from .layout.axes import Axes
from .layout.pieces import LaidPiece
from .layout.trim import in_axes
from .plan import Fixing
from .spec import Site


def screw_edging(
    site: Site, axes: Axes, pieces: Sequence[LaidPiece], frame: tuple[SetOut, ...]
) -> tuple[Fixing, ...]:
    """Two screws at each member that crosses an edge board; along the member under it where none does."""
    if not pieces or not frame:
        return ()
    footprints = [member.footprint(site.frame.section[0]) for member in frame]
    tree = STRtree(footprints)
    fixings: list[Fixing] = []
    for piece in pieces:
        local = in_axes(piece, axes)
        under = [frame[i] for i in sorted(tree.query(local.polygon))]
        across = (piece.axes.angle - axes.angle) % 180.0
        found = screws_at_crossings(local, under, across)
        fixings += found or screws_along(site, local, tuple(under))
    return tuple(_on_site(fixing, axes) for fixing in fixings)


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

"""What boards rest on: bays, overhangs, and pieces that bear on too few of them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import compress, pairwise

import numpy as np
from shapely.geometry.base import BaseGeometry
from shapely.strtree import STRtree

from ..frame.footprints import footprints
from ..frame.resting import Body, Support, members_under, supports
from ..frame.sound import sound_pieces
from ..frame.support import bays, borne, gaps, halves
from ..laid import LaidZone
from ..layout.axes import Axes
from ..layout.divider import is_divider
from ..layout.pieces import LaidPiece
from ..plan import Check
from ..spec import Site
from .sources import PRACTICE, SITE_RULE, place_of

EDGE_KINDS = ("border", "nosing")


def bearing_checks(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
    """Widest bay, and a line for every piece that spans too far, reaches out, or bears on too few bays."""
    limit, breadth = site.frame.max_centres, site.frame.section[0]
    widest, faults = 0.0, []
    for zone in zones:
        for axes, pieces in _by_axes(zone):
            if axes == zone.field.axes:
                shapes = footprints(zone.frame, breadth).tolist()
            else:  # a divider lies on the rims of both zones
                shapes = [shape for other in zones for shape in _under(axes, pieces, other, breadth)]
            widest_here, faults_here = _bearing_faults(site, pieces, shapes)
            widest = max(widest, widest_here)
            faults += faults_here
    text = f"widest joist centres under any piece are {widest:.0f} mm of {limit:g} mm allowed"
    return [Check("joist centres", SITE_RULE, round(widest, 1), limit, "mm", widest <= limit + 0.5, text), *faults]


def _by_axes(zone: LaidZone) -> list[tuple[Axes, list[LaidPiece]]]:
    """What is walked on, by the way it runs: the field first."""
    groups: dict[Axes, list[LaidPiece]] = {}
    for piece in (*zone.pieces, *zone.edging):
        groups.setdefault(piece.axes, []).append(piece)
    return list(groups.items())


def _under(axes: Axes, pieces: Sequence[LaidPiece], zone: LaidZone, breadth: float) -> list[BaseGeometry]:
    """Members of a zone near some pieces, turned to the pieces' axes."""
    own, members = zone.field.axes, footprints(zone.frame, breadth)
    there = [own.to_local(axes.to_site(piece.polygon)) for piece in pieces]
    if not len(members):
        return []
    return [axes.to_local(own.to_site(members[i])) for i in np.unique(STRtree(members).query(there)[1])]


def _bearing_faults(
    site: Site, pieces: Sequence[LaidPiece], shapes: Sequence[BaseGeometry]
) -> tuple[float, list[Check]]:
    """Widest bay and faults of pieces over members whose footprints lie in the pieces' axes."""
    breadth, limit, least = site.frame.section[0], site.frame.max_centres, site.pattern.min_piece_bays
    members = supports(shapes)
    sound = sound_pieces(pieces, np.array(shapes, dtype=object), limit - breadth, least, breadth)
    widest, faults = sound.widest + breadth if sound.widest else 0.0, []
    along_edge = np.array([piece.kind in EDGE_KINDS for piece in pieces], dtype=bool)
    doubtful = list(compress(pieces, ~sound.pieces | along_edge))
    under = members_under(doubtful, members)
    laid = [_bodies(piece, near) for piece, near in zip(doubtful, under, strict=True)]
    bearing = iter(borne([body for own in laid for body in own], limit - breadth, widest - breadth))
    for piece, near, own in zip(doubtful, under, laid, strict=True):
        for body, carried in zip(own, bearing, strict=False):
            for (_, low), (high, _) in pairwise(carried):
                widest = max(widest, high - low + breadth)
            for low, high in gaps(body, carried, limit - breadth):
                span, place = high - low + breadth, place_of(piece.axes, piece.polygon)
                text = f"{piece.id} lacks support over {high - low:.0f} mm near {place}: add a nogging or a joist there"
                faults.append(Check(f"support {piece.id}", SITE_RULE, round(span, 1), limit, "mm", False, text))
        if is_divider(piece):
            text = f"{piece.id} rests along the rims of two zones: screw it down along them"
            faults.append(Check(f"divider {piece.id}", PRACTICE, 0, 0, "bays", True, text))
            continue
        count = bays(Body(piece.polygon, piece.whole, near), breadth, least)
        if count < least:
            spanned = f"{count} of {least} bays" if count else "no bay"
            place = place_of(piece.axes, piece.polygon)
            text = f"{piece.id} at {place} spans {spanned}: screw it down at every bearing"
            faults.append(Check(f"short piece {piece.id}", SITE_RULE, count, least, "bays", False, text))
    return widest, faults


def _bodies(piece: LaidPiece, under: Sequence[Support]) -> list[Body]:
    """What of a piece must be borne: where it is stood on; of an edge board, which may lie along a rim, either half."""
    if piece.kind in EDGE_KINDS:
        return halves(piece.bodies, under)
    return [Body(body, piece.whole, under) for body in piece.bodies]

"""The whole flow on one screen: site → layout → frame → fixings → cut plan → takeoff → plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from .checks.fewest import fewest_boards
from .checks.offcuts import offcut_check
from .checks.run import run_checks
from .checks.saving import saving
from .collector import collector_at_rest
from .cutplan.stock import as_squared, plan_cuts
from .effort import Effort, up_to
from .errors import SiteError
from .frame.setout import SetOut
from .frame.standing import ON_SITE
from .laid import LaidZone
from .lay import lay_decks
from .layout.axes import Axes
from .layout.pieces import LaidPiece
from .plan import Area, Fixing, Member, Piece, Plan, ZonePlan
from .spec import Site
from .takeoff import payable, take_off
from .takeoff.bounds import as_ordered
from .takeoff.lengths import Part
from .version import VERSION

DIGITS = 3
"""Places of a millimetre kept in a plan: enough for any saw, and the same text on every machine."""


def design(site: Site, effort: Effort = "quick") -> Plan:
    """Plan one site.

    Parameters
    ----------
    site : Site
        Complete, as `read_site` returns it.
    effort : {"quick", "normal", "thorough"}
        How long to search for a cheaper plan: for live edits, for an order (seconds), or to the last board (minutes).

    Returns
    -------
    Plan
        Boards, joints, frame, fixings, cut plan, takeoff and checks.

    Raises
    ------
    SiteError
        If nothing of a deck can be boarded.
    """
    if effort != "quick":
        return _design(site, effort)
    with collector_at_rest():
        return _design(site, effort)


def _design(site: Site, effort: Effort) -> Plan:
    """The best of the plans that the lengths of board lead to: a further length never makes as sound an order dearer.

    Joints and joists are set out for one length at a time; the pieces are cut from all of them. More effort never
    ends worse than less, whose plan is among those compared.
    """
    lengths = sorted(set(site.boards.lengths), reverse=True)
    if len(lengths) == 1:
        return _best(site, effort, _planned(site, "quick"), None, None)
    plans = []
    refused = None
    for length in lengths:
        try:
            plans.append((length, _planned(site, "quick", (length,))))
        except SiteError as fault:  # a course that only longer boards span
            refused = refused or fault
    if refused and not plans:
        raise refused
    longest, at_once = min(plans, key=lambda own: _rated(own[1]))
    return _best(site, effort, at_once, (longest,), tuple(own for own in lengths if own <= longest))


def _best(
    site: Site, effort: Effort, at_once: Plan, one: tuple[float, ...] | None, several: tuple[float, ...] | None
) -> Plan:
    """The best of a plan made at once and those that are searched for; if the first, then cut with all the effort."""
    if effort == "quick":
        return at_once
    searched = [_planned(site, own, several, effort) for own in reversed(up_to(effort)[1:])]
    best = min([*searched, at_once], key=_rated)
    return min(_planned(site, "quick", one, effort), at_once, key=_rated) if best is at_once else best


def _rated(plan: Plan) -> tuple[int, Decimal]:
    """What plans are compared by, least first: rules that are not kept, and the price."""
    return sum(not check.ok for check in plan.checks), payable(plan.takeoff, plan.site.prices)


def _planned(
    site: Site, effort: Effort, lengths: tuple[float, ...] | None = None, cutting: Effort | None = None
) -> Plan:
    """One plan, its joints and joists set out for some of the lengths of board alone, cut with an effort of its own."""
    apart = site if lengths is None else replace(site, boards=replace(site.boards, lengths=lengths))
    laid = lay_decks(as_squared(apart), effort)
    pieces = [piece for zone in laid for piece in zone.boards]
    members = [member for zone in laid for member in zone.frame]
    fixings = _fixings([fixing for zone in laid for fixing in zone.fixings])
    standing = site.frame.state == "existing"
    cuts = plan_cuts(site, pieces, [] if standing else members, cutting or effort)
    parts = {piece.id: Part(piece.kind, piece.length) for piece in pieces}
    parts |= {member.id: Part(member.role, member.length) for member in members}
    return Plan(
        version=VERSION,
        name=site.name,
        site=site,
        zones=tuple(_zone(zone) for zone in laid),
        pieces=tuple(piece for zone in laid for piece in _pieces(zone, cuts.source)),
        joints=tuple(replace(joint, at=_rounded(joint.at)) for zone in laid for joint in zone.joints),
        members=tuple(_member(zone.site, zone.field.axes, m, cuts.source) for zone in laid for m in zone.frame),
        fixings=fixings,
        stock=cuts.stock,
        takeoff=take_off(site, cuts.stock, parts, fixings),
        checks=(
            *run_checks(laid),
            *saving(site, laid, cuts.stock),
            offcut_check(site, cuts.kept),
            fewest_boards(cuts.bounds[0]),
        ),
        bounds=as_ordered(site, cuts.bounds, cuts.stock),
    )


def _zone(zone: LaidZone) -> ZonePlan:
    courses = len({piece.course for piece in zone.pieces})
    return ZonePlan(zone.field.zone, zone.field.axes.angle, _area(zone.area), courses, zone.deck)


def _pieces(zone: LaidZone, source: dict[str, str]) -> Iterator[Piece]:
    for piece, area in zip(zone.boards, _areas(zone.boards), strict=True):
        yield _piece(zone.site, zone.field.zone, piece, area, source)


def _piece(site: Site, zone: str, piece: LaidPiece, area: Area, source: dict[str, str]) -> Piece:
    return Piece(
        id=piece.id,
        zone=zone,
        course=piece.course,
        kind=piece.kind,
        polygon=area,
        length=round(piece.length, DIGITS),
        width=round(piece.width, DIGITS),
        stock=source[piece.id],
        cuts=piece.cuts,
        face=site.boards.side,
        direction=piece.axes.angle,
        top=round(site.deck.surface - piece.drop, DIGITS),
    )


def _member(site: Site, axes: Axes, member: SetOut, source: dict[str, str]) -> Member:
    breadth, depth = site.frame.section[0], member.depth or site.frame.section[1]
    middle = site.deck.surface - site.boards.thickness - depth / 2
    start, end = (_rounded(axes.point_to_site(*point)) for point in (member.start, member.end))
    return Member(
        id=member.id,
        role=member.role,
        start=(start[0], start[1], middle),
        end=(end[0], end[1], middle),
        section=(breadth, depth),
        length=round(member.length, DIGITS),
        stock=source.get(member.id, ON_SITE),
    )


def _fixings(fixings: Sequence[Fixing]) -> tuple[Fixing, ...]:
    places = map(tuple, (np.array([f.at for f in fixings]).reshape(-1, 2).round(DIGITS) + 0.0).tolist())
    return tuple(Fixing(f.kind, place, f.piece, f.member) for f, place in zip(fixings, places, strict=True))


def _rounded(point: tuple[float, float]) -> tuple[float, float]:
    return (round(float(point[0]), DIGITS) + 0.0, round(float(point[1]), DIGITS) + 0.0)


def _areas(pieces: Sequence[LaidPiece]) -> list[Area]:
    """Outlines of pieces on the site; those without a hole, which are nearly all, are turned and rounded at once."""
    outlines: dict[int, Area] = {}
    by_axes: dict[Axes, list[int]] = {}
    for i, piece in enumerate(pieces):
        by_axes.setdefault(piece.axes, []).append(i)
    for axes, places in by_axes.items():
        shapes = np.array([pieces[i].polygon for i in places], dtype=object)
        plain = shapely.get_num_interior_rings(shapes) == 0
        rings = shapely.get_exterior_ring(shapes[plain])
        turned = np.stack(axes.points_to_site(*shapely.get_coordinates(rings).T), axis=-1).round(DIGITS) + 0.0
        corners = list(map(tuple, turned.tolist()))
        ends = np.cumsum(shapely.get_num_coordinates(rings)).tolist()
        ways = np.where(shapely.is_ccw(rings), 1, -1).tolist()
        for i, start, end, way in zip(np.array(places)[plain].tolist(), [0, *ends], ends, ways, strict=False):
            outlines[i] = Area(tuple(corners[start:end][::way][:-1]))  # the first corner comes again as the last
    return [outlines.get(i) or _area(piece.axes.to_site(piece.polygon)) for i, piece in enumerate(pieces)]


def _area(shape: BaseGeometry) -> Area:
    polygon = orient(shape)
    rings = [polygon.exterior, *polygon.interiors]
    outer, *holes = (tuple(_rounded(point) for point in ring.coords[:-1]) for ring in rings)
    return Area(outer, tuple(holes))

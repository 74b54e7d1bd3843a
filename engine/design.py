"""The whole flow on one screen: site → layout → frame → fixings → cut plan → takeoff → plan."""

from __future__ import annotations

from dataclasses import replace

from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from .checks import run_checks
from .cutplan.stock import plan_cuts
from .fixings import place_fixings
from .frame.ground import frame_ground
from .frame.setout import SetOut, seat_joints, set_out_frame
from .layout.axes import Axes
from .layout.courses import Field, lay_courses
from .layout.joints import choose_grid, place_joints
from .layout.pieces import LaidPiece, cut_pieces
from .layout.region import deck_area
from .plan import Area, Fixing, Member, Piece, Plan, ZonePlan
from .spec import Site
from .takeoff import take_off
from .version import VERSION

DIGITS = 3
"""Places of a millimetre kept in a plan: enough for any saw, and the same text on every machine."""


def design(site: Site) -> Plan:
    """Plan one site.

    Parameters
    ----------
    site : Site
        Complete, as `read_site` returns it.

    Returns
    -------
    Plan
        Boards, joints, frame, fixings, cut plan, takeoff and checks.

    Raises
    ------
    SiteError
        If nothing of the deck can be boarded.
    """
    field = lay_courses(site)
    ground = frame_ground(site, field.axes)
    grid = choose_grid(site, field)
    jointed = place_joints(site, field, grid, ground)
    pieces, butts = cut_pieces(site, field, grid, jointed)
    frame = set_out_frame(site, field, grid, jointed, pieces, ground)
    joints = seat_joints(site, field.axes, field.zone, grid, butts, frame)
    fixings = place_fixings(site, field, pieces, frame)
    cuts = plan_cuts(site, pieces, frame)
    lengths = {piece.id: piece.length for piece in pieces} | {member.id: member.length for member in frame}
    return Plan(
        version=VERSION,
        name=site.name,
        site=site,
        zones=(_zone(site, field),),
        pieces=tuple(_piece(site, field, piece, cuts.source) for piece in pieces),
        joints=tuple(replace(joint, at=_rounded(joint.at)) for joint in joints),
        members=tuple(_member(site, field.axes, member, cuts.source) for member in frame),
        fixings=tuple(_fixing(fixing) for fixing in fixings),
        stock=cuts.stock,
        takeoff=take_off(site, cuts.stock, lengths, fixings),
        checks=run_checks(site, field.axes, pieces, butts, frame),
        bounds=cuts.bounds,
    )


def _zone(site: Site, field: Field) -> ZonePlan:
    courses = len({run.course for run in field.runs})
    return ZonePlan(field.zone, field.axes.angle, _area(deck_area(site)), courses)


def _piece(site: Site, field: Field, piece: LaidPiece, source: dict[str, str]) -> Piece:
    return Piece(
        id=piece.id,
        zone=field.zone,
        course=piece.course,
        kind="board",
        polygon=_area(field.axes.to_site(piece.polygon)),
        length=round(piece.length, DIGITS),
        width=round(piece.width, DIGITS),
        stock=source[piece.id],
        cuts=piece.cuts,
        face=site.boards.side,
    )


def _member(site: Site, axes: Axes, member: SetOut, source: dict[str, str]) -> Member:
    middle = site.deck.surface - site.boards.thickness - site.frame.section[1] / 2
    start, end = (_rounded(axes.point_to_site(*point)) for point in (member.start, member.end))
    return Member(
        id=member.id,
        role=member.role,
        start=(start[0], start[1], middle),
        end=(end[0], end[1], middle),
        section=site.frame.section,
        length=round(member.length, DIGITS),
        stock=source[member.id],
    )


def _fixing(fixing: Fixing) -> Fixing:
    return replace(fixing, at=_rounded(fixing.at))


def _rounded(point: tuple[float, float]) -> tuple[float, float]:
    return (round(float(point[0]), DIGITS) + 0.0, round(float(point[1]), DIGITS) + 0.0)


def _area(shape: BaseGeometry) -> Area:
    polygon = orient(shape)
    rings = [polygon.exterior, *polygon.interiors]
    outer, *holes = (tuple(_rounded(point) for point in ring.coords[:-1]) for ring in rings)
    return Area(outer, tuple(holes))

"""The whole flow on one screen: site → layout → frame → fixings → cut plan → takeoff → plan."""

from __future__ import annotations

from dataclasses import replace

from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from .checks import run_checks
from .cutplan.stock import plan_cuts
from .cutplan.turns import turned_for_the_saw
from .errors import SiteError
from .fixings import place_fixings
from .frame.ground import frame_ground
from .frame.setout import SetOut, seat_joints, set_out_frame
from .frame.standing import ON_SITE, joints_on_standing, seat_on_standing, standing_joists, standing_members
from .laid import LaidZone
from .layout.axes import Axes
from .layout.courses import Field, lay_courses
from .layout.joints import choose_grid
from .layout.pieces import LaidPiece, cut_pieces
from .layout.region import deck_area
from .layout.zones import ZoneArea, zones_of
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
    laid = tuple(_lay(site, zone) for zone in zones_of(site))
    pieces = [piece for zone in laid for piece in zone.pieces]
    if not pieces:
        x0, y0, x1, y1 = deck_area(site).bounds
        found = f"nothing of its {x1 - x0:.0f} x {y1 - y0:.0f} mm can be boarded"
        raise SiteError("deck.outline", found, "are `units`, gaps and clearances right?")
    members = [member for zone in laid for member in zone.frame]
    fixings = tuple(_fixing(fixing) for zone in laid for fixing in zone.fixings)
    standing = site.frame.state == "existing"
    cuts = plan_cuts(site, pieces, [] if standing else members)
    lengths = {piece.id: piece.length for piece in pieces} | {member.id: member.length for member in members}
    return Plan(
        version=VERSION,
        name=site.name,
        site=site,
        zones=tuple(_zone(zone) for zone in laid),
        pieces=tuple(_piece(site, zone.field.zone, piece, cuts.source) for zone in laid for piece in zone.pieces),
        joints=tuple(replace(joint, at=_rounded(joint.at)) for zone in laid for joint in zone.joints),
        members=tuple(_member(site, zone.field.axes, m, cuts.source) for zone in laid for m in zone.frame),
        fixings=fixings,
        stock=cuts.stock,
        takeoff=take_off(site, cuts.stock, lengths, fixings),
        checks=run_checks(site, laid),
        bounds=cuts.bounds,
    )


def _lay(site: Site, zone: ZoneArea) -> LaidZone:
    """One zone: its boards, the frame under them, and what holds the two together."""
    field = lay_courses(site, zone)
    if not field.runs:
        return LaidZone(zone.area, field, (), (), (), (), ())
    if site.frame.state == "existing":
        return _lay_on_standing(site, zone, field)
    ground = frame_ground(site, zone, field.axes)
    grid = choose_grid(site, field, ground)
    jointed = turned_for_the_saw(site, field, grid, ground)
    pieces, butts = cut_pieces(site, field, jointed)
    frame = set_out_frame(site, field, grid, jointed, pieces, ground)
    joints = seat_joints(site, field.axes, zone.id, grid, butts, frame)
    return LaidZone(zone.area, field, pieces, butts, frame, joints, place_fixings(site, field, pieces, frame))


def _lay_on_standing(site: Site, zone: ZoneArea, field: Field) -> LaidZone:
    """One zone on joists that stand already."""
    joists = standing_joists(site, field.axes)
    jointed = joints_on_standing(site, field, joists)
    pieces, butts = cut_pieces(site, field, jointed)
    frame = standing_members(site, joists)
    joints = seat_on_standing(site, field, joists, butts)
    return LaidZone(zone.area, field, pieces, butts, frame, joints, place_fixings(site, field, pieces, frame))


def _zone(zone: LaidZone) -> ZonePlan:
    courses = len({run.course for run in zone.field.runs})
    return ZonePlan(zone.field.zone, zone.field.axes.angle, _area(zone.area), courses)


def _piece(site: Site, zone: str, piece: LaidPiece, source: dict[str, str]) -> Piece:
    return Piece(
        id=piece.id,
        zone=zone,
        course=piece.course,
        kind=piece.kind,
        polygon=_area(piece.axes.to_site(piece.polygon)),
        length=round(piece.length, DIGITS),
        width=round(piece.width, DIGITS),
        stock=source[piece.id],
        cuts=piece.cuts,
        face=site.boards.side,
        direction=piece.axes.angle,
        top=site.deck.surface,
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
        stock=source.get(member.id, ON_SITE),
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

"""The whole flow on one screen: site → layout → frame → fixings → cut plan → takeoff → plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from .checks import run_checks
from .cutplan.stock import plan_cuts
from .cutplan.turns import turned_for_the_saw
from .errors import SiteError
from .edge_fixings import screw_edging, screw_fascias
from .fixings import place_fixings, screw_panels
from .frame.ground import frame_ground
from .frame.ladder import ladder_area
from .frame.openings import batten_panels, ground_round, seat_partings
from .frame.setout import SetOut, seat_edge_joints, seat_joints, set_out_frame, turned_to
from .frame.standing import ON_SITE, joints_on_standing, seat_on_standing, standing_joists, standing_members
from .laid import LaidZone
from .layout.axes import Axes
from .layout.border import Strip, border_strips, covered, mitres_of
from .layout.beside import joints_of_others
from .layout.courses import Field, lay_courses
from .layout.divider import divider_strips
from .layout.doorways import doorways
from .layout.fascia import behind_fascias, fascias
from .layout.hatch import hatch_pieces, open_hatches
from .layout.joints import choose_grid
from .layout.partings import parted_round_posts, parting_joints
from .layout.pieces import LaidPiece, cut_pieces
from .layout.region import deck_area
from .layout.sides import sides_of
from .layout.trim import edge_boards
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
    laid: tuple[LaidZone, ...] = ()
    for zone, strips in _with_strips(site, zones_of(site)):
        laid += (_lay(site, zone, strips, laid),)
    pieces = [piece for zone in laid for piece in zone.boards]
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
        pieces=tuple(_piece(site, zone.field.zone, piece, cuts.source) for zone in laid for piece in zone.boards),
        joints=tuple(replace(joint, at=_rounded(joint.at)) for zone in laid for joint in zone.joints),
        members=tuple(_member(site, zone.field.axes, m, cuts.source) for zone in laid for m in zone.frame),
        fixings=fixings,
        stock=cuts.stock,
        takeoff=take_off(site, cuts.stock, lengths, fixings),
        checks=run_checks(site, laid),
        bounds=cuts.bounds,
    )


def _with_strips(site: Site, zones: Sequence[ZoneArea]) -> list[tuple[ZoneArea, tuple[Strip, ...]]]:
    """Every zone with its edge boards: borders run on from zone to zone, dividers end at them."""
    sides = sides_of(site)
    borders = [border_strips(site, zone, sides) for zone in zones]
    taken = covered([strip for strips in borders for strip in strips], site)
    return [
        (zone, (*strips, *divider_strips(site, zone, taken))) for zone, strips in zip(zones, borders, strict=True)
    ]


def _lay(site: Site, zone: ZoneArea, strips: Sequence[Strip], before: Sequence[LaidZone]) -> LaidZone:
    """One zone: its boards, the frame under them, and what holds the two together."""
    sides = sides_of(site)
    field = _known(site, parted_round_posts(site, lay_courses(site, zone, covered(strips, site))), before)
    if not field.runs and not strips:
        return LaidZone(zone.area, field, (), (), (), (), ())
    if site.frame.state == "existing":
        return _lay_on_standing(site, zone, field, strips)
    ladders = ladder_area(site, zone, sides, field.axes.angle)
    ground = frame_ground(site, zone, field.axes, ladders, behind_fascias(site))
    grid = choose_grid(site, field, ground)
    field, hatches, no_hatches = open_hatches(site, field, grid)
    ground = ground_round(site, field, ground, hatches)
    jointed = turned_for_the_saw(site, field, grid, ground)
    pieces, butts = cut_pieces(site, field, jointed)
    mitres = mitres_of(site, sides)
    edging = edge_boards(site, strips, mitres, field, grid.lines, jointed)
    frame = set_out_frame(site, field, grid, jointed, pieces, ground, edging)
    panels, battens = hatch_pieces(site, field, hatches), batten_panels(site, field, ground, hatches)
    parted = parting_joints(site, field, pieces + panels)
    joints = seat_joints(site, field.axes, zone.id, butts, frame) + seat_partings(site, field, parted, frame)
    beside = tuple(m for other in before for m in turned_to(field.axes, other.frame, other.field.axes))
    joints += seat_edge_joints(site, field.axes, zone.id, edging, frame + beside)
    closed = fascias(site, zone)
    fixings = place_fixings(site, field, pieces, frame) + screw_panels(field.axes, panels, battens)
    fixings += screw_edging(site, field.axes, edging.pieces, frame + beside) + screw_fascias(site, field.axes, closed, frame)
    return LaidZone(
        zone.area,
        field,
        pieces + panels,
        butts + parted,
        frame + battens,
        joints,
        fixings,
        hatches,
        no_hatches,
        edging.pieces,
        closed,
    )


def _lay_on_standing(site: Site, zone: ZoneArea, field: Field, strips: Sequence[Strip]) -> LaidZone:
    """One zone on joists that stand already."""
    joists = standing_joists(site, field.axes)
    jointed = joints_on_standing(site, field, joists)
    pieces, butts = cut_pieces(site, field, jointed)
    frame = standing_members(site, joists)
    parted = parting_joints(site, field, pieces)
    joints = seat_on_standing(site, field, joists, butts) + seat_partings(site, field, parted, frame)
    return LaidZone(zone.area, field, pieces, butts + parted, frame, joints, place_fixings(site, field, pieces, frame))


def _known(site: Site, field: Field, before: Sequence[LaidZone]) -> Field:
    """A field with what its joints are kept off: joints of zones laid before it, and doorways."""
    others = [(zone.field.axes, [(butt.at, butt.across) for butt in zone.butts]) for zone in before]
    return replace(
        field,
        butted_beside=joints_of_others(field.axes, others),
        doorways=tuple(field.axes.to_local(doorway) for doorway in doorways(site)),
    )


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


def _fixing(fixing: Fixing) -> Fixing:
    return replace(fixing, at=_rounded(fixing.at))


def _rounded(point: tuple[float, float]) -> tuple[float, float]:
    return (round(float(point[0]), DIGITS) + 0.0, round(float(point[1]), DIGITS) + 0.0)


def _area(shape: BaseGeometry) -> Area:
    polygon = orient(shape)
    rings = [polygon.exterior, *polygon.interiors]
    outer, *holes = (tuple(_rounded(point) for point in ring.coords[:-1]) for ring in rings)
    return Area(outer, tuple(holes))

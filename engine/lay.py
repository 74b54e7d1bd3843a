"""A zone from its area to what holds it together: courses, joints, pieces, edge boards, frame and fixings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely.geometry.base import BaseGeometry

from .cutplan.lanes import joints_for_the_saw
from .cutplan.modules import choose_grid
from .effort import Effort
from .errors import SiteError
from .fixings.edges import screw_edging, screw_fascias
from .fixings.place import place_fixings, screw_panels
from .frame.edge_joints import seat_edge_joints, seat_seam_joints, turned_to
from .frame.ground import frame_ground
from .frame.ladder import ladder_area
from .frame.openings import ground_round, panel_battens, seat_partings, seat_strip_partings
from .frame.setout import seat_joints, set_out_frame
from .frame.standing import joints_on_standing, lines_across, seat_on_standing, standing_joists, standing_members
from .laid import LaidZone
from .layout.axes import Axes
from .layout.beside import joints_of_others
from .layout.border import Strip, border_strips, covered, mitres_of
from .layout.courses import Field, Parting, lay_courses
from .layout.decks import deck_field, sites_of
from .layout.divider import divider_strips
from .layout.doorways import doorways
from .layout.fascia import behind_fascias, fascias
from .layout.hatch import hatch_pieces, open_hatches
from .layout.partings import parted_round_posts, parted_strips, parting_joints, strip_joints
from .layout.pieces import cut_pieces
from .layout.region import deck_area
from .layout.sides import sides_of
from .layout.trim import edge_boards
from .layout.zones import ZoneArea, zones_of
from .spec import Site


def lay_decks(site: Site, effort: Effort = "quick") -> tuple[LaidZone, ...]:
    """Lay every zone of every deck; `effort` goes into where its joints lie.

    Raises
    ------
    SiteError
        If nothing of a deck can be boarded.
    """
    laid: tuple[LaidZone, ...] = ()
    parts = sites_of(site)
    whole = sum(deck_area(part).area for part in parts)
    for number, part in enumerate(parts):
        laid += _lay_deck(part, number, len(laid), effort, whole)
    return laid


def _lay_deck(site: Site, number: int, before: int, effort: Effort, whole: float) -> tuple[LaidZone, ...]:
    """All zones of one deck, their letters going on from those of the zones before; `whole` is all decks' area."""
    laid: tuple[LaidZone, ...] = ()
    for zone, strips, taken in with_strips(site, zones_of(site, before)):
        share = zone.area.area / whole
        laid += (replace(_lay(site, zone, strips, taken, laid, effort, share), deck=number),)
    if not any(zone.boards for zone in laid):
        x0, y0, x1, y1 = deck_area(site).bounds
        found = f"nothing of its {x1 - x0:.0f} x {y1 - y0:.0f} mm can be boarded"
        raise SiteError(f"{deck_field(number)}.outline", found, "are `units`, gaps and clearances right?")
    return _closed(site, laid)


def _closed(site: Site, laid: tuple[LaidZone, ...]) -> tuple[LaidZone, ...]:
    """Zones with the deck's fascias, which run on past seams and are counted with the first zone."""
    boards = fascias(site, laid[0].field.zone)
    if not boards:
        return laid
    fixings = laid[0].fixings + screw_fascias(site, boards, laid)
    return (replace(laid[0], fascias=boards, fixings=fixings), *laid[1:])


def with_strips(site: Site, zones: Sequence[ZoneArea]) -> list[tuple[ZoneArea, tuple[Strip, ...], BaseGeometry]]:
    """Every zone with its edge boards and what its field keeps off.

    Borders run on from zone to zone, dividers end at them and at each other.
    """
    sides = sides_of(site)
    borders = [border_strips(site, zone, sides) for zone in zones]
    laid = [strip for strips in borders for strip in strips]
    taken = covered(laid, site)
    dividers: list[tuple[Strip, ...]] = []
    for zone in zones:
        dividers.append(divider_strips(site, zone, taken))
        if dividers[-1]:
            laid += dividers[-1]
            taken = covered(laid, site)
    return [(zone, (*borders[i], *dividers[i]), taken) for i, zone in enumerate(zones)]


def _lay(
    site: Site,
    zone: ZoneArea,
    strips: Sequence[Strip],
    taken: BaseGeometry,
    before: Sequence[LaidZone],
    effort: Effort,
    share: float,
) -> LaidZone:
    """One zone: its boards, the frame under them, and what holds the two together; `share` is its part of the site."""
    sides = sides_of(site)
    field = _known(site, parted_round_posts(site, lay_courses(site, zone, taken)), before)
    strips, split = parted_strips(site, strips)
    if not field.runs and not strips:
        return LaidZone(site=site, area=zone.area, field=field)
    if site.frame.state == "existing":
        return _lay_on_standing(site, zone, field, strips, split)
    ladders = ladder_area(site, zone, sides, field.axes)
    ground = frame_ground(site, zone, field.axes, ladders, behind_fascias(site))
    grid, modules = choose_grid(site, field, ground, effort)
    field, hatches, no_hatches = open_hatches(site, field, grid, ground)
    ground = ground_round(site, field, ground, hatches, split)
    jointed = joints_for_the_saw(site, field, grid, ground, effort, share)
    pieces, butts = cut_pieces(site, field, jointed)
    edging = edge_boards(site, strips, mitres_of(site, sides), field, grid.lines, jointed)
    frame = set_out_frame(site, field, grid, jointed, pieces, ground, edging)
    panels, battens = hatch_pieces(site, field, hatches), panel_battens(field, ground, hatches)
    parted = parting_joints(site, field, pieces + panels)
    beside = turned_to(field.axes, before) if strips else ()
    run_on = [piece for other in before for piece in other.edging]
    return LaidZone(
        site=site,
        area=zone.area,
        field=field,
        pieces=pieces + panels,
        edging=edging.pieces,
        butts=butts + parted,
        frame=frame + battens,
        joints=(
            *seat_joints(site, field.axes, zone.id, butts, frame),
            *seat_partings(site, field, parted, frame),
            *seat_edge_joints(site, field.axes, zone.id, edging, frame + beside),
            *seat_strip_partings(site, field, strip_joints(site, split, edging.pieces), frame + beside),
            *seat_seam_joints(site, field.axes, zone.id, edging.pieces, frame, run_on, beside),
        ),
        fixings=(
            *place_fixings(site, field, pieces, frame),
            *screw_panels(field.axes, panels, battens),
            *screw_edging(site, field.axes, edging.pieces, frame + beside),
        ),
        hatches=hatches,
        no_hatches=no_hatches,
        grid=grid,
        modules=modules,
    )


def _lay_on_standing(
    site: Site, zone: ZoneArea, field: Field, strips: Sequence[Strip], split: Sequence[tuple[Axes, Parting]]
) -> LaidZone:
    """One zone on joists that stand already; what its edge boards lack under them, the checks say."""
    joists = standing_joists(site, field.axes)
    jointed = joints_on_standing(site, field, joists)
    pieces, butts = cut_pieces(site, field, jointed)
    frame = standing_members(site, joists)
    edging = edge_boards(site, strips, (), field, lines_across(joists), jointed)
    parted = parting_joints(site, field, pieces)
    return LaidZone(
        site=site,
        area=zone.area,
        field=field,
        pieces=pieces,
        edging=edging.pieces,
        butts=butts + parted,
        frame=frame,
        joints=(
            *seat_on_standing(site, field, joists, butts),
            *seat_partings(site, field, parted, frame),
            *seat_edge_joints(site, field.axes, zone.id, edging, frame),
            *seat_strip_partings(site, field, strip_joints(site, split, edging.pieces), frame),
        ),
        fixings=(
            *place_fixings(site, field, pieces, frame),
            *screw_edging(site, field.axes, edging.pieces, frame),
        ),
    )


def _known(site: Site, field: Field, before: Sequence[LaidZone]) -> Field:
    """A field with what its joints are kept off: joints of zones laid before it, and doorways."""
    others = [(zone.field.axes, [(butt.at, butt.across) for butt in zone.butts]) for zone in before]
    return replace(
        field,
        butted_beside=joints_of_others(field.axes, others),
        doorways=tuple(field.axes.to_local(doorway) for doorway in doorways(site)),
    )

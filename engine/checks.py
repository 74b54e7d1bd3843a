"""Rules held against a finished plan: what fails names its place and the remedy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import compress, groupby, pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.strtree import STRtree

from .edge_checks import edge_checks
from .frame.footprints import footprints
from .frame.sound import sound_pieces
from .frame.support import Body, Support, bays, borne, gaps, halves, members_under, supports
from .heat import heat_checks
from .laid import LaidZone
from .layout.axes import Axes
from .layout.beside import joints_of_others
from .layout.bodies import STANDS
from .layout.courses import SLIVER
from .layout.cutouts import Cutout, cutouts
from .layout.decks import deck_name
from .layout.divider import is_divider
from .layout.obstacles import kept_clear
from .layout.pieces import ButtJoint, LaidPiece, course_name
from .layout.wall import HIDDEN_GAP, stations
from .panels import panel_checks, parted_checks
from .plan import Check, Joint
from .spec import Site
from .standards import approved_document_k

SITE_RULE = "the site file"
PRACTICE = "common practice, no source"
EDGE_KINDS = ("border", "nosing")
LEAST_TONGUE = 800.0
"""Smaller corners beside an obstacle are not called tongues [mm2]: 20 mm, the narrowest laid, by twice that."""


def run_checks(zones: Sequence[LaidZone]) -> tuple[Check, ...]:
    """Check a plan against the site's own limits and the published ones, deck by deck."""
    decks = [list(group) for _, group in groupby(zones, key=lambda zone: zone.deck)]
    return tuple(check for deck in decks for check in _named(deck[0], _deck_checks(deck[0].site, deck)))


def _named(zone: LaidZone, checks: Sequence[Check]) -> list[Check]:
    """The checks of a deck, told by its name where there are more."""
    if not zone.site.decks:
        return list(checks)
    name = deck_name(zone.site, zone.deck)
    return [replace(c, id=f"{name}: {c.id}", message=f"{name}: {c.message}") for c in checks]


def _deck_checks(site: Site, zones: Sequence[LaidZone]) -> tuple[Check, ...]:
    pieces = [piece for zone in zones for piece in zone.pieces]
    joints = [joint for zone in zones for joint in zone.butts]
    return (
        *_bearing_checks(site, zones),
        *_starts(site, zones),
        _narrowest_rip(site, pieces),
        _stagger(site, zones),
        *_joists_to_double(zones),
        *heat_checks(site, pieces, joints),
        _guarding(site),
        *_tongues(site, zones),
        *parted_checks(site, zones),
        *panel_checks(site, zones),
        *_packers(site),
        *edge_checks(site, zones),
    )


def _bearing_checks(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
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
                span, place = high - low + breadth, _place(piece.axes, piece.polygon)
                text = f"{piece.id} lacks support over {high - low:.0f} mm near {place}: add a nogging or a joist there"
                faults.append(Check(f"support {piece.id}", SITE_RULE, round(span, 1), limit, "mm", False, text))
        if is_divider(piece):
            text = f"{piece.id} rests along the rims of two zones: screw it down along them"
            faults.append(Check(f"divider {piece.id}", PRACTICE, 0, 0, "bays", True, text))
            continue
        count = bays(Body(piece.polygon, piece.whole, near), breadth, least)
        if count < least:
            held, place = f"{count} bay{'' if count == 1 else 's'}", _place(piece.axes, piece.polygon)
            text = f"{piece.id} at {place} bears on {held}, not {least}: screw it down at every bearing"
            faults.append(Check(f"short piece {piece.id}", SITE_RULE, count, least, "bays", False, text))
    return widest, faults


def _bodies(piece: LaidPiece, under: Sequence[Support]) -> list[Body]:
    """What of a piece must be borne: where it is stood on; of an edge board, which may lie along a rim, either half."""
    if piece.kind in EDGE_KINDS:
        return halves(piece.bodies, under)
    return [Body(body, piece.whole, under) for body in piece.bodies]


def _place(axes: Axes, shape: shapely.Geometry) -> str:
    middle = shape.representative_point()
    return _at(axes.point_to_site(middle.x, middle.y))


def _at(point: tuple[float, float]) -> str:
    return f"[{point[0]:.0f}, {point[1]:.0f}]"


def _starts(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
    """What was chosen for the first course of each zone, and why."""
    found = []
    for zone in zones:
        start, limit = zone.field.start, site.pattern.min_rip
        if start is None:
            continue
        if start.shift == 0.0:
            text = f"zone {zone.field.zone} begins with a whole board"
        else:
            ripped = site.boards.width - start.shift
            text = f"zone {zone.field.zone} begins with a board ripped to {ripped:.0f} mm"
        text += f"; the narrowest course along an edge is {start.narrowest:.0f} mm"
        if start.shift > 0.0:
            text += f", where a whole first board would leave {start.unshifted:.0f} mm"
        wide = start.narrowest >= limit - 0.5
        name = f"start {zone.field.zone}"
        found.append(Check(name, SITE_RULE, round(start.narrowest, 1), limit, "mm", wide, text))
    return found


def _narrowest_rip(site: Site, pieces: Sequence[LaidPiece]) -> Check:
    limit = site.pattern.min_rip
    narrowest = min(pieces, key=lambda p: (p.width, p.id), default=None)
    width = narrowest.width if narrowest else site.boards.width
    where = f" ({narrowest.id})" if narrowest and width < site.boards.width - 0.5 else ""
    text = f"the narrowest piece is {width:.0f} mm wide{where}; {limit:g} mm or more keeps its clip and its strength"
    return Check("narrowest rip", SITE_RULE, round(width, 1), limit, "mm", width >= limit - 0.5, text)


def _stagger(site: Site, zones: Sequence[LaidZone]) -> Check:
    """No two neighbouring courses are butted in line, whatever parts them; the ends of one lift-out panel are."""
    shared = []
    for i, zone in enumerate(zones):
        panels = {piece.id for piece in zone.pieces if piece.kind == "hatch"}
        on: dict[int, list[ButtJoint]] = {}
        for joint in zone.butts:
            on.setdefault(joint.course, []).append(joint)
        for course, joints in on.items():
            for other in on.get(course + 1 if course != -1 else 1, ()):
                if any(_in_line(site, joint, other, panels) for joint in joints):
                    shared.append((course_name(zone.field.zone, course), course_name(zone.field.zone, other.course)))
        for before in zones[:i]:
            shared += _in_line_across(site, zone, before)
    text = "no two neighbouring courses are butted on the same joist line"
    if shared:
        pairs = ", ".join(f"{a} and {b}" for a, b in dict.fromkeys(shared))
        text = f"courses {pairs} are butted on the same line: move one joint"
    return Check("stagger", "common practice, no source", len(set(shared)), 0, "courses", not shared, text)


def _in_line(site: Site, joint: ButtJoint, other: ButtJoint, panels: set[str]) -> bool:
    if panels.intersection((joint.left, joint.right)) and panels.intersection((other.left, other.right)):
        return False
    same_line = joint.line is not None and joint.line == other.line
    return same_line or abs(joint.at - other.at) <= site.frame.section[0]


def _in_line_across(site: Site, zone: LaidZone, other: LaidZone) -> list[tuple[str, str]]:
    """Courses of two zones laid the same way that lie side by side and are butted in line."""
    theirs = joints_of_others(zone.field.axes, [(other.field.axes, [(b.at, b.across) for b in other.butts])])
    reach = site.boards.width + site.gaps.course + SLIVER
    return [
        (course_name(zone.field.zone, joint.course), course_name(other.field.zone, butt.course))
        for butt, (u, v) in zip(other.butts, theirs, strict=False)
        for joint in zone.butts
        if abs(joint.at - u) <= site.frame.section[0] and abs(joint.across - v) < reach
    ]


def _joists_to_double(zones: Sequence[LaidZone]) -> list[Check]:
    """Joists of a standing frame under a joint that one joist cannot carry."""
    wanted: dict[str, list[Joint]] = {}
    for zone in zones:
        for joint in zone.joints:
            if joint.joists[0] == joint.joists[1]:
                wanted.setdefault(joint.joists[0], []).append(joint)
    found = []
    for joist, joints in wanted.items():
        places = ", ".join(f"{joint.pieces[0]} and {joint.pieces[1]} at {_at(joint.at)}" for joint in joints)
        text = f"double {joist}: boards meet on it ({places})"
        found.append(Check(f"double {joist}", PRACTICE, 1, 2, "joists", False, text))
    return found


def _guarding(site: Site) -> Check:
    drop, limit = site.deck.surface, approved_document_k.GUARDED_DROP
    text = f"the surface is {drop:g} mm above the ground"
    if drop > limit:
        text += f": guarding is called for above {limit:g} mm; have it designed, and ask building control"
    return Check("guarding", approved_document_k.SOURCE, drop, limit, "mm", drop <= limit, text)


def _tongues(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
    """Narrow tongues of board left beside an obstacle, which break off under a foot."""
    found = []
    for zone in zones:
        obstacles = [zone.field.axes.to_local(shape) for shape in kept_clear(site)]
        near = shapely.union_all(obstacles).buffer(1.0)
        for piece in zone.pieces:
            if piece.whole or piece.axes != zone.field.axes or not near.intersects(piece.polygon):
                continue
            wood, beside, place = _narrowest_left(piece, cutouts(piece.polygon, obstacles), near)
            if wood:
                text = f"{piece.id} keeps {wood:.0f} mm of wood beside {beside}, at {_place(piece.axes, place)}"
                text += ": see that timber carries it, or cut it off"
                found.append(Check(f"tongue {piece.id}", PRACTICE, round(wood, 1), STANDS, "mm", False, text))
    return found


def _narrowest_left(
    piece: LaidPiece, cuts: Sequence[Cutout], near: shapely.Geometry
) -> tuple[float, str, shapely.Geometry]:
    """Narrowest wood beside a cut, which cut it is, and where; no wood if none is too narrow."""
    x0, y0, _, _ = piece.polygon.bounds
    narrow = [cut for cut in cuts if 0.0 < cut.wood_beside(piece.width) < STANDS]
    narrow = [c for c in narrow if c.wood_beside(piece.width) * (c.along[1] - c.along[0]) > LEAST_TONGUE]
    if narrow:
        cut = min(narrow, key=lambda cut: cut.wood_beside(piece.width))
        (a, b), (c, d) = cut.along, cut.across
        return cut.wood_beside(piece.width), str(cut), shapely.box(x0 + a, y0 + c, x0 + b, y0 + d)
    # A tip beside a slanted end has no width of its own.
    thin = piece.polygon.difference(shapely.union_all(piece.bodies))
    tongues = [t for t in shapely.get_parts(thin) if t.area > LEAST_TONGUE and t.intersects(near)]
    tongue = max(tongues, key=lambda t: float(t.area), default=None)
    if tongue is None:
        return 0.0, "", near
    widest = min(tongue.bounds[2] - tongue.bounds[0], tongue.bounds[3] - tongue.bounds[1])
    return float(widest), "an obstacle", tongue


def _packers(site: Site) -> list[Check]:
    """The gap at every place where the wall was surveyed: what the starter is packed out by, or what is too wide."""
    found = []
    for station in stations(site):
        text = f"{station.along:g} mm along the wall the gap is {station.gap:g} mm"
        packer = station.gap - site.gaps.wall
        if packer > 0:
            text += f": pack the starter out by {packer:g} mm"
        if station.gap > HIDDEN_GAP:
            text += f", and cover the gap, or make the wall good: it shows above {HIDDEN_GAP:g} mm"
        name = f"wall at {station.along:g}"
        found.append(Check(name, PRACTICE, station.gap, HIDDEN_GAP, "mm", station.gap <= HIDDEN_GAP, text))
    return found

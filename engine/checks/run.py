"""Rules held against a finished plan: what fails names its place and the remedy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

import shapely

from ..laid import LaidZone
from ..layout.bodies import STANDS
from ..layout.cutouts import Cutout, cutouts
from ..layout.decks import deck_name
from ..layout.obstacles import kept_clear
from ..layout.pieces import LaidPiece
from ..layout.wall import HIDDEN_GAP, stations
from ..plan import Check
from ..spec import Site
from ..standards import approved_document_k
from .bearing import bearing_checks
from .edges import edge_checks
from .heat import heat_checks
from .modules import joist_modules
from .panels import panel_checks, parted_checks
from .sources import PRACTICE, SITE_RULE, place_of
from .stagger import joists_to_double, stagger

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
        *bearing_checks(site, zones),
        *_starts(site, zones),
        _narrowest_rip(site, pieces),
        stagger(site, zones),
        *joists_to_double(zones),
        *heat_checks(site, pieces, joints),
        _guarding(site),
        *_tongues(site, zones),
        *parted_checks(site, zones),
        *panel_checks(site, zones),
        *_packers(site),
        *edge_checks(site, zones),
        *joist_modules(site, zones),
    )


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
        shapely.prepare(near)
        for piece in zone.pieces:
            if piece.whole or piece.axes != zone.field.axes or not near.intersects(piece.polygon):
                continue
            wood, beside, place = _narrowest_left(piece, cutouts(piece.polygon, obstacles), near)
            if wood:
                text = f"{piece.id} keeps {wood:.0f} mm of wood beside {beside}, at {place_of(piece.axes, place)}"
                text += ": see that timber carries it, or cut it off"
                found.append(Check(f"tongue {piece.id}", PRACTICE, round(wood, 1), STANDS, "mm", False, text))
    return found


def _narrowest_left(
    piece: LaidPiece, cuts: Sequence[Cutout], near: shapely.Geometry
) -> tuple[float, str, shapely.Geometry]:
    """Narrowest wood beside a cut, which cut it is, and where; no wood if none is too narrow."""
    x0, y0, _, _ = piece.box
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

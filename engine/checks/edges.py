"""Rules for the deck's edges: the rise of a step, and what a fascia hangs on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from shapely.geometry import Point

from ..laid import LaidZone
from ..plan import Check
from ..spec import Site
from ..standards import approved_document_k
from .sources import PRACTICE


def edge_checks(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
    """What to look to at steps and fascias."""
    return [*_step_rise(site), *_uprights(site, zones), *_unbacked(site, zones)]


def _step_rise(site: Site) -> list[Check]:
    house, finish = site.deck.house_edges or (), site.deck.edge_finish
    edges = range(len(site.deck.outline))
    steps = [i for i in edges if i not in house and finish.get(str(i), finish["default"]) == "step"]
    if not steps:
        return []
    rise, highest, least = site.deck.surface, approved_document_k.HIGHEST_RISE, approved_document_k.LEAST_RISE
    text = f"the step at edge{'s' if len(steps) > 1 else ''} {', '.join(map(str, steps))} rises {rise:g} mm"
    limit = highest
    if rise > highest:
        treads = math.ceil(rise / highest) - 1
        each = rise / (treads + 1)
        going = approved_document_k.LEAST_GOING
        text += (
            f": too high for one; set {treads} more tread{'s' if treads > 1 else ''} before it, {each:.0f} mm each"
            f" and {going:g} mm deep or more, and ask your building control"
        )
    elif rise < least:
        limit = least
        text += f": under {least:g} mm it is tripped over; mark its edge, or ramp it"
    return [Check("step rise", approved_document_k.STEP_SOURCE, rise, limit, "mm", least <= rise <= highest, text)]


def _uprights(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
    """Fascia boards that reach lower than the rim they are screwed to."""
    fascias = [piece for zone in zones for piece in zone.fascias]
    if not fascias:
        return []
    lowest, depth = max(piece.drop + piece.width for piece in fascias), site.frame.section[1]
    rim = site.boards.thickness + depth
    rows = max(piece.course for piece in fascias)
    text = f"fascias are {rows} board{'s' if rows > 1 else ''} of {fascias[0].width:.0f} mm high"
    if lowest - rim > fascias[0].width / 2:
        text += (
            f"; they reach {lowest - rim:.0f} mm under the rim: fix uprights to it at {site.frame.max_centres:g} mm"
            " or less and screw the lower boards to those"
        )
    return [Check("fascia", PRACTICE, round(lowest, 1), rim, "mm", lowest - rim <= fascias[0].width / 2, text)]


def _unbacked(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
    """Fascia boards with no timber right behind them for more than a bay, as beside an obstacle at the edge."""
    if not any(zone.fascias for zone in zones):
        return []
    limit, found = site.frame.max_centres, []
    screws: dict[str, list[tuple[float, float]]] = {}
    for zone in zones:
        for fixing in zone.fixings:
            screws.setdefault(fixing.piece, []).append(fixing.at)
    for zone in zones:
        for piece in zone.fascias:
            start, _, end, _ = piece.box
            at = [piece.axes.to_local(Point(place)).x for place in screws.get(piece.id, ())]
            widest = max(b - a for a, b in pairwise(sorted([start, *at, end])))
            if not at or widest > limit + 0.5:
                text = f"{piece.id} has no timber behind it over {widest:.0f} mm: set a block there, and screw it on"
                found.append(Check(f"fascia {piece.id}", PRACTICE, round(widest, 1), limit, "mm", False, text))
    return found

"""How far apart the joists stand, and what other centres would save in boards and cost in joists."""

from __future__ import annotations

from collections.abc import Sequence

from ..laid import LaidZone
from ..plan import Check
from ..spec import Site
from .sources import SITE_RULE


def joist_modules(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
    """A line for each zone on a new frame that says which module was chosen, and what the others come to."""
    return [_module(site, zone) for zone in zones if zone.grid is not None]


def _module(site: Site, zone: LaidZone) -> Check:
    grid, limit = zone.grid, site.frame.max_centres
    assert grid is not None
    text = f"joists of zone {zone.field.zone} stand at {grid.module:.1f} mm"
    if any(run.end - run.start > max(site.boards.lengths) for run in zone.field.runs):
        ends = abs(grid.cycle * grid.module - max(site.boards.lengths) - site.gaps.butt) < 0.1
        text += f", a full board in {grid.cycle} bays" if ends else ", where full boards do not end on a joist"
    own = next((module for module in zone.modules if module.grid == grid), None)
    best: dict[float, str] = {}
    for module in sorted(zone.modules, key=lambda module: module.cost):
        if own is not None and module.grid != grid and module.grid.module not in best:
            boards, metres = module.boards - own.boards, (module.joists - own.joists) / 1000
            where = "begun elsewhere" if module.grid.module == grid.module else f"at {module.grid.module:.1f} mm"
            best[module.grid.module] = f"{where} {_more(boards, 'board')} and {_more(round(metres), 'm')} of joist"
    if best:
        text += "; at a first look, " + ", ".join(best.values())
    name = f"joist module {zone.field.zone}"
    return Check(name, SITE_RULE, round(grid.module, 1), limit, "mm", grid.module <= limit + 0.1, text)


def _more(count: int, unit: str) -> str:
    plural = "s" if unit == "board" and abs(count) != 1 else ""
    return f"{abs(count)} {unit}{plural} {'fewer' if count < 0 else 'more'}" if count else f"as many {unit}s"

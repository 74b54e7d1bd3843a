"""Which grid of joist lines is cheapest: what each saves in boards, and what it costs in joists."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..effort import Effort
from ..frame.ground import Ground
from ..layout.courses import Field
from ..layout.grid import Grid, grids
from ..layout.joints import JointedRun
from ..spec import Site
from .doubles import doubled_length
from .turns import boards_of, turned_for_the_saw

MOST_COURSES = 60
"""Of twice as many courses and more, a part is laid on each grid (ours)."""
TOGETHER = 4
"""Courses of such a part that lie next to each other (ours)."""
NOTICED = 0.015
"""A grid must be cheaper by this share: less is lost in what joints and edges still ask for (ours, measured)."""


@dataclass(frozen=True, slots=True)
class Module:
    """A grid tried, the boards that its courses take, its joists and doubles [mm], and what both cost."""

    grid: Grid
    boards: int
    joists: float
    cost: float


def choose_grid(site: Site, field: Field, ground: Ground, effort: Effort) -> tuple[Grid, tuple[Module, ...]]:
    """The cheapest grid with joints chosen in no time on each; of grids that cost about the same, the first.

    Returns
    -------
    tuple
        The grid, and all that were tried: none with quick effort, which takes the first.
    """
    tried = grids(site, field, ground)
    if effort == "quick" or len(tried) == 1 or not field.runs:
        return tried[0], ()
    part, share = _part(field)
    modules = [_rated(site, ground, grid, turned_for_the_saw(site, part, grid, ground), share) for grid in tried]
    best = min(modules, key=lambda module: module.cost)
    chosen = best if best.cost < (1 - NOTICED) * modules[0].cost else modules[0]
    return chosen.grid, tuple(modules)


def _part(field: Field) -> tuple[Field, float]:
    """A field with part of its courses where they are many, neighbours with neighbours, and which part of all it is."""
    courses = sorted({run.course for run in field.runs})
    step = len(courses) // MOST_COURSES
    if step < 2:
        return field, 1.0
    taken = {course for i, course in enumerate(courses) if i // TOGETHER % step == 0}
    runs = tuple(run for run in field.runs if run.course in taken)
    return replace(field, runs=runs), len(runs) / len(field.runs)


def _rated(site: Site, ground: Ground, grid: Grid, jointed: tuple[JointedRun, ...], share: float) -> Module:
    lines = list(grid.between(ground.left, ground.right))
    spans = dict(zip(lines, ground.spans([grid.at(line) for line in lines]), strict=True))
    joists = sum(high - low for own in spans.values() for low, high in own)
    joists += doubled_length(spans, [(line, item.run) for item in jointed for line in item.lines])
    boards = round(boards_of(site, jointed) / share)
    cost = boards * (site.prices.board or 0.0) + joists / 1000 * (site.prices.timber_metre or 0.0)
    return Module(grid, boards, joists, cost)

"""Lift-out panels over what must stay within reach: whole courses of the same boards, in line with the field's.

Terminology
-----------
lid     what the panel lies over, with its clearance.
panel   the rectangle of boards that lifts out: whole courses wide, cut from the field at both ends, or at the one
        that is not the field's own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from ..frame.ground import Ground, narrowed
from ..spec import Site
from .courses import Field, Parting, Run, part_run
from .grid import Grid
from .joints import cross_sections
from .obstacles import grown
from .pieces import LaidPiece, laid_piece

PLAY = 5.0
"""What a panel's battens keep off the frame round them, so that it lifts [mm]; common practice, no source."""
CLEAR = 1.0
"""What an opening keeps off ledger and rim, so that they are not cut by it [mm]."""
FEWEST_BATTENS = 2
"""With one, the boards of a panel turn about it; common practice, no source."""
Batten = tuple[float, float, float]
"""Where a batten lies along the boards, and from where to where across them."""
SNAP = 2.0
"""A panel is lengthened to a joist line up to this many joists' breadths away, so that one joist serves both."""


@dataclass(frozen=True, slots=True)
class Hatch:
    """A panel in board axes: `start` and `end` are its boards' ends along u, or the middle of the joints there."""

    name: str
    number: int
    start: float
    end: float
    cut: tuple[bool, bool]
    """Whether the field's boards go on at its start and its end, butted to it over doubled joists."""
    runs: tuple[Run, ...]
    battens: tuple[Batten, ...] = ()

    @property
    def bottom(self) -> float:
        """Lower side of its first course."""
        return min(run.bottom for run in self.runs)

    @property
    def top(self) -> float:
        """Upper side of its last course."""
        return max(run.top for run in self.runs)

    @property
    def parts(self) -> int:
        """In how many parts it would come up, held together by its battens alone."""
        parts = [{run} for run in self.runs]
        for at, low, high in self.battens:
            held = {run for run in self.runs if shapely.intersects_xy(run.polygon, at, _middle(run, low, high))}
            joined = [part for part in parts if part & held]
            parts = [part for part in parts if not part & held] + ([set().union(*joined)] if joined else [])
        return len(parts)

    def opening(self, ground: Ground) -> BaseGeometry:
        """The clear space inside ledger and rim, between the joists that carry its boards' ends."""
        start, end = (ground.breadth if cut else 0.0 for cut in self.cut)
        space = box(self.start + start, self.bottom, self.end - end, self.top)
        return space.intersection(ground.inside.buffer(-CLEAR, join_style="mitre"))


@dataclass(frozen=True, slots=True)
class NoHatch:
    """An obstacle over which no panel can be made, and why."""

    name: str
    why: str


def open_hatches(
    site: Site, field: Field, grid: Grid, ground: Ground
) -> tuple[Field, tuple[Hatch, ...], tuple[NoHatch, ...]]:
    """Cut a panel out of the field over every obstacle that asks for one.

    Returns
    -------
    Field
        The courses beside the panels, parted at their ends.
    tuple of Hatch
        The panels.
    tuple of NoHatch
        Obstacles of this field that are boarded over.
    """
    hatches: list[Hatch] = []
    refused: list[NoHatch] = []
    for obstacle in site.obstacles:
        if obstacle.treatment != "hatch":
            continue
        lid = field.axes.to_local(grown(site, obstacle))
        if not lid.intersects(field.area):
            continue
        opened = _open(site, field, grid, ground, obstacle.name, lid, hatches)
        if isinstance(opened, NoHatch):
            refused.append(opened)
        else:
            field, hatch = opened
            hatches.append(hatch)
    return field, tuple(hatches), tuple(refused)


def _open(
    site: Site, field: Field, grid: Grid, ground: Ground, name: str, lid: Polygon, hatches: Sequence[Hatch]
) -> tuple[Field, Hatch] | NoHatch:
    breadth, butt = site.frame.section[0], site.gaps.butt
    over = _runs_over(site, field, lid)
    if not over:
        return NoHatch(name, "no board of the field lies over it")
    start, end = _ends(grid, lid, breadth)
    panel: list[Run] = []
    rest: list[Run] = []
    partings: list[Parting] = []
    for run in over:
        # A shorter rest would not reach from joist to joist: the panel takes it in.
        at_start = start - run.start >= site.frame.max_centres
        at_end = run.end - end >= site.frame.max_centres
        cuts = [at for at, cut in ((start, at_start), (end, at_end)) if cut]
        beside_cuts = np.array([at + side for at in cuts for side in (-breadth, breadth)], float)
        if np.isnan(cross_sections([run], beside_cuts)[0]).any():
            return NoHatch(name, f"the boards of course {run.course} are cut round an obstacle at its end")
        for part in part_run(run, cuts, butt):
            middle = (part.start + part.end) / 2
            inside = not (at_start and middle < start) and not (at_end and middle > end)
            (panel if inside else rest).append(part)
        partings += [Parting(run.course, at, run.bottom, run.top) for at in cuts]
    cut = (any(p.at == start for p in partings), any(p.at == end for p in partings))
    start = start if cut[0] else min(run.start for run in panel)
    end = end if cut[1] else max(run.end for run in panel)
    hatch = Hatch(name, len(hatches) + 1, start, end, cut, tuple(panel))
    hatch = replace(hatch, battens=_battens(site, hatch, ground))
    why = _why_not(site, field, hatch, hatches)
    if why:
        return NoHatch(name, why)
    gone = set(over)
    kept = [run for run in field.runs if run not in gone] + rest
    kept.sort(key=lambda run: (field.strip(run.course)[0], run.start, run.bottom))
    return replace(field, runs=tuple(kept), partings=field.partings + tuple(partings)), hatch


def _runs_over(site: Site, field: Field, lid: Polygon) -> list[Run]:
    """Runs of every course that a lid reaches, or the gap beside it."""
    left, bottom, right, top = lid.bounds
    found = []
    for run in field.runs:
        low = field.strip(run.course)[0]
        reached = low - site.gaps.course < top and low + site.boards.width + site.gaps.course > bottom
        if reached and run.start < right and run.end > left:
            found.append(run)
    return found


def _ends(grid: Grid, lid: Polygon, breadth: float) -> tuple[float, float]:
    """Where a panel is cut from the field: so far out that the doubled joists there stand clear of the lid."""
    start, end = lid.bounds[0] - breadth, lid.bounds[2] + breadth
    lines = [grid.at(j) for j in grid.between(start - SNAP * breadth, end + SNAP * breadth)]
    before, behind = [at for at in lines if at <= start], [at for at in lines if at >= end]
    return (max(before) if before else start, min(behind) if behind else end)


def _why_not(site: Site, field: Field, hatch: Hatch, others: Sequence[Hatch]) -> str:
    """Why a panel cannot be made; empty if it can."""
    longest, length = max(site.boards.lengths), max(run.end - run.start + sum(run.oversail) for run in hatch.runs)
    if length > longest:
        return f"its boards would be {length:.0f} mm long, and the longest to be had are {longest:g} mm"
    room = box(hatch.start, hatch.bottom, hatch.end, hatch.top)
    for obstacle in site.obstacles:
        if obstacle.treatment == "cut" and field.axes.to_local(grown(site, obstacle)).intersects(room):
            return f"{obstacle.name} stands in its panel"
    beside = room.buffer(2 * site.frame.section[0], join_style="mitre")
    for other in others:
        if box(other.start, other.bottom, other.end, other.top).intersects(beside):
            return f"its panel would meet the one over {other.name}: give both one outline"
    for run in hatch.runs:
        loose = _loose(site, run, hatch.battens)
        if loose is not None:
            length = loose[1] - loose[0]
            return f"{length:.0f} mm of its board in course {run.course}, cut by the deck's edge, would reach no batten"
    if hatch.parts > 1:
        return "its battens, cut short by the deck's edge, would not hold all its boards together"
    return ""


def _loose(site: Site, run: Run, battens: Sequence[Batten]) -> tuple[float, float] | None:
    """The longest stretch of a board that lacks a batten, from where to where along it; None if it has enough."""
    held = [at for at, low, high in battens if shapely.intersects_xy(run.polygon, at, _middle(run, low, high))]
    stretches = list(pairwise([run.start, *sorted(held), run.end]))
    longest = max(stretches, key=lambda stretch: stretch[1] - stretch[0])
    return longest if not held or longest[1] - longest[0] > site.frame.max_centres else None


def _middle(run: Run, low: float, high: float) -> float:
    """Midway over what a batten bears of a run, across the boards."""
    return (max(run.bottom, low) + min(run.top, high)) / 2


def _battens(site: Site, hatch: Hatch, ground: Ground) -> tuple[Batten, ...]:
    """Battens square to the boards, in even bays between what carries their ends, and one more for a short board."""
    breadth = ground.breadth
    start, end = hatch.start + breadth / 2, hatch.end - breadth / 2
    bays = max(FEWEST_BATTENS + 1, math.ceil((end - start) / site.frame.max_centres - 1e-9))
    boards = shapely.union_all([run.polygon.buffer(site.gaps.course, join_style="mitre") for run in hatch.runs])
    room = narrowed(hatch.opening(ground).intersection(boards).buffer(-PLAY, join_style="mitre"), breadth)
    found: list[Batten] = []

    def set_at(at: float) -> None:
        line = LineString(((at, hatch.bottom - 1.0), (at, hatch.top + 1.0))).intersection(room)
        part = max(shapely.get_parts(line), key=lambda part: float(part.length), default=None)
        crowded = any(abs(at - other) < breadth + PLAY for other, _, _ in found)
        if part is not None and part.length > breadth and not crowded:
            found.append((at, float(part.bounds[1]), float(part.bounds[3])))

    for k in range(1, bays):
        set_at(start + (end - start) * k / bays)
    for run in hatch.runs:
        loose = _loose(site, run, found)
        if loose is not None:
            set_at((loose[0] + loose[1]) / 2)
    return tuple(sorted(found))


def panel_course(zone: str, hatch: Hatch, run: Run) -> str:
    """Name of a course of a panel, such as A-H1-07."""
    return f"{zone}-H{hatch.number}-" + (f"{run.course:02d}" if run.course > 0 else f"B{-run.course:02d}")


def hatch_pieces(site: Site, field: Field, hatches: Sequence[Hatch]) -> tuple[LaidPiece, ...]:
    """The boards of every panel, course by course."""
    pieces = []
    for hatch in hatches:
        numbers: dict[int, int] = {}
        for run in sorted(hatch.runs, key=lambda run: (run.bottom, run.start)):
            numbers[run.course] = numbers.get(run.course, 0) + 1
            name = f"{panel_course(field.zone, hatch, run)}-{numbers[run.course]}"
            pieces.append(laid_piece(site, name, field.axes, run.course, run.polygon, "hatch", sum(run.oversail)))
    return tuple(pieces)

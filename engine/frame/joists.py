"""Joists: the grid's lines, doubled under joints, moved round obstacles, and added where a board lacks one."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import compress

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.strtree import STRtree

from ..layout.bodies import OVERHANG
from ..layout.courses import Field
from ..layout.grid import Grid
from ..layout.joints import JointedRun, cross_section
from ..layout.pieces import LaidPiece
from ..spec import Site
from .edges import Timber, let_in
from .ground import Block, Ground, Span, strip_of
from .resting import Body, Support, members_under, support, supports
from .sound import sound_pieces
from .support import borne, gaps

SHORTEST = 100.0
"""A joist shorter than this is not set [mm]; common practice, no source."""
SHORTEST_ADDED = 40.0
"""A joist that a board asks for may be shorter, but not than this [mm]; common practice, no source."""
SHORTEST_NOGGING = 20.0
"""A shorter nogging is not set [mm]; common practice, no source."""
ASIDE = 0.4 * OVERHANG
"""How far a joist that finds no room right at a board's end is set back from it [mm]."""


@dataclass(frozen=True, slots=True)
class Line:
    """A joist line: `double` is where the joints lie of which it carries one side."""

    at: float
    double: float | None = None


@dataclass(slots=True)
class JoistPlan:
    """Joists and noggings as they are being set out."""

    ground: Ground
    edge: tuple[Timber, ...]
    joists: list[tuple[Line, float, float]] = field(default_factory=list)
    noggings: list[Timber] = field(default_factory=list)

    def add_lines(self, lines: Sequence[Line]) -> None:
        """Set joists wherever the lines may run."""
        for line, spans in zip(lines, self.ground.spans([line.at for line in lines], SHORTEST), strict=True):
            for low, high in spans:
                if self._free(line.at, low, high):
                    self.joists.append((line, low, high))

    def add_doubles(self, breaks: Mapping[float, list[Span]]) -> None:
        """Set a pair of joists where boards end, wherever they come under one of those places across the boards."""
        half = self.ground.breadth / 2
        lines = [(Line(at + side, at), under) for at, under in breaks.items() for side in (-half, half)]
        found = self.ground.spans([line.at for line, _ in lines])
        for (line, under), spans in zip(lines, found, strict=True):
            for low, high in spans:
                wanted = any(low < top and high > bottom for bottom, top in under)
                if wanted and self._free(line.at, low, high):
                    self.joists.append((line, low, high))

    def add_at(self, at: float, across: float) -> bool:
        """Set one joist through a place, and say whether there was room for it."""
        for low, high in self.ground.spans([at], SHORTEST_ADDED)[0]:
            if low - self.ground.breadth <= across <= high + self.ground.breadth and self._free(at, low, high):
                self.joists.append((Line(at), low, high))
                return True
        return False

    def _free(self, at: float, low: float, high: float) -> bool:
        return not any(
            abs(line.at - at) < self.ground.breadth - 0.5 and low < b and high > a for line, a, b in self.joists
        )

    def footprints(self) -> list[BaseGeometry]:
        """Joists and noggings as they lie in plan."""
        return self.on_joists() + [strip_of(n.start, n.end, self.ground.breadth) for n in self.noggings]

    def on_joists(self) -> list[BaseGeometry]:
        """The joists alone as they lie in plan."""
        half = self.ground.breadth / 2
        at, low, high = np.array([(line.at, low, high) for line, low, high in self.joists]).reshape(-1, 3).T
        strips: list[BaseGeometry] = shapely.box(at - half, low, at + half, high).tolist()
        return strips


def set_out_joists(
    site: Site,
    field_: Field,
    grid: Grid,
    jointed: tuple[JointedRun, ...],
    pieces: tuple[LaidPiece, ...],
    ground: Ground,
    edge: tuple[Timber, ...],
    noggings: tuple[Timber, ...] = (),
) -> JoistPlan:
    """Set out the joists of a field, round what lies along its edge; joists cut the noggings given.

    Doubles come first, through ledger and rim where a joint lies over those, then joists beside obstacles, then the
    other lines of the grid, then whatever a board still lacks. A single joist that an obstacle would cut is left out
    where the two beside the obstacle are near enough to each other; else it is cut and steadied by noggings.
    """
    plan = JoistPlan(ground, edge, noggings=list(noggings))
    joints: dict[int, list[Span]] = {}
    for item in jointed:
        for j in item.lines:
            joints.setdefault(j, []).append((item.run.bottom, item.run.top))
    ends: dict[float, list[Span]] = {}
    for parting in field_.partings:
        if parting.hole is None:
            ends.setdefault(parting.at, []).append((parting.bottom, parting.top))
    plan.add_doubles(ends)
    doubled = sorted(joints)
    plan.add_doubles({grid.at(j): joints[j] for j in doubled})
    _run_through(grid, jointed, plan)
    ordinary = [j for j in grid.between(ground.left, ground.right) if j not in set(doubled)]
    for block in ground.blocks:
        _frame_round(block, site, grid, doubled, ordinary, plan)
    plan.add_lines([Line(grid.at(j)) for j in sorted({*ordinary, *doubled})])
    _fill(site, pieces, plan)
    plan.noggings = _between_joists(plan)
    return plan


def _run_through(grid: Grid, jointed: tuple[JointedRun, ...], plan: JoistPlan) -> None:
    """Carry doubled joists to the deck's edge under joints that lie over ledger or rim, which are let in between."""
    half = plan.ground.breadth / 2
    cut = []
    for item in jointed:
        for j in item.through:
            for at in (grid.at(j) - half, grid.at(j) + half):
                section = cross_section(item.run, at) or (item.run.bottom, item.run.top)
                span = plan.ground.through_span(at, section)
                if span is not None:
                    _replace_within(plan, Line(at, grid.at(j)), *span)
                    cut.append(box(at - half, span[0], at + half, span[1]))
    if cut:
        plan.edge = let_in(plan.edge, shapely.union_all(cut))


def _replace_within(plan: JoistPlan, line: Line, low: float, high: float) -> None:
    """One joist from `low` to `high` in place of those of its line between."""
    plan.joists = [item for item in plan.joists if item[0] != line or item[2] < low or item[1] > high]
    plan.joists.append((line, low, high))


def _between_joists(plan: JoistPlan) -> list[Timber]:
    """Noggings cut to fit between the joists that pass them."""
    joists: NDArray[np.object_] = np.array(plan.on_joists(), dtype=object)
    tree = STRtree(joists)
    fitted = []
    for nogging in plan.noggings:
        line = LineString((nogging.start, nogging.end))
        for part in shapely.get_parts(line.difference(shapely.union_all(joists[tree.query(line)]))):
            if part.length > SHORTEST_NOGGING:
                fitted.append(Timber("nogging", part.coords[0], part.coords[-1]))
    return fitted


def _frame_round(
    block: Block, site: Site, grid: Grid, doubled: list[int], ordinary: list[int], plan: JoistPlan
) -> None:
    """Joists at both sides of an obstacle that lies in a joist's way, and noggings if it cuts joists all the same."""
    breadth = plan.ground.breadth
    half = breadth / 2

    def clashes(at: float) -> bool:
        return block.left - half < at < block.right + half

    in_way = [j for j in ordinary if clashes(grid.at(j))]
    cut_doubles = [j for j in doubled for side in (-half, half) if clashes(grid.at(j) + side)]
    if not in_way and not cut_doubles and not block.trimmed:
        return
    sides = (block.left - half, block.right + half)
    plan.add_lines([Line(at) for at in sides])
    if not cut_doubles and sides[1] - sides[0] <= site.frame.max_centres:
        for j in in_way:
            ordinary.remove(j)
        if not block.trimmed:
            return
    for at in (block.bottom - half, block.top + half):
        nogging = Timber("nogging", (block.left, at), (block.right, at))
        if plan.ground.inside.covers(box(block.left, at - half, block.right, at + half)):
            plan.noggings.append(nogging)


def _fill(site: Site, pieces: tuple[LaidPiece, ...], plan: JoistPlan) -> None:
    """Add joists where a piece would span too far or reach out too far."""
    breadth = plan.ground.breadth
    clear = site.frame.max_centres - breadth
    shapes = [strip_of(t.start, t.end, breadth) for t in plan.edge] + plan.footprints()
    added: list[Support] = []
    sound = sound_pieces(pieces, np.array(shapes, dtype=object), clear, 0, breadth)
    doubtful = list(compress(pieces, ~sound.pieces))
    laid = [
        Body(body, piece.whole, under)
        for piece, under in zip(doubtful, members_under(doubtful, supports(shapes)), strict=True)
        for body in piece.bodies
    ]
    for body, spans in zip(laid, borne(laid, clear), strict=True):
        if not gaps(body, spans, clear):
            continue
        for _ in range(4):  # each round can only halve a bay; four rounds split any bay a board can reach
            spans = borne([replace(body, under=[*body.under, *added])], clear)[0]
            missing = gaps(body, spans, clear)
            before = len(plan.joists)
            for low, high in missing:
                _add_between(low, high, body.polygon, clear, plan)
            fresh = plan.joists[before:]
            added += [support(box(line.at - breadth / 2, a, line.at + breadth / 2, b)) for line, a, b in fresh]
            if not fresh:
                for low, high in missing:
                    added += _block_under(low, high, body.polygon, plan)
                break


def _block_under(low: float, high: float, body: Polygon, plan: JoistPlan) -> list[Support]:
    """A nogging across a stretch of board that no joist finds room under, beside an obstacle or in a corner."""
    half = plan.ground.breadth / 2
    start, bottom, end, top = body.bounds
    at = low + half if low == start < high - half else high - half if high == end > low + half else (low + high) / 2
    room = LineString(((at, bottom - half), (at, top + half))).intersection(plan.ground.whole)
    reach = max(shapely.get_parts(room), key=lambda part: part.intersection(body).length, default=None)
    if reach is None or reach.length < 2 * half:
        return []
    footprint = strip_of(reach.coords[0], reach.coords[-1], plan.ground.breadth)
    if not plan.ground.deck.buffer(1.0).covers(footprint):  # it would stand in a fascia
        return []
    plan.noggings.append(Timber("nogging", reach.coords[0], reach.coords[-1]))
    return [support(footprint)]


def _add_between(low: float, high: float, body: Polygon, clear: float, plan: JoistPlan) -> None:
    """Joists that share a gap evenly, or one flush with the end of a board that reaches out."""
    half = plan.ground.breadth / 2
    start, bottom, end, top = body.bounds
    across = (bottom + top) / 2
    if low == start:
        _first_that_fits((low + half, low + half + ASIDE, (low + high) / 2), across, plan)
    elif high == end:
        _first_that_fits((high - half, high - half - ASIDE, (low + high) / 2), across, plan)
    else:
        count = max(1, math.ceil((high - low - clear) / (clear + 2 * half)))
        for at in np.linspace(low, high, count + 2)[1:-1]:
            plan.add_at(float(at), across)


def _first_that_fits(places: tuple[float, ...], across: float, plan: JoistPlan) -> None:
    for at in places:
        if plan.add_at(at, across):
            return

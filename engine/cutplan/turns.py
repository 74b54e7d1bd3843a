"""Joint lines chosen with an eye on the saw: the pattern turned to where the boards go furthest.

A bond may begin on any line of its cycle and is the same bond. Where it begins decides how long the pieces at the
ends of the courses are, and so which of them share a board.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from ..frame.ground import Ground
from ..layout.beside import Span, doorways_over
from ..layout.courses import Field
from ..layout.grid import Grid
from ..layout.joints import BearingLines, JointedRun, place_joints
from ..spec import Site
from .quick import boards_for


def turned_for_the_saw(site: Site, field: Field, grid: Grid, ground: Ground) -> tuple[JointedRun, ...]:
    """Joint lines of every run: of all turns of the pattern, those with the fewest boards.

    Of these, those with the fewest joints in doorways, then the fewest joints. Keeping doorways free is tried where
    the pattern alone does not, and costs no board.
    """
    if not field.runs:
        return ()
    doorways = [doorways_over(field, run) for run in field.runs]

    def rated(jointed: tuple[JointedRun, ...]) -> tuple[int, int, int]:
        return boards_of(site, jointed), _in_doorways(doorways, jointed), sum(len(item.lines) for item in jointed)

    best = min(_every_turn(site, replace(field, doorways=()), grid, ground), key=rated)
    if _in_doorways(doorways, best):
        best = min([best, *_every_turn(site, field, grid, ground)], key=rated)
    return best


def _every_turn(site: Site, field: Field, grid: Grid, ground: Ground) -> list[tuple[JointedRun, ...]]:
    bearing = BearingLines(site, field, grid, ground)
    turns = range(grid.cycle if site.pattern.joints != "none" else 1)
    return [place_joints(site, field, grid, bearing, turn) for turn in turns]


def _in_doorways(doorways: Sequence[Sequence[Span]], jointed: tuple[JointedRun, ...]) -> int:
    """How many joints lie where people step out of the house, given where that is along each run."""
    return sum(
        low < place < high
        for spans, item in zip(doorways, jointed, strict=True)
        for low, high in spans
        for place in item.places
    )


def boards_of(site: Site, jointed: tuple[JointedRun, ...]) -> int:
    """How many boards the runs take, cut at their lines."""
    lengths = []
    for item in jointed:
        half = site.gaps.butt / 2
        ends = [item.run.start - item.run.oversail[0] - half, *item.places, item.run.end + item.run.oversail[1] + half]
        lengths += [b - a - 2 * half for a, b in pairwise(ends)]
    longest = max(site.boards.lengths)
    laid = [min(length, longest) for length in lengths]
    return len(boards_for(laid, site.boards.lengths, site.pattern.kerf, site.pattern.kept_offcuts))

"""A wall that is not straight: how far the boards stand off the straight house edge, and what gap that leaves.

Boards follow a straight line. It is moved out from the edge as far as the wall bulges in, so that the wall gap
is kept at the worst place; everywhere else the gap is wider, and the starter is packed out by the difference.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import LineString

from ..spec import Site
from .rings import edge_of

HIDDEN_GAP = 20.0
"""Widest gap at a wall that a board's shadow hides [mm]; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Station:
    """A place along a surveyed wall [mm from the edge's first corner] and the gap between wall and boards there."""

    along: float
    gap: float


def moved_out(site: Site, edge: int) -> float:
    """How much further than the wall gap boards stand off a house edge [mm]: as far as its wall bulges in."""
    survey = site.wall_survey
    if survey is None or survey.edge != edge:
        return 0.0
    return max(0.0, -min((offset for _, offset in survey.offsets), default=0.0))


def stations(site: Site) -> tuple[Station, ...]:
    """The gap at every surveyed place, in the order measured."""
    if site.wall_survey is None:
        return ()
    line = site.gaps.wall + moved_out(site, site.wall_survey.edge)
    return tuple(Station(along, line + offset) for along, offset in site.wall_survey.offsets)


def surveyed_line(site: Site) -> LineString | None:
    """The house edge that was surveyed."""
    if site.wall_survey is None:
        return None
    return edge_of(site.deck.outline, site.wall_survey.edge)

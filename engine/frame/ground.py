"""Where frame members may lie, in board axes.

Ledger and rim follow the inside of the deck's edge; joists run between them, square to the boards,
and stop at obstacles, where noggings between them steady their cut ends.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ..layout.axes import Axes
from ..layout.chords import Chords, Floats, chords_all_along
from ..layout.clip import NOTHING, areas
from ..layout.obstacles import kept_clear
from ..layout.zones import ZoneArea
from ..spec import Site

Span = tuple[float, float]
GRID_DIGITS = 3
"""Places of a millimetre on which shapes in board axes lie."""


@dataclass(frozen=True, slots=True)
class Block:
    """An obstacle with its clearance and the box round it, in board axes."""

    shape: BaseGeometry
    left: float
    right: float
    bottom: float
    top: float
    trimmed: bool = False
    """Whether joists and noggings stand round it on all sides, even where it cuts none."""


@dataclass(frozen=True, slots=True)
class Ground:
    """Where the frame of one zone may lie."""

    breadth: float
    deck: BaseGeometry
    """The deck less what fascias take of it."""
    whole: BaseGeometry
    """That less obstacles with their clearance."""
    inside: BaseGeometry
    """Between ledger and rim."""
    joists: BaseGeometry
    """Where joists may lie between ledger and rim."""
    through: BaseGeometry
    """Where a joist may lie which cuts through ledger and rim to the deck's edge."""
    edge_line: BaseGeometry
    """Centre line of ledger and rim: the frame's edge, moved in by half their breadth."""
    ladders: BaseGeometry
    """Where noggings between rim and an inner member carry edge boards, in place of joists."""
    inner_line: BaseGeometry
    """Centre line of that inner member, on the joists' side of the ladders."""
    blocks: tuple[Block, ...]
    left: float
    right: float

    def chords(self, places: Floats) -> Chords:
        """Where the centre lines of joists may run, square to the boards."""
        return self._narrowed(self.joists, places)

    def spans(self, places: Sequence[float], shortest: float = 0.0) -> list[list[Span]]:
        """Where joists may run, for each place along u: intervals of v longer than `shortest`, from low to high."""
        found = self.chords(np.array(places, dtype=float))
        spans: list[list[Span]] = [[] for _ in places]
        for place, low, high in _on_grid(found):
            if high - low > max(shortest, 1.0):
                spans[place].append((low, high))
        return spans

    def through_span(self, u: float, under: Span) -> Span | None:
        """Where a joist at `u` may run through to the frame's edges, lying under most of a place across the boards."""
        found = _on_grid(self._narrowed(self.through, np.array([u])))
        spans = [(low, high) for _, low, high in found if high - low > 1.0 and low < under[1] and high > under[0]]
        return max(spans, key=lambda span: min(span[1], under[1]) - max(span[0], under[0]), default=None)

    def _narrowed(self, shape: BaseGeometry, places: Floats) -> Chords:
        """Lines square to the boards that keep half a joist's breadth inside a shape on both sides."""
        return chords_all_along(shape, places, _across(self.breadth))


def _on_grid(found: Chords) -> Iterator[tuple[int, float, float]]:
    """Chords on the grid on which all shapes in board axes lie, so that a joist ends where the boards over it do."""
    low, high = np.round(found.low, GRID_DIGITS).tolist(), np.round(found.high, GRID_DIGITS).tolist()
    return zip(found.place.tolist(), low, high, strict=True)


def frame_ground(
    site: Site, zone: ZoneArea, axes: Axes, ladders: BaseGeometry = NOTHING, set_back: BaseGeometry = NOTHING
) -> Ground:
    """Work out where the members of a new frame may lie.

    Parameters
    ----------
    ladders, set_back : geometry
        Where the frame is laid as a ladder under edge boards, and what it keeps free behind fascias, in site axes.
    """
    breadth = site.frame.section[0]
    deck = axes.to_local(zone.area.difference(set_back))
    ladder = areas(axes.to_local(ladders.intersection(zone.area)))
    laid = deck.difference(ladder)  # by joists
    blocks = tuple(_block(axes.to_local(shape)) for shape in kept_clear(site))
    taken = shapely.union_all([block.shape for block in blocks])
    inside = laid.buffer(-breadth, join_style="mitre", mitre_limit=20.0)
    edge_line = deck.buffer(-breadth / 2, join_style="mitre", mitre_limit=20.0).boundary
    inner_line = laid.buffer(-breadth / 2, join_style="mitre", mitre_limit=20.0).boundary
    bounds = (laid if not laid.is_empty else axes.to_local(zone.area)).bounds
    return Ground(
        breadth=breadth,
        deck=deck,
        whole=deck.difference(taken),
        inside=inside,
        joists=inside.difference(taken),
        through=laid.difference(taken),
        edge_line=edge_line,
        ladders=ladder,
        inner_line=inner_line.difference(edge_line.buffer(1.0)) if not ladder.is_empty else NOTHING,
        blocks=blocks,
        left=float(bounds[0]),
        right=float(bounds[2]),
    )


def narrowed(shape: BaseGeometry, breadth: float) -> BaseGeometry:
    """Points whose whole breadth along u lies in a shape, so that a joist there keeps inside it."""
    kept = shape
    for shift in _across(breadth):
        if shift:
            kept = kept.intersection(translate(shape, shift, 0.0))
    return kept


def _across(breadth: float) -> tuple[float, ...]:
    """Where across its breadth a joist is asked whether it keeps inside a shape: at its sides, and between them."""
    half = breadth / 2 - 1e-3
    return (-half, -half / 2, 0.0, half / 2, half)


def _block(shape: BaseGeometry) -> Block:
    left, bottom, right, top = shape.bounds
    return Block(shape, left, right, bottom, top)


def strip_of(start: tuple[float, float], end: tuple[float, float], breadth: float) -> Polygon:
    """Footprint of a member: its centre line made `breadth` wide, with square ends."""
    (x0, y0), (x1, y1) = start, end
    share = breadth / 2 / math.dist(start, end)
    u, v = (y1 - y0) * share, (x0 - x1) * share
    return Polygon(((x1 - u, y1 - v), (x1 + u, y1 + v), (x0 + u, y0 + v), (x0 - u, y0 - v)))

"""Fascias: boards on edge that close the front of a step or of a raised side, from the boards down to the ground."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ..edge_boards import edge_lengths
from ..plan import Cut
from ..spec import Site
from .axes import Axes
from .border import half_plane, mitre_normal, turns_gently
from .clip import within
from .obstacles import kept_clear
from .pieces import LaidPiece, laid_piece
from .region import deck_area, open_area
from .sides import Side, sides_of

SET_BACK = 10.0
"""How far boards run out over a fascia, as a nosing does over a riser [mm]; common practice, no source."""
OFF_GROUND = 20.0
"""What a fascia keeps off the ground, so that it does not soak [mm]; common practice, no source."""
SHORTEST = 300.0
"""A shorter end is not left over; the board before it gives way [mm]; common practice, no source."""
LEAST_PIECE = 30.0
"""A shorter length of edge is left open [mm]; common practice, no source."""
CORNER_GAP = 2.0
"""Between two fascias mitred at a corner [mm]; common practice, no source."""


def behind_fascias(site: Site) -> BaseGeometry:
    """What fascias and the boards' overhang take of the deck's edge, where no frame may lie, in site axes."""
    sides = sides_of(site)
    cells = [
        _cell(site, sides[i - 1], side, sides[(i + 1) % len(sides)], 0.0, 0.0)
        for i, side in enumerate(sides)
        if side.fascia
    ]
    return shapely.union_all(cells)


def fascia_heights(site: Site) -> tuple[float, ...]:
    """Heights of the boards one over the other [mm], the same for all: none if the boards lie on the ground."""
    height = site.deck.surface - site.boards.thickness - OFF_GROUND
    if height < site.pattern.min_rip:
        return ()
    rows = math.ceil((height + site.gaps.course) / (site.boards.width + site.gaps.course) - 1e-9)
    return (round((height - (rows - 1) * site.gaps.course) / rows, 3),) * rows


def fascias(site: Site, zone: str) -> tuple[LaidPiece, ...]:
    """Fascia boards of a deck: `polygon` is the footprint, `width` the height; mitred at corners of two fascias.

    They run on where zones meet, and are counted with the zone named.
    """
    sides, heights = sides_of(site), fascia_heights(site)
    if not heights or not any(side.fascia for side in sides):
        return ()
    free = open_area(site, deck_area(site), Polygon()).difference(shapely.union_all(kept_clear(site)))
    pieces: list[LaidPiece] = []
    for i, side in enumerate(sides):
        if not side.fascia:
            continue
        axes = Axes(side.angle)
        cell = _cell(site, sides[i - 1], side, sides[(i + 1) % len(sides)], SET_BACK, CORNER_GAP).intersection(free)
        numbers = [0] * len(heights)
        for part in shapely.get_parts(axes.to_local(cell)):
            if part.area < LEAST_PIECE * site.boards.thickness:
                continue
            for row, height in enumerate(heights):
                for length in _lengths(site, part):
                    numbers[row] += 1
                    name = f"{zone}-F{side.edge}R{row + 1}-{numbers[row]}"
                    piece = laid_piece(site, name, axes, row + 1, length, "fascia")
                    drop = site.boards.thickness + row * (height + site.gaps.course)
                    cuts: tuple[Cut, ...] = tuple(cut for cut in piece.cuts if cut != "rip")
                    if height < site.boards.width:
                        cuts += ("rip",)
                    pieces.append(replace(piece, width=height, drop=round(drop, 3), cuts=cuts))
    return tuple(pieces)


def _cell(site: Site, before: Side, side: Side, after: Side, low: float, gap: float) -> BaseGeometry:
    """A band from `low` to the back of a side's fascia, to the mitre with the next fascia or to its edge's end."""
    high, reach = SET_BACK + site.boards.thickness, 2 * side.length + 1000.0
    start, along, inward = np.asarray(side.start), side.along, side.inward
    band: BaseGeometry = Polygon(
        [start + u * along + v * inward for u, v in ((-reach, low), (reach, low), (reach, high), (-reach, high))]
    )
    for other, corner, away in ((before, start, along), (after, np.asarray(side.end), -along)):
        other_away = -other.along if other is before else other.along
        if other.fascia:
            normal = mitre_normal(away, other_away)
            point = corner + normal * gap / 2
        else:
            square = float(inward @ other_away) < 0.0 or turns_gently(away, other_away)
            keep = site.gaps.wall if other.at_wall and low > 0.0 else 0.0
            normal = away if square else other.inward
            point = corner + normal * keep
        band = band.intersection(half_plane(point, normal, 2 * reach))
    return band


def _lengths(site: Site, part: Polygon) -> list[Polygon]:
    """A band cut into boards, full ones first, none left very short."""
    start, low, end, high = part.bounds
    longest, gap = max(edge_lengths(site)), site.gaps.butt
    lengths: list[Polygon] = []
    while end - start > longest:
        stop = min(start + longest, end - gap - SHORTEST)
        lengths.append(within(part, (start, low - 1.0, stop, high + 1.0)))
        start = stop + gap
    lengths.append(within(part, (start, low - 1.0, end + 1.0, high + 1.0)))
    return lengths

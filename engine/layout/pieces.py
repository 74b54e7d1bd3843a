"""Pieces: runs cut at their joint lines, each with its place, its length and its cuts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import compress, islice

import numpy as np
import shapely
from shapely.geometry import Polygon, box

from ..plan import Cut, PieceKind
from ..spec import Site
from .arrays import array_of
from .axes import Axes
from .bodies import bodies_of, bodies_of_each
from .clip import Box, within
from .courses import Field, are_boxes, is_box, solid_parts_of_each
from .joints import JointedRun

SQUARE = 0.5
"""An end out of square by no more than this over the board's width counts as square [mm]; a saw's own error."""

AT_END = 1.0
"""Corners this near to where a piece is cut off lie at its end [mm]."""

Part = tuple[Polygon, Box, bool, tuple[Polygon, ...]]
"""The shape of a piece, its bounds, whether it is a rectangle, and its bodies."""


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """A piece of board in axes of its own, the zone's unless it is edge trim; `length` includes a trim cut's loss.

    `box` are its bounds, `whole` tells whether it fills them, `bodies` are its parts wide enough to stand on.
    `drop` is how far its upper edge lies under the deck's surface [mm]: zero but for a fascia.
    """

    id: str
    kind: PieceKind
    axes: Axes
    course: int
    polygon: Polygon
    box: Box
    whole: bool
    length: float
    width: float
    cuts: tuple[Cut, ...]
    bodies: tuple[Polygon, ...]
    drop: float = 0.0


@dataclass(frozen=True, slots=True)
class ButtJoint:
    """Two pieces that meet on a joint line, the one at lower u first.

    `at` is where the line lies along the boards, `across` the middle of the meeting ends. A joint off the pattern's
    lines, where a course is parted, has no `line`.
    """

    course: int
    line: int | None
    at: float
    left: str
    right: str
    across: float


def cut_pieces(
    site: Site, field: Field, jointed: tuple[JointedRun, ...]
) -> tuple[tuple[LaidPiece, ...], tuple[ButtJoint, ...]]:
    """Cut every run at its joint lines."""
    pieces: list[LaidPiece] = []
    joints: list[ButtJoint] = []
    numbers: dict[int, int] = {}
    half = site.gaps.butt / 2
    plain, cut = _plain_parts(jointed, half), _cut_parts(jointed, half)
    for item in jointed:
        run = item.run
        before: list[LaidPiece] = []
        for i in range(len(item.places) + 1):
            laid = []
            for part in next(plain) if run.whole else next(cut):
                numbers[run.course] = numbers.get(run.course, 0) + 1
                name = f"{course_name(field.zone, run.course)}-{numbers[run.course]}"
                low, _, high, _ = part[1]
                extra = sum(compress(run.oversail, (low == run.start, high == run.end)))
                laid.append(_piece(site, name, field.axes, run.course, part, "board", extra))
            if i > 0:
                joints.extend(_meetings(item, i - 1, item.places[i - 1], half, before, laid))
            pieces.extend(laid)
            before = laid
    return tuple(pieces), tuple(joints)


def _stretches(item: JointedRun, half: float) -> list[tuple[float, float]]:
    """From where to where the pieces of a run lie, half a butt gap off its joint lines."""
    starts, ends = [p + half for p in item.places], [p - half for p in item.places]
    return list(zip([item.run.start, *starts], [*ends, item.run.end], strict=True))


def _plain_parts(jointed: tuple[JointedRun, ...], half: float) -> Iterator[list[Part]]:
    """For each stretch of the runs that are plain rectangles, in order, its one part."""
    bounds = [
        (start, item.run.bottom, end, item.run.top)
        for item in jointed
        if item.run.whole
        for start, end in _stretches(item, half)
    ]
    boards = shapely.box(*np.array(bounds, dtype=float).reshape(-1, 4).T)
    return ([(board, box, True, (board,))] for board, box in zip(boards, bounds, strict=True))


def _cut_parts(jointed: tuple[JointedRun, ...], half: float) -> Iterator[list[Part]]:
    """For each stretch of all other runs, in order, its parts from low u to high."""
    clipped = [
        within(item.run.polygon, (start, item.run.bottom - 1.0, end, item.run.top + 1.0))
        if item.places
        else item.run.polygon
        for item in jointed
        if not item.run.whole
        for start, end in _stretches(item, half)
    ]
    found = solid_parts_of_each(clipped)
    parts = array_of(part for own in found for part in own)
    boxes, bounds = are_boxes(parts), shapely.bounds(parts).reshape(-1, 4)
    parts[boxes] = shapely.box(*bounds[boxes].T)
    order = np.lexsort((bounds[:, 1], bounds[:, 0], np.repeat(np.arange(len(found)), list(map(len, found)))))
    parts, boxes = parts[order], boxes[order]
    laid = zip(
        parts, map(tuple, bounds[order].tolist()), boxes.tolist(), bodies_of_each(parts, boxes), strict=True
    )
    return iter([list(islice(laid, len(own))) for own in found])


def course_name(zone: str, course: int) -> str:
    """Name of a course: A-07, or A-B02 for the second one behind the start edge."""
    return f"{zone}-{course:02d}" if course > 0 else f"{zone}-B{-course:02d}"


def laid_piece(
    site: Site, name: str, axes: Axes, course: int, polygon: Polygon, kind: PieceKind = "board", extra: float = 0.0
) -> LaidPiece:
    """Describe a piece: `extra` is what a trim cut takes off it [mm]."""
    whole = is_box(polygon)
    shape = box(*polygon.bounds) if whole else polygon
    return _piece(site, name, axes, course, (shape, shape.bounds, whole, bodies_of(shape, whole)), kind, extra)


def _piece(
    site: Site,
    name: str,
    axes: Axes,
    course: int,
    part: Part,
    kind: PieceKind,
    extra: float,
) -> LaidPiece:
    polygon, bounds, whole, bodies = part
    start, bottom, end, top = bounds
    return LaidPiece(
        id=name,
        kind=kind,
        axes=axes,
        course=course,
        polygon=polygon,
        box=bounds,
        whole=whole,
        length=end - start + extra,
        width=top - bottom,
        cuts=_cuts(site, polygon, top - bottom, whole, extra > 0.0),
        bodies=bodies,
    )


def _cuts(site: Site, polygon: Polygon, width: float, whole: bool, trimmed: bool) -> tuple[Cut, ...]:
    """What the saw does to a full board to make this piece."""
    cuts: list[Cut] = []
    if whole:
        cuts.append("square")
    else:
        ring = np.asarray(polygon.exterior.coords)
        steps = np.abs(np.diff(ring, axis=0))
        out_of_square = bool(np.any((steps[:, 0] > SQUARE) & (steps[:, 1] > SQUARE)))
        convex = polygon.convex_hull.area - polygon.area < 1.0 and not polygon.interiors
        cuts.append("mitre" if out_of_square and convex else "scribe" if not convex else "rip")
    if width < site.boards.width - SQUARE and "rip" not in cuts:
        cuts.append("rip")
    if trimmed:
        cuts.append("trim")
    return tuple(cuts)


def _meetings(
    item: JointedRun, index: int, at: float, half: float, left: list[LaidPiece], right: list[LaidPiece]
) -> list[ButtJoint]:
    """Pairs of pieces that meet at a line."""
    if item.run.whole:
        across = (item.run.bottom + item.run.top) / 2
        return [ButtJoint(item.run.course, item.lines[index], at, left[0].id, right[0].id, across)]
    found = []
    for a in left:
        for b in right:
            if a.box[2] < at - half - 1e-3 or b.box[0] > at + half + 1e-3:
                continue
            low_a, high_a = _end_section(a, at - half)
            low_b, high_b = _end_section(b, at + half)
            low, high = max(low_a, low_b), min(high_a, high_b)
            if high > low:
                found.append(ButtJoint(item.run.course, item.lines[index], at, a.id, b.id, (low + high) / 2))
    return found


def _end_section(piece: LaidPiece, at: float) -> tuple[float, float]:
    """Where the end of a piece at a place along u lies across the boards."""
    _, bottom, _, top = piece.box
    if not piece.whole:
        corners = np.asarray(piece.polygon.exterior.coords)
        across = corners[np.abs(corners[:, 0] - at) < AT_END, 1]
        bottom, top = float(across.min()), float(across.max())
    return bottom, top

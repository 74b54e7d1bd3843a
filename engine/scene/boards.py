"""Pieces of board as laid, turned into board coordinates, and the clips and screws that hold them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import cycle
from math import cos, radians, sin
from statistics import median

import shapely
from shapely.geometry import LinearRing, Point

from ..layout.decks import decks_of
from ..plan import Area, Fixing, FixingKind, Piece, Plan, Point2, Point3
from .model import BoardShape, FixingShape

FIXING_SIZE: Mapping[FixingKind, Point3] = {
    "starter clip": (30.0, 4.0, 12.0),
    "clip": (30.0, 4.0, 12.0),
    "edge clip": (30.0, 4.0, 12.0),
    "screw": (8.0, 8.0, 3.0),
}
"""Size along, across, up [mm] of what is seen of a fixing (common practice, no source)."""
PROUD = 0.2
"""How far a screw's head is drawn before the face that it is flush with, so that it is seen [mm] (ours)."""
SCREW_HEIGHTS = (0.75, 0.25)
"""Where the two screws of a pair go through an upright board, as shares of its height (common practice, no source)."""
STRIP_TOLERANCE = 1.0
"""How far a piece may reach out of its course and still count as part of it [mm] (ours)."""
IN_COURSES = ("board", "hatch")
"""Kinds of piece that lie in the courses of their zone."""
AT_EDGE = 1.0
"""How near a side lies to the outline of the deck when nothing is before it [mm]: less than any gap (ours)."""


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a piece lies or stands, in the terms of `BoardShape`."""

    origin: Point3
    angle: float
    polygon: Area
    upright: bool = False
    bevel: tuple[float, float] = (0.0, 0.0)
    open_sides: tuple[bool, ...] = ()


def board_shapes(plan: Plan) -> tuple[BoardShape, ...]:
    """Turn every piece of a plan into a shape, in the plan's order."""
    starts = _places_in_stock(plan)
    products = {item.id: item.product for item in plan.stock}
    boards = plan.site.boards
    edges = _deck_edges(plan)
    lines = _centre_lines(plan.pieces, boards.width, boards.width + plan.site.gaps.course)
    shapes = []
    for piece in plan.pieces:
        if piece.kind == "fascia":
            place = _upright(piece, boards.width, edges[piece.zone])
        else:
            place = _lying(piece, boards.width, lines.get((piece.zone, piece.course)), edges[piece.zone])
        shapes.append(
            BoardShape(
                id=piece.id,
                stock=piece.stock,
                product=products.get(piece.stock, boards.product),
                face=piece.face,
                origin=place.origin,
                angle=place.angle,
                polygon=place.polygon,
                width=boards.width,
                thickness=boards.thickness,
                from_end=starts.get(piece.id, 0.0),
                upright=place.upright,
                bevel=place.bevel,
                open_sides=place.open_sides,
                hollow=boards.profile == "hollow",
            )
        )
    return tuple(shapes)


def fixing_shapes(plan: Plan, boards: Sequence[BoardShape]) -> tuple[FixingShape, ...]:
    """Turn every fixing of a plan into a small box in its gap, or in the face of the board that it goes through."""
    held = {board.id: board for board in boards}
    heights = {board.id: cycle(SCREW_HEIGHTS) for board in boards if board.upright}
    return tuple(
        _screw_in_upright(fixing, held[fixing.piece], next(heights[fixing.piece]))
        if fixing.piece in heights
        else _fixing_shape(fixing, held[fixing.piece])
        for fixing in plan.fixings
    )


def _fixing_shape(fixing: Fixing, board: BoardShape) -> FixingShape:
    """Put a screw's head flush with the board's face, a clip in the middle of its sides."""
    (x, y), size = fixing.at, FIXING_SIZE[fixing.kind]
    below = size[2] / 2 - PROUD if fixing.kind == "screw" else board.thickness / 2
    return FixingShape(fixing.kind, (x, y, board.origin[2] - below), board.angle, size)


def _screw_in_upright(fixing: Fixing, board: BoardShape, height: float) -> FixingShape:
    """Put a screw's head flush with the face of an upright board, at a share of its height."""
    along, across, up = FIXING_SIZE[fixing.kind]
    (_, face), (place, _) = _turn([board.origin[:2], fixing.at], board.angle)
    x, y = _turn([(place, face + up / 2 - PROUD)], -board.angle)[0]
    low, high = _span(board.polygon.outer)
    z = board.origin[2] + low + height * (high - low)
    return FixingShape(fixing.kind, (x, y, z), board.angle, (along, up, across))


def _lying(piece: Piece, width: float, line: float | None, edge: LinearRing) -> _Place:
    """Lay a piece face up, about the centre line of the whole board that it is cut from."""
    angle = piece.direction
    ring = _turn(piece.polygon.outer, angle)
    low, high = _span(ring)
    begin = min(along for along, _ in ring)
    centre = (low + high) / 2
    if piece.kind not in IN_COURSES:
        # No sawn edge faces out of the deck: the works edge does (common practice, no source).
        centre = low + width / 2 if _looks_right(ring, angle, edge) else high - width / 2
    elif line is not None and max(high - line, line - low) <= width / 2 + STRIP_TOLERANCE:
        centre = line
    holes = tuple(_shift(_turn(hole, angle), begin, centre, clockwise=True) for hole in piece.polygon.holes)
    outer = _shift(ring, begin, centre, clockwise=False)
    x, y = _turn([(begin, centre)], -angle)[0]
    return _Place(
        origin=(x, y, piece.top),
        angle=angle,
        polygon=Area(outer, holes),
        open_sides=_open_sides([(along + begin, across + centre) for along, across in outer], angle, edge),
    )


def _upright(piece: Piece, width: float, edge: LinearRing) -> _Place:
    """Stand a board on its edge along its footprint, its face out of the deck.

    A ripped one has its works edge at the top, beside the board above it (common practice, no source).
    """
    angle = piece.direction
    if not _looks_right(_turn(piece.polygon.outer, angle), angle, edge):
        angle += 180.0
    ring = _turn(piece.polygon.outer, angle)
    face, back = _span(ring)
    front = [along for along, across in ring if across < (face + back) / 2]
    rear = [along for along, across in ring if across > (face + back) / 2]
    begin, end = min(front), max(front)
    top = width / 2
    foot = top - piece.width
    x, y = _turn([(begin, face)], -angle)[0]
    return _Place(
        origin=(x, y, piece.top - top),
        angle=angle,
        polygon=Area(((0.0, foot), (end - begin, foot), (end - begin, top), (0.0, top))),
        upright=True,
        bevel=(min(rear) - begin, max(rear) - end),
    )


def _deck_edges(plan: Plan) -> dict[str, LinearRing]:
    """Give the outline of the deck in which each zone lies."""
    decks = decks_of(plan.site)
    return {zone.id: LinearRing(decks[zone.deck].outline) for zone in plan.zones}


def _open_sides(ring: Sequence[Point2], angle: float, edge: LinearRing) -> tuple[bool, ...]:
    """Tell which sides of a piece lie along the edge of the deck; `ring` holds corners along and across `angle`."""
    middles = [((x0 + x1) / 2, (y0 + y1) / 2) for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True)]
    near = shapely.dwithin(shapely.points(_turn(middles, -angle)), edge, AT_EDGE)
    return tuple(near.tolist())


def _looks_right(ring: Sequence[Point2], angle: float, edge: LinearRing) -> bool:
    """Tell whether of a piece's long sides it is the right one, looking along it, that is next to the deck's edge.

    `ring` holds its corners along and across `angle`.
    """
    low, high = _span(ring)
    middle = (min(along for along, _ in ring) + max(along for along, _ in ring)) / 2
    right, left = (Point(*_turn([(middle, across)], -angle)[0]) for across in (low, high))
    return bool(edge.distance(right) <= edge.distance(left))


def _places_in_stock(plan: Plan) -> dict[str, float]:
    """Say how far along its stock board each piece begins [mm]: pieces are cut off in order, a kerf between.

    Those of a strip that is sawn beside another begin where that one does.
    """
    lengths = {piece.id: piece.length for piece in plan.pieces}
    places = {}
    for item in plan.stock:
        at = 0.0
        for piece in item.along:
            places[piece] = at
            at += lengths.get(piece, 0.0) + item.kerf
        for first, *others in item.side_by_side:
            for strip in others:
                at = places[first[0]]
                for piece in strip:
                    places[piece] = at
                    at += lengths.get(piece, 0.0) + item.kerf
    return places


def _turn(ring: Iterable[Point2], angle: float) -> list[Point2]:
    """Give points along and across a direction [degrees from +x]."""
    c, s = cos(radians(angle)), sin(radians(angle))
    return [(x * c + y * s, y * c - x * s) for x, y in ring]


def _span(ring: Sequence[Point2]) -> tuple[float, float]:
    return min(across for _, across in ring), max(across for _, across in ring)


def _shift(ring: Sequence[Point2], along: float, across: float, *, clockwise: bool) -> tuple[Point2, ...]:
    moved = [(x - along, y - across) for x, y in ring]
    area = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(moved, [*moved[1:], moved[0]], strict=True))
    return tuple(moved if (area < 0) == clockwise else moved[::-1])


def _centre_lines(pieces: Sequence[Piece], width: float, pitch: float) -> dict[tuple[str, int], float]:
    """Work out where the centre line of each course lies across its zone [mm].

    A ripped or scribed piece does not show it, so whole boards of the zone do, by the steady pitch of courses.
    """
    zones: dict[str, list[tuple[int, float, bool]]] = {}
    for piece in pieces:
        if piece.kind in IN_COURSES:
            low, high = _span(_turn(piece.polygon.outer, piece.direction))
            whole = high - low > width - STRIP_TOLERANCE
            zones.setdefault(piece.zone, []).append((piece.course, (low + high) / 2, whole))
    lines = {}
    for zone, rows in zones.items():
        whole_rows = [(_row(course), centre) for course, centre, whole in rows if whole]
        if not whole_rows:
            continue
        (first, at_first), (last, at_last) = min(whole_rows), max(whole_rows)
        step = pitch if last == first or at_last > at_first else -pitch
        offset = median(centre - step * row for row, centre in whole_rows)
        lines.update({(zone, course): offset + step * _row(course) for course, _, _ in rows})
    return lines


def _row(course: int) -> int:
    """Count courses without a leap: course -1 lies next to course 1."""
    return course if course > 0 else course + 1

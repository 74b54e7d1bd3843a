"""Pieces of board as laid, turned into board coordinates, and the clips and screws that hold them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import atan2, cos, degrees, hypot, radians, sin
from statistics import median

from ..plan import Area, Fixing, FixingKind, Piece, Plan, Point2, Point3
from .model import BoardShape, FixingShape

FIXING_SIZE: Mapping[FixingKind, Point3] = {
    "starter clip": (30.0, 4.0, 12.0),
    "clip": (30.0, 4.0, 12.0),
    "edge clip": (30.0, 4.0, 12.0),
    "screw": (8.0, 8.0, 3.0),
}
"""Size along, across, up [mm] of what is seen of a fixing (common practice, no source)."""
STRIP_TOLERANCE = 1.0
"""How far a piece may reach out of its course and still count as part of it [mm] (ours)."""


def board_shapes(plan: Plan) -> tuple[BoardShape, ...]:
    """Turn every piece of a plan into a shape, in the plan's order."""
    directions = {zone.id: zone.direction for zone in plan.zones}
    starts = _places_in_stock(plan)
    products = {item.id: item.product for item in plan.stock}
    boards = plan.site.boards
    angles = [_angle(piece, directions) for piece in plan.pieces]
    turned = [_turn(piece.polygon.outer, angle) for piece, angle in zip(plan.pieces, angles, strict=True)]
    spans = [_span(ring) for ring in turned]
    centres = _centre_lines(plan.pieces, spans, boards.width, boards.width + plan.site.gaps.course)
    shapes = []
    for piece, angle, ring, (low, high) in zip(plan.pieces, angles, turned, spans, strict=True):
        begin = min(along for along, _ in ring)
        centre = centres.get((piece.zone, piece.course), (low + high) / 2) if piece.kind == "board" else None
        if centre is None or max(high - centre, centre - low) > boards.width / 2 + STRIP_TOLERANCE:
            centre = (low + high) / 2
        holes = tuple(_shift(_turn(hole, angle), begin, centre, clockwise=True) for hole in piece.polygon.holes)
        x, y = _turn([(begin, centre)], -angle)[0]
        shapes.append(
            BoardShape(
                id=piece.id,
                stock=piece.stock,
                product=products.get(piece.stock, boards.product),
                face=piece.face,
                origin=(x, y, plan.site.deck.surface),
                angle=angle,
                polygon=Area(_shift(ring, begin, centre, clockwise=False), holes),
                width=boards.width,
                thickness=boards.thickness,
                from_end=starts.get(piece.id, 0.0),
            )
        )
    return tuple(shapes)


def fixing_shapes(plan: Plan, boards: Sequence[BoardShape]) -> tuple[FixingShape, ...]:
    """Turn every fixing of a plan into a small box in its gap, or on the board that it goes through."""
    angles = {board.id: board.angle for board in boards}
    top = plan.site.deck.surface
    thickness = plan.site.boards.thickness
    return tuple(
        FixingShape(
            fixing.kind,
            _fixing_place(fixing, top, thickness),
            angles.get(fixing.piece, 0.0),
            FIXING_SIZE[fixing.kind],
        )
        for fixing in plan.fixings
    )


def _fixing_place(fixing: Fixing, top: float, thickness: float) -> Point3:
    """Put a screw's head flush with the boards, a clip's in the middle of their sides."""
    x, y = fixing.at
    return (x, y, top - FIXING_SIZE["screw"][2] / 2 if fixing.kind == "screw" else top - thickness / 2)


def _places_in_stock(plan: Plan) -> dict[str, float]:
    """Say how far along its stock board each piece begins [mm]: pieces are cut off in order, a kerf between."""
    lengths = {piece.id: piece.length for piece in plan.pieces}
    places = {}
    for item in plan.stock:
        at = 0.0
        for piece in item.pieces:
            places[piece] = at
            at += lengths.get(piece, 0.0) + item.kerf
    return places


def _angle(piece: Piece, directions: Mapping[str, float]) -> float:
    """Give the way a piece runs [degrees from +x]: its zone's, or for a border its longest side's."""
    if piece.kind == "board" and piece.zone in directions:
        return directions[piece.zone]
    ring = piece.polygon.outer
    (x0, y0), (x1, y1) = max(
        zip(ring, [*ring[1:], ring[0]], strict=True),
        key=lambda side: hypot(side[1][0] - side[0][0], side[1][1] - side[0][1]),
    )
    return degrees(atan2(y1 - y0, x1 - x0)) % 180.0


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


def _centre_lines(
    pieces: Sequence[Piece], spans: Sequence[tuple[float, float]], width: float, pitch: float
) -> dict[tuple[str, int], float]:
    """Work out where the centre line of each course lies across its zone [mm].

    A ripped or scribed piece does not show it, so whole boards of the zone do, by the steady pitch of courses.
    """
    zones: dict[str, list[tuple[int, float, bool]]] = {}
    for piece, (low, high) in zip(pieces, spans, strict=True):
        if piece.kind == "board":
            whole = high - low > width - STRIP_TOLERANCE
            zones.setdefault(piece.zone, []).append((piece.course, (low + high) / 2, whole))
    lines = {}
    for zone, rows in zones.items():
        whole_rows = [(course, centre) for course, centre, whole in rows if whole]
        if not whole_rows:
            continue
        (first, at_first), (last, at_last) = min(whole_rows), max(whole_rows)
        step = pitch if last == first or at_last > at_first else -pitch
        offset = median(centre - step * course for course, centre in whole_rows)
        lines.update({(zone, course): offset + step * course for course, _, _ in rows})
    return lines

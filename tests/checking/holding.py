"""Rule 7: every piece is held on every joist that it crosses."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely
from shapely import Point, STRtree

from .model import Fault, Reading, Zone, turned

LEAST_CHORD = 40.0
"""Width [mm] over a joist from which a piece crosses it; of a narrower piece, most of its width."""
LEAST_BEARING = 20.0
"""Bearing [mm] along the board from which an end lies on a joist whose centre line it does not reach; the contract."""
CLIP_REACH = 5.0
"""How far past the gap beside a board the point of its clip may lie [mm]: half a clip's width."""
STEEP = 30.0
"""Angle [degrees] to the boards from which an edge is an end and no long side: no clip holds there."""

Spot = tuple[float, float, str]


def pieces_are_held(zone: Zone, reading: Reading) -> Iterator[Fault]:
    """Rule 7, at each crossing: a fixing at either long side, or screws through the face.

    A side that is the piece's cut end, or lies against an obstacle (the flank of a notch), takes no clip;
    the other side then holds the piece, and where neither can, one fixing in its width must.
    """
    numbers = [i for i, m in enumerate(zone.members) if m["role"] in ("joist", "double")]
    if not zone.pieces or not numbers:
        return
    spots = _fixings_by_member(zone, reading)
    beside = max(zone.ground.gaps["course"], zone.ground.gaps["wall"]) + CLIP_REACH
    obstacles = turned(reading.ground.obstacles, -zone.direction)
    for i, m, chord in _crossings(zone, numbers):
        piece, member = zone.pieces[i], zone.members[m]
        breadth = member["section"][0]
        low, high = sorted(chord.coords[:: len(chord.coords) - 1], key=lambda xy: xy[1])
        near = [
            s
            for s in _between(spots[member["id"]], low[1] - beside, high[1] + beside)
            if min(low[0], high[0]) - breadth <= s[0] <= max(low[0], high[0]) + breadth
        ]
        if any(kind == "screw" and low[1] < y < high[1] for _, y, kind in near):
            continue
        sides = [end for end in (low, high) if _takes_a_clip(zone.shapes[i], end, obstacles)]
        loose = [end for end in sides if not any(abs(y - end[1]) <= beside for _, y, _ in near)]
        if loose or not near:
            where = "at a side" if loose else "anywhere"
            message = f"is not held {where} on {member['id']}"
            yield Fault(7, (piece["id"], member["id"]), message, zone.place(Point(loose[0] if loose else low)))


def fixings_touch_their_parts(reading: Reading) -> Iterator[Fault]:
    """Rule 7, the other way round: each fixing lies on its member and beside or through its piece."""
    gaps = reading.ground.gaps
    reach = max(gaps["course"], gaps["wall"], gaps["butt"]) + CLIP_REACH
    for fixing in reading.plan["fixings"]:
        if fixing["piece"] not in reading.pieces or fixing["member"] not in reading.members:
            ids = (fixing["piece"], fixing["member"])
            yield Fault(7, ids, f"a {fixing['kind']} between parts that are not there", tuple(fixing["at"]))
    for zone in reading.zones:
        numbers = {m["id"]: i for i, m in enumerate(zone.members)}
        rows = [f for f in reading.plan["fixings"] if f["piece"] in zone.number and f["member"] in numbers]
        if not rows:
            continue
        points = turned(shapely.points([f["at"] for f in rows]), -zone.direction)
        off_piece = shapely.distance(points, zone.shapes[[zone.number[f["piece"]] for f in rows]]) > reach
        off_member = shapely.distance(points, zone.footprints[[numbers[f["member"]] for f in rows]]) > 1.0
        for k in np.flatnonzero(off_piece | off_member):
            part = rows[k]["piece"] if off_piece[k] else rows[k]["member"]
            yield Fault(7, (part,), f"a {rows[k]['kind']} that does not reach it", tuple(rows[k]["at"]))


def _fixings_by_member(zone: Zone, reading: Reading) -> dict[str, list[Spot]]:
    """Sort the fixings on each member from low to high across, in board axes: (along, across, kind)."""
    spots: dict[str, list[Spot]] = defaultdict(list)
    rows = reading.plan["fixings"]
    if rows:
        turned_points = shapely.get_coordinates(turned(shapely.points([f["at"] for f in rows]), -zone.direction))
        for (x, y), row in zip(turned_points.tolist(), rows, strict=True):
            spots[row["member"]].append((x, y, row["kind"]))
    for row_spots in spots.values():
        row_spots.sort(key=lambda s: s[1])
    return spots


def _between(spots: list[Spot], low: float, high: float) -> list[Spot]:
    return spots[bisect_left(spots, low, key=lambda s: s[1]) : bisect_left(spots, high, key=lambda s: s[1])]


def _crossings(zone: Zone, numbers: list[int]) -> Iterator[tuple[int, int, Any]]:
    """Piece, member, and the line over the piece at which it is held: the centre line, or midway over its bearing."""
    footprints = zone.footprints[numbers]
    found, over = STRtree(footprints).query(zone.shapes, predicate="intersects")
    over = np.array(numbers)[over]
    seats = shapely.intersection(zone.shapes[found], zone.footprints[over])
    chords = shapely.intersection(zone.shapes[found], zone.centre_lines[over])
    boxes = shapely.bounds(seats)
    for i, m, chord, seat, box in zip(found, over, chords, seats, boxes, strict=True):
        line = chord
        if chord.is_empty and box[2] - box[0] >= LEAST_BEARING:
            middle = seat.centroid
            reach = zone.ground.site["boards"]["width"]
            upright = np.array([[middle.x, middle.y - reach], [middle.x, middle.y + reach]])
            line = zone.shapes[i].intersection(shapely.linestrings(upright))
        least = min(LEAST_CHORD, 0.6 * zone.pieces[i]["width"])
        for part in shapely.get_parts(line):
            if part.length >= least:
                yield int(i), int(m), part


def _takes_a_clip(piece: Any, end: tuple[float, float], obstacles: Any) -> bool:
    point = Point(end)
    if obstacles.distance(point) < 1.0:
        return False
    corners = np.concatenate([np.column_stack([r[:-1], r[1:]]) for r in _rings(piece)])
    edges = shapely.linestrings(corners.reshape(-1, 2, 2))
    x0, y0, x1, y1 = corners[int(np.argmin(shapely.distance(edges, point)))]
    slope = abs(math.degrees(math.atan2(y1 - y0, x1 - x0)))
    return min(slope, 180.0 - slope) <= STEEP


def _rings(piece: Any) -> list[np.ndarray]:
    return [shapely.get_coordinates(ring) for ring in (piece.exterior, *piece.interiors)]

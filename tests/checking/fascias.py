"""Fascias: boards on edge under a step or fascia edge, from under the boards down towards the ground."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString

from .laying import lies_where_it_may
from .model import NOISE, TOLERANCE, Fault, Ground, Reading, Record, area, placed
from .outline import Rim, finish

SETBACK = 10.0
"""How far behind the edge a fascia's face lies [mm]; agreed for this plan file."""
CLEAR_OF_GROUND = (10.0, 50.0)
"""Least and most height [mm] of a fascia's lower edge above the datum; agreed for this plan file."""
LEAST_COVERED = 100.0
"""Length [mm] of an edge from which it must have a fascia."""
LEAST_CLASH = 20.0
"""Shared area [mm2] from which a fascia and a timber, or two fascias, stand in one place."""


def fascias_stand(reading: Reading) -> Iterator[Fault]:
    """Rules 1, 2, 3 and 7 for boards on edge: where, how high, along the whole edge, and held."""
    for ground in reading.grounds:
        rim = Rim(ground)
        edges: dict[int, list[Record]] = defaultdict(list)
        for piece in reading.plan["pieces"]:
            if piece["kind"] == "fascia" and reading.deck_of[piece["zone"]] == ground.number:
                edges[rim.side(int(placed(piece)[0][1:]))].append(piece)
        yield from lies_where_it_may(ground, [p for pieces in edges.values() for p in pieces])
        yield from _clashes(reading, [p for pieces in edges.values() for p in pieces])
        for i in range(len(rim.ring)):
            wanted = finish(ground, rim.edges[i]) in ("step", "fascia") and i not in rim.house
            if edges[i] and not wanted:
                yield Fault(1, (edges[i][0]["id"],), f"a fascia under a {finish(ground, rim.edges[i])} edge")
            elif wanted and not reading.excused("fascia|edge", str(rim.edges[i])):
                yield from _edge(rim, i, edges[i])
        for pieces in edges.values():
            for piece in pieces:
                yield from _is_screwed(reading, piece)


def _edge(rim: Rim, i: int, pieces: list[Record]) -> Iterator[Fault]:
    ground, name = rim.ground, f"edge {rim.edges[i]}"
    underside = ground.surface - ground.site["boards"]["thickness"]
    if not pieces:
        if underside > CLEAR_OF_GROUND[1] and _left_bare(rim, i, []):
            yield Fault(3, (name,), "has no fascia", tuple(rim.ring[i]))
        return
    rings: dict[int, list[Record]] = defaultdict(list)
    for piece in pieces:
        rings[piece["course"]].append(piece)
        deep = (shapely.get_coordinates(area(piece["polygon"])) - rim.ring[i]) @ rim.inward[i]
        if abs(min(deep) - SETBACK) > TOLERANCE + NOISE:
            message = f"stands {min(deep):.1f} mm behind its edge, not {SETBACK}"
            yield Fault(1, (piece["id"],), message, tuple(piece["polygon"]["outer"][0]))
    yield from _levels(ground, name, rings, underside)
    for ring, row in sorted(rings.items()):
        for start, end in _left_bare(rim, i, row):
            message = f"ring {ring} of its fascia leaves {start:.0f} to {end:.0f} mm of it bare"
            yield Fault(3, (name,), message, tuple(rim.ring[i] + start * rim.along[i]))


def _levels(ground: Ground, name: str, rings: dict[int, list[Record]], underside: float) -> Iterator[Fault]:
    """Rings from right under the boards, a course gap apart, down to a hand's breadth over the ground."""
    expected, order = underside, sorted(rings)
    if order != list(range(1, len(order) + 1)):
        yield Fault(0, (name,), f"its fascia has rings {order}")
    for ring in order:
        for piece in rings[ring]:
            if abs(piece["top"] - expected) > TOLERANCE + NOISE:
                yield Fault(1, (piece["id"],), f"its top lies at {piece['top']:.1f} mm, not at {expected:.1f}")
        expected = min(p["top"] - p["width"] for p in rings[ring]) - ground.gaps["course"]
    bottom = expected + ground.gaps["course"]
    if not CLEAR_OF_GROUND[0] - TOLERANCE <= bottom <= CLEAR_OF_GROUND[1] + TOLERANCE:
        yield Fault(3, (name,), f"its fascia ends {bottom:.1f} mm over the ground")


def _left_bare(rim: Rim, i: int, row: list[Record]) -> list[tuple[float, float]]:
    """Stretches along an edge [mm] without fascia; what corners, walls and obstacles take is none."""
    ground, ends = rim.ground, []
    back = SETBACK + ground.site["boards"]["thickness"]
    for corner in (i, (i + 1) % len(rim.ring)):
        inner = 1.0 / math.tan(rim.half_angle(corner))
        ends.append(back * (max(0.0, inner) + 1.0) + ground.gaps["butt"] + ground.gaps["wall"] + 2 * TOLERANCE)
    low, high = ends[0], rim.lengths[i] - ends[1]
    if high - low < LEAST_COVERED:
        return []
    taken = [area(p["polygon"]) for p in row]
    a, b = (rim.ring[i] + at * rim.along[i] + SETBACK * rim.inward[i] for at in (0.0, rim.lengths[i]))
    strip = LineString([a, b, b + rim.inward[i] * (back - SETBACK), a + rim.inward[i] * (back - SETBACK)]).convex_hull
    blocked = shapely.union_all([ground.obstacles, ground.openings, ground.house.buffer(ground.gaps["wall"])])
    taken += list(shapely.get_parts(strip.intersection(blocked)))
    spans = []
    for shape in taken:
        at = (shapely.get_coordinates(shape) - rim.ring[i]) @ rim.along[i]
        if len(at):
            spans.append((min(at), max(at)))
    bare, reached = [], low
    for start, end in sorted(spans):
        if start > reached + ground.gaps["butt"] + TOLERANCE:
            bare.append((reached, min(start, high)))
        reached = max(reached, end)
    if reached < high:
        bare.append((reached, high))
    return [(s, e) for s, e in bare if e - s > ground.gaps["butt"] + TOLERANCE]


def _clashes(reading: Reading, pieces: list[Record]) -> Iterator[Fault]:
    """Rule 2: no fascia stands in a timber, or in another fascia at its own height."""
    shapes = [area(p["polygon"]) for p in pieces]
    solid = []
    for member in reading.plan["members"]:
        if member["role"] in ("footing", "post"):
            continue
        b, h = member["section"]
        line = LineString([member["from"][:2], member["to"][:2]])
        solid.append(
            (member["id"], line.buffer(b / 2, cap_style="flat"), member["from"][2] - h / 2, member["from"][2] + h / 2)
        )
    for k, (piece, shape) in enumerate(zip(pieces, shapes, strict=True)):
        low, high = piece["top"] - piece["width"], piece["top"]
        others = [(p["id"], s, p["top"] - p["width"], p["top"]) for p, s in zip(pieces[:k], shapes[:k], strict=True)]
        for name, other, bottom, top in (*others, *solid):
            if min(high, top) - max(low, bottom) > TOLERANCE and shape.intersection(other).area > LEAST_CLASH:
                at = shape.intersection(other).representative_point()
                yield Fault(2, (piece["id"], name), "stand in one place", (at.x, at.y))


def _is_screwed(reading: Reading, piece: Record) -> Iterator[Fault]:
    """Rule 7: screwed to the frame at no more than `max_centres`, each screw near enough to reach its timber.

    Where an obstacle leaves no timber behind it, `checks` names it.
    """
    frame, thickness = reading.ground.site["frame"], reading.ground.site["boards"]["thickness"]
    own = [f for f in reading.plan["fixings"] if f["piece"] == piece["id"]]
    shape = area(piece["polygon"])
    way = np.array([math.cos(math.radians(piece["direction"])), math.sin(math.radians(piece["direction"]))])
    ends = shapely.get_coordinates(shape) @ way
    at = sorted([min(ends), *(float(np.array(f["at"]) @ way) for f in own), max(ends)])
    longest = max(b - a for a, b in pairwise(at))
    if (not own or longest > frame["max_centres"] + TOLERANCE) and piece["id"] not in reading.named_in_checks:
        place = shape.representative_point()
        yield Fault(7, (piece["id"],), f"{longest:.0f} mm of the fascia without a screw", (place.x, place.y))
    for fixing in own:
        member = reading.members.get(fixing["member"])
        if member is None:
            continue
        line = LineString([member["from"][:2], member["to"][:2]])
        timber = line.buffer(member["section"][0] / 2, cap_style="flat")
        if timber.distance(shape) > thickness or shape.distance(shapely.Point(fixing["at"])) > thickness:
            yield Fault(7, (piece["id"], fixing["member"]), "a screw that does not reach", tuple(fixing["at"]))

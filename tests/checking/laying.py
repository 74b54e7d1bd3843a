"""Rules 1 to 3: where pieces lie, how far apart, and that nothing is left bare."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely import STRtree

from .facing import Facing, near_pairs
from .model import (
    FIELD,
    NOISE,
    RINGS,
    TOLERANCE,
    Fault,
    Ground,
    Record,
    Zone,
    area,
    parts,
    place_in_order,
    placed,
    turned,
)

BARE_DISC = 40.0
"""Diameter [mm] of the disc that fits in no bare spot; the plan's contract."""
LEAST_OVERLAP = 1.0
"""Shared area [mm2] from which two pieces overlap: a hundredth of a millimetre on a 100 mm end."""


def lies_where_it_may(ground: Ground, pieces: Sequence[Record]) -> Iterator[Fault]:
    """Rule 1: inside its deck's outline, clear of openings, obstacles and walls."""
    shapes = np.array([area(p["polygon"]) for p in pieces], dtype=object)
    allowed = ground.outline.buffer(TOLERANCE + NOISE)
    shapely.prepare(allowed)
    wall = ground.gaps["wall"] - TOLERANCE - NOISE
    tests = (
        (~shapely.covers(allowed, shapes), "lies outside the outline"),
        (shapely.intersects(ground.openings.buffer(-TOLERANCE - NOISE), shapes), "lies in an opening"),
        (shapely.intersects(ground.obstacles.buffer(-TOLERANCE - NOISE), shapes), "lies in an obstacle's clearance"),
        (shapely.distance(ground.house, shapes) < wall, f"is nearer to a house edge than {ground.gaps['wall']} mm"),
    )
    for broken, message in tests:
        for i in np.flatnonzero(broken):
            point = shapes[i].representative_point()
            yield Fault(1, (pieces[i]["id"],), message, (point.x, point.y))


def overlaps(pieces: Sequence[Record]) -> Iterator[Fault]:
    """Rule 2, first half: no two pieces of one level overlap, of whatever zone or kind."""
    shapes = np.array([area(p["polygon"]) for p in pieces], dtype=object)
    pairs = STRtree(shapes).query(shapes, predicate="intersects").T
    pairs = pairs[pairs[:, 0] < pairs[:, 1]]
    shared = shapely.intersection(shapes[pairs[:, 0]], shapes[pairs[:, 1]])
    for (i, j), common in zip(pairs, shared, strict=True):
        if common.area > LEAST_OVERLAP:
            at = common.representative_point()
            ids = (pieces[i]["id"], pieces[j]["id"])
            yield Fault(2, ids, f"overlap by {common.area:.0f} mm2", (at.x, at.y))


def strangers_keep_off(ground: Ground) -> Iterator[Fault]:
    """Rule 2, between zones, borders and dividers: the course gap at least; the butt gap where two borders meet."""
    gaps = ground.gaps
    own = [p["zone"] if p["kind"] in FIELD else placed(p)[0] for p in ground.laid]
    pairs = STRtree(ground.shapes).query(ground.shapes, predicate="dwithin", distance=gaps["course"]).T
    pairs = pairs[pairs[:, 0] < pairs[:, 1]]
    apart = shapely.distance(ground.shapes[pairs[:, 0]], ground.shapes[pairs[:, 1]])
    for (i, j), distance in zip(pairs, apart, strict=True):
        if own[i] == own[j]:
            continue
        corner = ground.laid[i]["kind"] in RINGS and ground.laid[j]["kind"] in RINGS
        least = min(gaps["course"], gaps["butt"]) if corner else gaps["course"]
        if 0 < distance < least - TOLERANCE - NOISE:
            at = shapely.shortest_line(ground.shapes[i], ground.shapes[j]).centroid
            ids = (ground.laid[i]["id"], ground.laid[j]["id"])
            yield Fault(2, ids, f"only {distance:.2f} mm apart where {least} mm belong", (at.x, at.y))


def gaps_hold(zone: Zone, ends: list[Facing], sides: list[Facing]) -> Iterator[Fault]:
    """Rule 2, second half: the butt gap along a course, the course gap across neighbours, no less anywhere."""
    for facings, name in ((ends, "butt"), (sides, "course")):
        wanted = zone.ground.gaps[name]
        for f in facings:
            if abs(f.gap - wanted) > TOLERANCE + NOISE:
                yield Fault(2, _ids(zone, f), f"{name} gap is {f.gap:.2f} mm, not {wanted}", zone.place(f.middle))
    for f in sides:
        one, two = (zone.pieces[i]["course"] for i in (f.first, f.second))
        if abs(place_in_order(one) - place_in_order(two)) != 1:
            yield Fault(2, _ids(zone, f), f"courses {one} and {two} lie side by side", zone.place(f.middle))
    gaps = zone.ground.gaps
    pairs = near_pairs(zone, max(gaps["course"], gaps["butt"]))
    apart = shapely.distance(zone.shapes[pairs[:, 0]], zone.shapes[pairs[:, 1]])
    for (i, j), distance in zip(pairs, apart, strict=True):
        courses = abs(zone.pieces[i]["course"] - zone.pieces[j]["course"])
        least = gaps["course"] if courses else min(gaps["course"], gaps["butt"])
        if 0 < distance < least - TOLERANCE - NOISE:
            ids = (zone.pieces[i]["id"], zone.pieces[j]["id"])
            yield Fault(2, ids, f"only {distance:.2f} mm apart", zone.place(zone.shapes[i]))


def courses_are_bands(zone: Zone) -> Iterator[Fault]:
    """Rule 2, as it follows for whole courses: each keeps to a strip one board wide, and the strips are in order."""
    spans: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for piece, (_, low, _, high) in zip(zone.pieces, shapely.bounds(zone.shapes), strict=True):
        spans[piece["course"]].append((low, high))
    bands = {k: (min(s[0] for s in v), max(s[1] for s in v)) for k, v in sorted(spans.items())}
    width = zone.ground.site["boards"]["width"]
    for course, (low, high) in bands.items():
        if high - low > width + TOLERANCE:
            yield Fault(2, (f"{zone.record['id']} course {course}",), f"its pieces span {high - low:.1f} mm across")
    order = list(bands)
    rising = len(order) < 2 or bands[order[-1]][0] >= bands[order[0]][0]
    for one, two in pairwise(order):
        (low, high), (next_low, next_high) = bands[one], bands[two]
        gap = next_low - high if rising else low - next_high
        if gap < zone.ground.gaps["course"] - TOLERANCE - NOISE:
            ids = (f"{zone.record['id']} course {one}", f"course {two}")
            yield Fault(2, ids, f"the courses are {gap:.2f} mm apart")
    if 0 in bands or len(bands) > zone.record["courses"]:
        yield Fault(0, (zone.record["id"],), f"pieces lie in courses {order}, of {zone.record['courses']}")


def nothing_is_bare(ground: Ground, zones: list[Zone]) -> Iterator[Fault]:
    """Rule 3: no 40 mm disc fits between the pieces of a deck, each grown by the gaps that it keeps."""
    covered = [turned(_grown_by_gaps(zone), zone.direction) for zone in zones if zone.pieces]
    gap = max(ground.gaps["course"], ground.gaps["butt"])
    borders = [shape.buffer(gap) for p, shape in zip(ground.laid, ground.shapes, strict=True) if p["kind"] in RINGS]
    left = ground.boardable - shapely.union_all([*covered, *borders])
    for spot in parts(left.buffer(-BARE_DISC / 2 - NOISE)):
        at = spot.representative_point()
        size = spot.buffer(BARE_DISC / 2).area
        yield Fault(3, ("bare spot",), f"about {size:.0f} mm2 could be boarded", (at.x, at.y))


def _grown_by_gaps(zone: Zone) -> object:
    """All pieces, each grown by the course gap across and the butt gap along."""
    course, butt = (max(zone.ground.gaps[name], 1.0) for name in ("course", "butt"))
    # Along is drawn to the scale at which both gaps are as wide, so that one buffer grows both.
    scale = np.array([course / butt, 1.0])
    grown = shapely.buffer(shapely.transform(zone.shapes, lambda xy: xy * scale), course)
    return shapely.union_all(shapely.transform(grown, lambda xy: xy / scale))


def _ids(zone: Zone, facing: Facing) -> tuple[str, str]:
    return (zone.pieces[facing.first]["id"], zone.pieces[facing.second]["id"])

"""Rules 1 and 2 for borders, nosings and dividers: where each ring lies, its corners, and the field beside it.

All is worked out from the deck's outline: ring r of an edge is the strip one board wide that begins r - 1 boards and
course gaps behind it, and two rings meet on the bisector of their corner.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString, Point, Polygon, STRtree

from .facing import REACH, Facing, free_facings, near_pairs
from .model import FIELD, NOISE, RINGS, TOLERANCE, Fault, Ground, Reading, Zone, angle_between, placed
from .outline import LEAST_STRIP, Rim, finish

LEAST_INTRUSION = 20.0
"""Width [mm] from which a field board within a border's strip takes its place; a narrower one fills a nook."""
MITRE = 0.1
"""What the angle of a mitre may be out by [degrees]."""
LEAST_CUT = 20.0
"""Length [mm] of an edge of a piece from which its angle can be told."""
LEAST_RIP = 40.0
"""Width [mm] under which a strip beside a border is no board: the contract's narrowest bare spot."""
NEARLY_ALONG = 1.0
"""Angle [degrees] to a border under which a board lies along it, and is ripped rather than cut off there."""
LEAST_TURN = 30.0
"""Turn [degrees] of the outline from which a ring can end against its neighbour's inner side."""
STRAIGHT = 0.5
"""Turn [degrees] of the outline under which a corner is none."""


def rings_lie_in_place(reading: Reading) -> Iterator[Fault]:
    """Rule 1: each ring keeps to its strip behind its edge, and no field board lies in a strip."""
    for ground in reading.grounds:
        rim = Rim(ground)
        for piece, shape in zip(ground.laid, ground.shapes, strict=True):
            line, ring = placed(piece)
            if piece["kind"] not in RINGS or line[0] != "E":
                continue
            i = rim.side(int(line[1:]))
            deep = (shapely.get_coordinates(shape) - rim.ring[i]) @ rim.inward[i]
            start, end = rim.strip(i, ring)
            at = shape.representative_point()
            if ring > rim.depth[i]:
                yield Fault(1, (piece["id"],), f"edge {rim.edges[i]} has {rim.depth[i]} rings", (at.x, at.y))
            elif min(deep) < start - TOLERANCE - NOISE or max(deep) > end + TOLERANCE + NOISE:
                message = f"lies {min(deep):.1f} to {max(deep):.1f} mm behind its edge, not {start:.0f} to {end:.0f}"
                yield Fault(1, (piece["id"],), message, (at.x, at.y))
            if (piece["kind"] == "nosing") is not (ring == 1 and finish(ground, rim.edges[i]) == "step"):
                yield Fault(
                    1,
                    (piece["id"],),
                    f"a {piece['kind']} in ring {ring} of a {finish(ground, rim.edges[i])} edge",
                    (at.x, at.y),
                )
        yield from _field_in_strips(reading, rim)


def _field_in_strips(reading: Reading, rim: Rim) -> Iterator[Fault]:
    ground = rim.ground
    field = [k for k, p in enumerate(ground.laid) if p["kind"] == "board"]
    tree = STRtree(ground.shapes[field])
    for i, depth in enumerate(rim.depth):
        if not depth or reading.excused("border|nosing|edge", str(rim.edges[i])):
            continue
        strip = rim.trapezoid(i, rim.strip(i, 1)[0], rim.strip(i, depth)[1])
        for k in tree.query(strip, predicate="intersects") if strip else ():
            common = ground.shapes[field[k]].intersection(strip)
            if not common.buffer(-LEAST_INTRUSION / 2).is_empty:
                at = common.representative_point()
                yield Fault(
                    1, (ground.laid[field[k]]["id"],), f"lies in the border of edge {rim.edges[i]}", (at.x, at.y)
                )


def field_stops_at_the_ring(strip: Zone) -> Iterator[Fault]:
    """Rule 2: sides and ends of the field lie one course gap off a ring, measured square to it."""
    field = [p for p in strip.ground.laid if p["kind"] in FIELD]
    both = replace(strip, pieces=[*strip.pieces, *field])
    wanted = strip.ground.gaps["course"]
    pairs = near_pairs(both, wanted + REACH)
    borders = len(strip.pieces)
    pairs = pairs[(pairs[:, 0] < borders) & (pairs[:, 1] >= borders)]
    for f in free_facings(both, pairs, axis=1, proper=wanted):
        if abs(f.gap - wanted) > TOLERANCE + NOISE and not _no_room_for_a_rip(both, f, wanted):
            ids = (both.pieces[f.first]["id"], both.pieces[f.second]["id"])
            yield Fault(2, ids, f"gap of border to field is {f.gap:.2f} mm, not {wanted}", both.place(f.middle))


def _no_room_for_a_rip(both: Zone, facing: Facing, wanted: float) -> bool:
    """Whether a whole board of the field lies along the border, and what is left between is too narrow to be ripped."""
    field = next(p for p in (both.pieces[facing.first], both.pieces[facing.second]) if p["kind"] in FIELD)
    boards, least = both.ground.site["boards"], both.ground.site["pattern"].get("min_rip", 0.0)
    along = angle_between(field.get("direction", both.direction), both.direction) <= NEARLY_ALONG
    whole = field["width"] >= boards["width"] - TOLERANCE
    return along and whole and wanted < facing.gap < 2 * wanted + max(least, LEAST_RIP)


GENTLE = 45.0
"""A corner that turns by less [degrees] is mitred even where the others are butted: a butt would end in a feather."""


def corners_meet(reading: Reading) -> Iterator[Fault]:
    """Rule 2: common rings meet at a corner with the butt gap, mitred on its bisector; others run to the inner side."""
    for ground in reading.grounds:
        rim = Rim(ground)
        lines: dict[tuple[int, int], list[int]] = defaultdict(list)
        for k, piece in enumerate(ground.laid):
            line, ring = placed(piece)
            if piece["kind"] in RINGS and line[0] == "E":
                lines[rim.side(int(line[1:])), ring].append(k)
        for corner in range(len(rim.ring)):
            yield from _corner(reading, rim, lines, corner)


def _corner(reading: Reading, rim: Rim, lines: dict[tuple[int, int], list[int]], corner: int) -> Iterator[Fault]:
    ground, before, after = rim.ground, (corner - 1) % len(rim.ring), corner
    half = rim.half_angle(corner)
    common = min(rim.depth[before], rim.depth[after])
    if abs(math.pi / 2 - half) * 2 < math.radians(STRAIGHT) or {before, after} & rim.house:
        return
    sharp = 180.0 - 2.0 * math.degrees(half if half < math.pi / 2 else math.pi - half) >= GENTLE
    mitred = bool(common) and (ground.site["pattern"]["border"]["corners"] == "mitre" or not sharp)
    for ring in range(1, common + 1):
        near, far = rim.strip(after, ring)
        spot = LineString([rim.bisector(corner, near), rim.bisector(corner, far)])
        if not _is_free(rim, spot, corner, far):
            continue
        one, two = (_nearest(ground, lines[edge, ring], spot) for edge in (before, after))
        if one is None or two is None:
            missing = before if one is None else after
            if not reading.excused("border|nosing|edge", str(rim.edges[missing])):
                yield Fault(
                    1,
                    (f"edge {rim.edges[missing]}",),
                    f"has no ring {ring} at corner {rim.edges[corner]}",
                    spot.coords[0],
                )
            continue
        ids = (ground.laid[one]["id"], ground.laid[two]["id"])
        if any(reading.excused("border|nosing|edge", str(rim.edges[edge])) for edge in (before, after)):
            continue
        gap, wanted = ground.shapes[one].distance(ground.shapes[two]), ground.gaps["butt"]
        if abs(gap - wanted) > TOLERANCE + NOISE:
            yield Fault(2, ids, f"the corner stands {gap:.2f} mm open, not {wanted}", spot.coords[0])
        for k in (one, two) if mitred else ():
            yield from _mitre(rim, k, corner, spot)
    if math.degrees(math.pi - 2 * half) >= LEAST_TURN and common:
        yield from _further_rings(reading, rim, lines, corner)


def _is_free(rim: Rim, spot: LineString, corner: int, far: float) -> bool:
    """Whether a corner of two rings lies on ground of their own: no obstacle, wall or other border in the way."""
    ground, count = rim.ground, len(rim.ring)
    before, after = (corner - 1) % count, corner
    if any(rim.trapezoid(edge, 0.0, far) is None for edge in (before, after)):
        return False
    around = spot.buffer(ground.gaps["butt"] + 1.0)
    if around.intersects(ground.openings) or around.intersects(ground.obstacles) or around.intersects(ground.house):
        return False
    for edge in set(range(count)) - {before, after}:
        line = LineString([rim.ring[edge], rim.ring[(edge + 1) % count]])
        if line.distance(spot) < rim.depth[edge] * rim.pitch + ground.gaps["butt"] + ground.gaps["wall"]:
            return False
    return True


def _nearest(ground: Ground, numbers: list[int], spot: LineString) -> int | None:
    middle = spot.interpolate(0.5, normalized=True)
    near = [k for k in numbers if ground.shapes[k].distance(spot) < LEAST_STRIP]
    return min(near, key=lambda k: ground.shapes[k].distance(middle), default=None)


def _mitre(rim: Rim, k: int, corner: int, spot: LineString) -> Iterator[Fault]:
    """Find the cut beside the bisector and hold its angle against half the corner's."""
    ground = rim.ground
    (x0, y0), (x1, y1) = spot.coords
    way = math.degrees(math.atan2(y1 - y0, x1 - x0))
    rings = shapely.get_coordinates(ground.shapes[k].exterior)
    cuts = []
    for p, q in pairwise(rings):
        middle = Point((p + q) / 2)
        if math.dist(p, q) >= LEAST_CUT and spot.distance(middle) <= ground.gaps["butt"] + TOLERANCE:
            cuts.append((angle_between(math.degrees(math.atan2(*(q - p)[::-1])), way), middle.distance(spot)))
    half = math.degrees(rim.half_angle(corner))
    if not cuts:
        yield Fault(
            2, (ground.laid[k]["id"],), f"is not mitred at corner {rim.edges[corner]}, half of it {half:.1f}", (x0, y0)
        )
        return
    out, off = min(cuts)
    if out > MITRE:
        yield Fault(2, (ground.laid[k]["id"],), f"mitre is {out:.2f} degrees off the bisector, {half:.2f}", (x0, y0))
    elif abs(off - ground.gaps["butt"] / 2) > TOLERANCE + NOISE:
        yield Fault(2, (ground.laid[k]["id"],), f"mitre lies {off:.2f} mm off the bisector", (x0, y0))


def _further_rings(reading: Reading, rim: Rim, lines: dict[tuple[int, int], list[int]], corner: int) -> Iterator[Fault]:
    """A ring that the neighbour lacks runs on to the neighbour's inner side."""
    ground, before, after = rim.ground, (corner - 1) % len(rim.ring), corner
    deeper, other = (before, after) if rim.depth[before] > rim.depth[after] else (after, before)
    least, most = sorted((ground.gaps["butt"], ground.gaps["course"]))
    for ring in range(rim.depth[other] + 1, rim.depth[deeper] + 1):
        _, far = rim.strip(deeper, ring)
        inner = rim.strip(other, rim.depth[other])[1]
        # Where the ring's middle line comes to the neighbour's inner side.
        across = np.array([rim.inward[deeper], rim.inward[other]])
        meet = rim.ring[corner] + np.linalg.solve(across, np.array([far - ground.site["boards"]["width"] / 2, inner]))
        spot = LineString([meet - rim.along[other], meet + rim.along[other]])
        if not _is_free(rim, spot, corner, far) or any(
            reading.excused("border|nosing|edge", str(rim.edges[edge])) for edge in (before, after)
        ):
            continue
        one, two = _nearest(ground, lines[deeper, ring], spot), _nearest(ground, lines[other, rim.depth[other]], spot)
        if one is None or two is None:
            yield Fault(
                1,
                (f"edge {rim.edges[deeper]}",),
                f"its ring {ring} does not run on at corner {rim.edges[corner]}",
                tuple(meet),
            )
            continue
        gap = ground.shapes[one].distance(ground.shapes[two])
        if not least - TOLERANCE - NOISE <= gap <= most + TOLERANCE + NOISE:
            ids = (ground.laid[one]["id"], ground.laid[two]["id"])
            yield Fault(2, ids, f"the further ring ends {gap:.2f} mm off its neighbour", tuple(meet))


def dividers_lie_on_their_seams(reading: Reading) -> Iterator[Fault]:
    """Rule 1: a divider is one board wide, centred on a line where zones meet."""
    rings = [Polygon(zone["outline"]).exterior for zone in reading.ground.site.get("zones", ())]
    seams = shapely.union_all(rings)
    for strip in reading.strips:
        if placed(strip.pieces[0])[0][0] != "S":
            continue
        low, high = min(s.bounds[1] for s in strip.shapes), max(s.bounds[3] for s in strip.shapes)
        for piece, shape in zip(strip.pieces, strip.shapes, strict=True):
            middle = Point((shape.bounds[0] + shape.bounds[2]) / 2, (low + high) / 2)
            off = seams.distance(Point(strip.place(middle))) if rings else math.inf
            if off > TOLERANCE + 0.1:
                yield Fault(1, (piece["id"],), f"its middle lies {off:.1f} mm off the seam", strip.place(shape))

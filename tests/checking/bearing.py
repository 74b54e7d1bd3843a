"""Rules 4, 5 and 9: what the boards rest on, and that a frame which stands already stays as it is."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Point, Polygon, STRtree

from .facing import SAMPLES, Facing
from .model import (
    NOISE,
    RINGS,
    SAME_WAY,
    TOLERANCE,
    Fault,
    Reading,
    Record,
    Zone,
    angle_between,
    footprint,
    parts,
    place_in_order,
    turned,
)

LEAST_BEARING = 20.0
"""Bearing of each board end at a joint [mm]; the plan's contract."""
LEAST_SEAT = 200.0
"""Shared area [mm2] from which a member counts as a support: half the least bearing on 20 mm of width."""
END_LINES = 20
"""Lines along the board at which the bearing of a board end is measured."""
FULL_WIDTH = 40.0
"""Width [mm] under which a tip or neck of a piece need not bear on its own: the contract's narrowest bare spot."""
OVERHANG = 60.0
"""How far a piece may run past its last support [mm]: some three board thicknesses; common practice, no source."""
RISING = ("post", "downpipe", "tree", "other")
"""Obstacles that rise through the deck; a gully or a cover lies under the boards or flush with them."""
PACKING = 15.0
"""Two members no further apart than this [mm], face to face, are one support line: a doubled joist, packed or not."""
LENGTHWISE = 15.0
"""Angle [degrees] to the boards under which a member lies along them, carries them, and bounds no bay."""


def joints_bear(zone: Zone, joints: list[Record], ends: list[Facing], reading: Reading) -> Iterator[Fault]:
    """Rule 4: each butt joint is listed and has a member of its own under each end."""
    rows = {frozenset(j["pieces"]): j for j in joints}
    faces: dict[tuple[str, str], list[Facing]] = defaultdict(list)
    for facing in ends:
        faces[zone.pieces[facing.first]["id"], zone.pieces[facing.second]["id"]].append(facing)
    for ids, face in faces.items():
        row, middle = rows.get(frozenset(ids)), face[len(face) // 2]
        place = zone.place(middle.middle)
        if row is None:
            yield Fault(4, ids, "meet end to end, and `joints` has no such joint", place)
            continue
        if reading.existing_frame and set(ids) & reading.named_in_checks:
            continue
        if len(set(row["joists"])) < 2:
            yield Fault(4, ids, f"one member, {row['joists'][0]}, for both ends", place)
        if abs(row["gap"] - middle.gap) > TOLERANCE:
            yield Fault(4, ids, f"joint says {row['gap']} mm, gap is {middle.gap:.2f} mm", place)
        under = dict(zip(row["pieces"], row["joists"], strict=True))
        for piece, inwards in ((ids[0], -1.0), (ids[1], 1.0)):
            member = next((i for i, m in enumerate(zone.members) if m["id"] == under[piece]), None)
            bearing = 0.0 if member is None else _end_bearing(zone, piece, member, face, inwards)
            if bearing < LEAST_BEARING - NOISE:
                yield Fault(4, (piece, under[piece]), f"end bears {bearing:.1f} mm on its member", place)
        yield from _tongues_bear(zone, ids, face)
    for pair in rows.keys() - {frozenset(ids) for ids in faces}:
        yield Fault(4, tuple(sorted(pair)), "a joint is listed where no two ends meet", tuple(rows[pair]["at"]))


def _tongues_bear(zone: Zone, ids: tuple[str, str], face: list[Facing]) -> Iterator[Fault]:
    """Rule 4, where a cut through a hole leaves two tongues to each piece: each bears on some member."""
    if len(face) == len(SAMPLES):
        return
    first, second = (zone.shapes[zone.number[i]] for i in ids)
    reach = zone.ground.gaps["butt"] + 2 * TOLERANCE
    low_x, high_x = min(f.start[0] for f in face) - TOLERANCE, max(f.end[0] for f in face) + TOLERANCE
    both = first.buffer(reach).intersection(second.buffer(reach))
    if both.is_empty:
        return
    low_y, high_y = both.bounds[1] + reach, both.bounds[3] - reach
    window = shapely.box(low_x, low_y, high_x, high_y) - first - second - turned(zone.ground.obstacles, -zone.direction)
    tongues = [part.bounds for part in parts(window) if _is_between(part, first, second)]
    if len(tongues) < 2:
        return
    for piece, shape, side in ((ids[0], first, 0), (ids[1], second, 2)):
        on = [zone.footprints[m] for m in range(len(zone.members)) if zone.carries(m, zone.number[piece])]
        for bounds in tongues:
            x, y0, y1 = bounds[side], bounds[1], bounds[3]
            if y1 - y0 < FULL_WIDTH:
                continue
            end = shapely.box(*((x - LEAST_BEARING, y0, x, y1) if side == 0 else (x, y0, x + LEAST_BEARING, y1)))
            seat = shapely.union_all(shapely.intersection(np.array(on, dtype=object), end.intersection(shape)))
            if seat.area < LEAST_BEARING * min(LEAST_BEARING, (y1 - y0) / 2) - TOLERANCE:
                place = zone.place(end)
                yield Fault(4, (piece,), f"the tongue beside the hole bears on {seat.area:.0f} mm2", place)


def _is_between(part: Any, first: Any, second: Any) -> bool:
    return bool(part.distance(first) < TOLERANCE and part.distance(second) < TOLERANCE)


def hole_can_be_got_round(reading: Reading) -> Iterator[Fault]:
    """Rule 4: a piece has no hole over what rises through the deck; it could not be dropped over a post."""
    site = reading.ground.site
    rising = [o for o in site["obstacles"] if o.get("treatment", "cut") == "cut" and o.get("kind") in RISING]
    posts = [(o["name"], footprint(o)) for o in rising]
    for ground in reading.grounds:
        for piece, shape in zip(ground.laid, ground.shapes, strict=True):
            for ring in shape.interiors:
                hole = Polygon(ring)
                for name, post in posts:
                    if hole.contains(post.representative_point()):
                        at = post.representative_point()
                        yield Fault(4, (piece["id"],), f"could not be got over {name}", (at.x, at.y))


def neighbours_are_staggered(reading: Reading) -> Iterator[Fault]:
    """Rule 4, where zones, borders and fields lie side by side: no joints in line between them either."""
    breadth = reading.ground.site["frame"]["section"][0]
    gaps, width = reading.ground.gaps, reading.ground.site["boards"]["width"]
    home = {p["id"]: n for n, lay in enumerate([*reading.zones, *reading.strips]) for p in lay.pieces}
    joints = [j for j in reading.plan["joints"] if j["pieces"][0] in home]
    if len(joints) < 2:
        return
    points = shapely.points([j["at"] for j in joints])
    reach = width + gaps["course"] + TOLERANCE
    pairs = STRtree(points).query(points, predicate="dwithin", distance=math.hypot(reach, breadth)).T
    for i, k in pairs[pairs[:, 0] < pairs[:, 1]]:
        one, two = joints[i], joints[k]
        if home[one["pieces"][0]] == home[two["pieces"][0]]:
            continue
        ways = [reading.pieces[j["pieces"][0]].get("direction") for j in (one, two)]
        if None in ways or angle_between(*ways) > SAME_WAY:
            continue
        step = turned(shapely.points(np.subtract(two["at"], one["at"])), -ways[0])
        if abs(step.x) <= breadth and abs(step.y) <= reach:
            yield Fault(4, (*one["pieces"], *two["pieces"]), "joints of neighbours in line", tuple(one["at"]))


def _end_bearing(zone: Zone, piece: str, member: int, face: list[Facing], inwards: float) -> float:
    """Bearing [mm] that a board end has over at least 20 mm of its width, or half of a narrower one.

    A joist may stop short of the board's edge, where it butts on the ledger or rim that carries the rest.
    """
    ends = [f.start if inwards < 0 else f.end for f in face]
    (x0, y0), (x1, y1) = min(ends, key=lambda xy: xy[1]), max(ends, key=lambda xy: xy[1])
    shares = (np.arange(END_LINES) + 0.5) / END_LINES
    starts = np.column_stack([x0 + (x1 - x0) * shares, y0 + (y1 - y0) * shares])
    lines = shapely.linestrings(np.stack([starts, starts + np.array([inwards * 300.0, 0.0])], axis=1))
    seats = shapely.intersection(shapely.intersection(lines, zone.shapes[zone.number[piece]]), zone.footprints[member])
    # An end that runs past its member by more than the gap does not bear on it at all.
    at_end = shapely.distance(seats, shapely.points(starts)) <= zone.ground.gaps["butt"]
    bearings = np.sort(np.where(at_end, shapely.length(seats), 0.0))[::-1]
    needed = min(0.5, LEAST_BEARING / max(y1 - y0, NOISE))
    return float(bearings[math.ceil(needed * END_LINES) - 1])


def joints_are_staggered(zone: Zone, joints: list[Record]) -> Iterator[Fault]:
    """Rule 4: no joints on one joist line in neighbouring courses; at a seam all rings of a border end in line."""
    breadth = zone.ground.site["frame"]["section"][0]
    by_course: dict[int, list[tuple[float, Record]]] = defaultdict(list)
    for joint in joints:
        if len({piece.split("-")[0] for piece in joint["pieces"]}) > 1:
            continue
        along = turned(Point(joint["at"]), -zone.direction).x
        by_course[place_in_order(joint["course"])].append((along, joint))
    for course, here in by_course.items():
        for along, joint in here:
            for other_along, other in by_course.get(course + 1, ()):
                if _of_a_hatch(zone, joint) and _of_a_hatch(zone, other):
                    continue
                if abs(along - other_along) <= breadth:
                    ids = (*joint["pieces"], *other["pieces"])
                    yield Fault(
                        4, ids, f"joints of courses {joint['course']} and {other['course']} in line", tuple(joint["at"])
                    )


def _of_a_hatch(zone: Zone, joint: Record) -> bool:
    """Whether a joint is the end of a lift-out panel, whose boards all end on one line."""
    return any(i in zone.number and zone.pieces[zone.number[i]]["kind"] == "hatch" for i in joint["pieces"])


def pieces_are_carried(zone: Zone, reading: Reading) -> Iterator[Fault]:
    """Rule 5: supports no further apart than `max_centres`, short overhangs, and bays enough or a word in `checks`.

    'A piece that cannot is listed in checks with its place': beside a slanted obstacle a corner may find no support.
    """
    if not zone.pieces:
        return
    frame, pattern = zone.ground.site["frame"], zone.ground.site["pattern"]
    under = _members_under(zone)
    for i, piece in enumerate(zone.pieces):
        if reading.existing_frame and piece["id"] in reading.named_in_checks:
            continue
        body = _body(zone.shapes[i], piece["width"])
        seats = {m: seat for m in under[i] if (seat := _seat(zone, m, zone.shapes[i])) is not None}
        for message in _badly_carried(body, list(seats.values()), frame["max_centres"]):
            if piece["id"] in reading.named_unsupported:
                continue
            yield Fault(5, (piece["id"],), message, zone.place(body))
        if piece["kind"] in RINGS and piece["id"] not in reading.named_unsupported:
            yield from _both_halves_are_carried(zone, i, body, list(seats), frame["max_centres"])
        if piece["kind"] == "hatch" or _lies_on_timber(zone, body, seats):
            continue
        lines = [(first + last) / 2 for m, (first, last, _, _) in seats.items() if not _lies_along(zone, m)]
        bays = _count_lines(lines, frame["section"][0]) - 1
        if bays < pattern["min_piece_bays"] and piece["id"] not in reading.named_in_checks:
            message = f"bears on {bays} bays, not {pattern['min_piece_bays']}, and `checks` does not name it"
            yield Fault(5, (piece["id"],), message, zone.place(zone.shapes[i]))


def _both_halves_are_carried(zone: Zone, i: int, body: Any, under: list[int], max_centres: float) -> Iterator[Fault]:
    """Rule 5, for a board that lies along its rim: it must not tip, so that each half of its width is carried."""
    low_x, low_y, high_x, high_y = body.bounds
    if high_y - low_y < FULL_WIDTH:
        return
    middle = (low_y + high_y) / 2
    for low, high, name in ((low_y, middle, "one half"), (middle, high_y, "the other half")):
        half = body.intersection(shapely.box(low_x, low, high_x, high))
        for part in parts(half):
            # Part by part: a notch may take a half away for a stretch, and nothing is to be carried there.
            seats = [seat for m in under if (seat := _seat(zone, m, part)) is not None]
            for message in _badly_carried(part, seats, max_centres):
                yield Fault(5, (zone.pieces[i]["id"],), f"{name} of its width: {message}", zone.place(part))


def _lies_on_timber(zone: Zone, body: Any, seats: dict[int, Any]) -> bool:
    """Whether members that run along a piece carry it for its whole length: bays are then nothing to count."""
    reached = body.bounds[0]
    for _, _, first, last in sorted((s for m, s in seats.items() if _lies_along(zone, m)), key=lambda s: s[2]):
        if first > reached + OVERHANG:
            return False
        reached = max(reached, last)
    return bool(reached >= body.bounds[2] - OVERHANG)


def _members_under(zone: Zone) -> list[list[int]]:
    under: list[list[int]] = [[] for _ in zone.pieces]
    if zone.members:
        for i, m in STRtree(zone.footprints).query(zone.shapes, predicate="intersects").T:
            if zone.carries(int(m), int(i)):
                under[i].append(int(m))
    return under


def _body(shape: Any, width: float) -> Any:
    """Find what of a piece must be carried: where it is at least 40 mm wide (thin ones: nearly their own width).

    A pointed tip is left out by letting a disc roll round inside the piece.
    """
    low_x, low_y, high_x, high_y = shape.bounds
    if shape.area > 0.9999 * (high_x - low_x) * (high_y - low_y):
        return shape
    radius = min(FULL_WIDTH, 0.9 * width) / 2
    rolled = shape.buffer(-radius).buffer(radius)
    return shape if rolled.is_empty else rolled


def _seat(zone: Zone, m: int, piece: Any) -> tuple[float, float, float, float] | None:
    """Where a member carries a piece, along the board: its centre line from and to, its footprint from and to."""
    on = zone.footprints[m].intersection(piece)
    if on.area < LEAST_SEAT:
        return None
    centre = zone.centre_lines[m]
    if centre.bounds[2] - centre.bounds[0] > TOLERANCE:
        centre = centre.intersection(on.buffer(zone.members[m]["section"][0]))
    return (centre.bounds[0], centre.bounds[2], on.bounds[0], on.bounds[2])


def _badly_carried(body: Any, seats: list[tuple[float, float, float, float]], max_centres: float) -> Iterator[str]:
    start, end = body.bounds[0], body.bounds[2]
    if not seats:
        yield f"{end - start:.0f} mm of it rests on nothing"
        return
    overhangs = (min(s[2] for s in seats) - start, end - max(s[3] for s in seats))
    if max(overhangs) > OVERHANG + TOLERANCE:
        yield f"runs {max(overhangs):.0f} mm past its last support"
    reached = -math.inf
    for first, last, _, _ in sorted(seats):
        if reached > -math.inf and first - reached > max_centres + TOLERANCE:
            yield f"supports are {first - reached:.1f} mm apart, more than {max_centres}"
        reached = max(reached, last)


def _lies_along(zone: Zone, m: int) -> bool:
    (x0, y0), (x1, y1) = zone.centre_lines[m].coords
    return math.degrees(math.atan2(abs(y1 - y0), abs(x1 - x0))) < LENGTHWISE


def _count_lines(lines: list[float], breadth: float) -> int:
    """Count support lines; a doubled joist is one."""
    count, reached = 0, -math.inf
    for line in sorted(lines):
        if line - reached > breadth + PACKING:
            count += 1
        reached = line
    return count


def existing_frame_stays(reading: Reading) -> Iterator[Fault]:
    """Rule 9: joists as measured, each where it was, and none that was not there but beside a doubled one."""
    frame = reading.ground.site["frame"]
    if frame["state"] != "existing":
        return
    given = [LineString(line) for line in frame["joists"]]
    breadth = frame["section"][0]
    doubled = [given[i].buffer(breadth * 1.5 + PACKING) for i in frame["doubled"]]
    joists = [m for m in reading.plan["members"] if m["role"] in ("joist", "double")]
    lines = [LineString([m["from"][:2], m["to"][:2]]) for m in joists]
    for i, line in enumerate(given):
        # A doubled one is given by the middle of the pair, so its two members stand half a breadth to either side.
        reach = breadth / 2 + TOLERANCE if i in frame["doubled"] else TOLERANCE
        if not any(line.hausdorff_distance(other) <= reach for other in lines):
            yield Fault(9, (f"joist {i}",), "a joist that stands is not in the plan", line.coords[0])
    for member, line in zip(joists, lines, strict=True):
        as_measured = any(line.hausdorff_distance(other) <= TOLERANCE for other in given)
        if not as_measured and not any(strip.covers(line) for strip in doubled):
            yield Fault(9, (member["id"],), "a joist that does not stand there", line.coords[0])

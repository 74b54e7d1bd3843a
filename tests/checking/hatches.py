"""Hatches: lift-out panels over what must be got at, on battens of their own in a trimmed frame."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np
import shapely
from shapely import LineString

from .laying import BARE_DISC
from .model import NOISE, TOLERANCE, Fault, Ground, Reading, Record, footprint, is_batten, parts, placed

LEAST_CLASH = 100.0
"""Shared area [mm2] from which two parts stand in one place."""


def hatches_cover(reading: Reading) -> Iterator[Fault]:
    """Rules 1, 3 and 5: over each hatch obstacle lies a panel, no other board, and under it no timber of the frame."""
    lids = [o for o in reading.ground.site["obstacles"] if o.get("treatment") == "hatch"]
    timbers = [
        (m, LineString([m["from"][:2], m["to"][:2]]).buffer(m["section"][0] / 2, cap_style="flat"))
        for m in reading.plan["members"]
        if m["role"] not in ("post", "footing") and not is_batten(m)
    ]
    for ground in reading.grounds:
        for lid in lids:
            shape = footprint(lid).intersection(ground.boardable)
            if shape.is_empty or reading.excused("hatch", lid["name"]):
                continue
            over = [(p, s) for p, s in zip(ground.laid, ground.shapes, strict=True) if s.intersects(shape)]
            at = shape.representative_point()
            for piece, laid in over:
                if piece["kind"] != "hatch" and laid.intersection(shape).area > LEAST_CLASH:
                    yield Fault(1, (piece["id"],), f"lies over {lid['name']}, which wants a hatch", (at.x, at.y))
            panel = shapely.union_all([s for p, s in over if p["kind"] == "hatch"])
            left = shape - panel.buffer(max(ground.gaps["course"], ground.gaps["butt"]))
            for spot in parts(left.buffer(-BARE_DISC / 2 - NOISE)):
                place = spot.representative_point()
                yield Fault(3, (lid["name"],), "is not covered by its hatch", (place.x, place.y))
            for member, timber in timbers:
                if timber.intersection(shape).area > LEAST_CLASH:
                    yield Fault(5, (member["id"],), f"lies across {lid['name']}, which is to be got at", (at.x, at.y))


def battens_belong_to_their_panel(reading: Reading) -> Iterator[Fault]:
    """Rule 5: a panel's battens are under it alone, square, and touch no timber of the frame."""
    breadth = reading.ground.site["frame"]["section"][0]
    battens = [m for m in reading.plan["members"] if is_batten(m)]
    frame = [m for m in reading.plan["members"] if not is_batten(m) and m["role"] not in ("post", "footing")]
    around = [_plan_of(m) for m in frame]
    panels = [shape for ground in reading.grounds for shape in _panels(ground)]
    for batten in battens:
        shape = _plan_of(batten)
        at = (shape.centroid.x, shape.centroid.y)
        if batten["role"] != "nogging" or tuple(batten["section"]) != (breadth, breadth):
            yield Fault(5, (batten["id"],), f"a batten of {batten['section']}, role {batten['role']}", at)
        if not any(panel.buffer(TOLERANCE).covers(shape) for panel in panels):
            yield Fault(5, (batten["id"],), "reaches out from under its panel", at)
        for member, other in zip(frame, around, strict=True):
            if shape.intersection(other).area > LEAST_CLASH:
                yield Fault(5, (batten["id"], member["id"]), "stand in one place: the panel is caught", at)


def _panels(ground: Ground) -> list[object]:
    """Ground under each panel, the gaps between its boards included."""
    by_panel: dict[tuple[str, str], list[object]] = defaultdict(list)
    for piece, shape in zip(ground.laid, ground.shapes, strict=True):
        if piece["kind"] == "hatch":
            by_panel[piece["zone"], placed(piece)[0]].append(shape)
    gap = ground.gaps["course"] / 2 + TOLERANCE
    closed = []
    for shapes in by_panel.values():
        grown = shapely.union_all(shapely.buffer(np.array(shapes, dtype=object), gap, join_style="mitre"))
        closed.append(grown.buffer(-gap, join_style="mitre"))
    return closed


def _plan_of(member: Record) -> object:
    line = LineString([member["from"][:2], member["to"][:2]])
    return line.buffer(member["section"][0] / 2, cap_style="flat")

"""Proves a plan file by itself: everything under 'What always holds' in the plan's contract, worked out anew.

Shares nothing with the engine; needs shapely alone. Run as `python tests/checker.py plan.json`.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from checking.bearing import (
    existing_frame_stays,
    hole_can_be_got_round,
    joints_are_staggered,
    joints_bear,
    neighbours_are_staggered,
    pieces_are_carried,
)
from checking.buying import (
    fascias_measure_true,
    members_measure_true,
    pieces_measure_true,
    stock_is_cut_once,
    takeoff_counts,
)
from checking.facing import end_to_end, side_to_side
from checking.fascias import fascias_stand
from checking.hatches import battens_belong_to_their_panel, hatches_cover
from checking.holding import (
    fixings_touch_their_parts,
    hatches_lift_out,
    pieces_are_held,
    screwed_pieces_are_held,
)
from checking.laying import (
    courses_are_bands,
    gaps_hold,
    lies_where_it_may,
    nothing_is_bare,
    overlaps,
    strangers_keep_off,
)
from checking.model import Fault, Ground, Reading, Zone
from checking.reading import read
from checking.rings import corners_meet, dividers_lie_on_their_seams, field_stops_at_the_ring, rings_lie_in_place


def check_plan(plan: dict[str, Any]) -> list[Fault]:
    """Find what is wrong with a plan.

    Parameters
    ----------
    plan : dict
        A plan file, schema 1, as `json.loads` gives it. Lengths in mm.

    Returns
    -------
    list of Fault
        Empty when every rule holds. A file whose parts do not fit together (rule 0) is looked into no further.
    """
    reading = read(plan)
    if reading.faults:
        return reading.faults
    faults = [fault for ground in reading.grounds for fault in _deck(ground, reading)]
    for zone in reading.zones:
        faults += _lay(zone, reading)
        faults += pieces_are_held(zone, reading)
    for strip in reading.strips:
        faults += _lay(strip, reading)
        faults += field_stops_at_the_ring(strip)
    for rule in WHOLE_PLAN:
        faults += rule(reading)
    return faults


WHOLE_PLAN = (
    rings_lie_in_place,
    corners_meet,
    dividers_lie_on_their_seams,
    fascias_stand,
    hatches_cover,
    battens_belong_to_their_panel,
    hole_can_be_got_round,
    neighbours_are_staggered,
    hatches_lift_out,
    fixings_touch_their_parts,
    existing_frame_stays,
    stock_is_cut_once,
    fascias_measure_true,
    members_measure_true,
    takeoff_counts,
)


def _deck(ground: Ground, reading: Reading) -> Iterator[Fault]:
    """What holds for all that is walked on of one deck."""
    yield from lies_where_it_may(ground, ground.laid)
    yield from overlaps(ground.laid)
    yield from strangers_keep_off(ground)
    yield from nothing_is_bare(ground, [z for z in reading.zones if z.ground is ground])


def _lay(lay: Zone, reading: Reading) -> Iterator[Fault]:
    """What holds for the pieces of a zone's field, and as much for the rings along one line."""
    joints = [j for j in reading.plan["joints"] if j["pieces"][0] in lay.number]
    ends, sides = end_to_end(lay), side_to_side(lay)
    yield from gaps_hold(lay, ends, sides)
    yield from courses_are_bands(lay)
    yield from joints_bear(lay, joints, ends, reading)
    yield from joints_are_staggered(lay, joints)
    yield from pieces_are_carried(lay, reading)
    yield from pieces_measure_true(lay)
    yield from screwed_pieces_are_held(lay, reading)


def main(arguments: list[str]) -> int:
    """Print the faults of each plan file; exit status 1 if there is any."""
    found = 0
    for name in arguments:
        faults = check_plan(json.loads(Path(name).read_text(encoding="utf-8")))
        found += len(faults)
        for fault in faults:
            print(f"{name}: {fault}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

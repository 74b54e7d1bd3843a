"""Proves a plan file by itself: everything under 'What always holds' in the plan's contract, worked out anew.

Shares nothing with the engine; needs shapely alone. Run as `python tests/checker.py plan.json`.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from checking.bearing import existing_frame_stays, joints_are_staggered, joints_bear, pieces_are_carried
from checking.buying import members_measure_true, pieces_measure_true, stock_is_cut_once, takeoff_counts
from checking.facing import end_to_end, side_to_side
from checking.holding import fixings_touch_their_parts, pieces_are_held
from checking.laying import courses_are_bands, gaps_hold, lies_where_it_may, nothing_is_bare, overlaps
from checking.model import Fault, read


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
    flat = [p for p in plan["pieces"] if p["kind"] != "fascia"]
    faults = [*lies_where_it_may(reading.ground, flat), *overlaps(flat), *nothing_is_bare(reading)]
    for zone in reading.zones:
        joints = [j for j in plan["joints"] if j["zone"] == zone.record["id"]]
        ends, sides = end_to_end(zone), side_to_side(zone)
        faults += gaps_hold(zone, ends, sides)
        faults += courses_are_bands(zone)
        faults += joints_bear(zone, joints, ends, reading)
        faults += joints_are_staggered(zone, joints)
        faults += pieces_are_carried(zone, reading)
        faults += pieces_measure_true(zone)
        faults += pieces_are_held(zone, reading)
    faults += fixings_touch_their_parts(reading)
    faults += existing_frame_stays(reading)
    faults += stock_is_cut_once(reading)
    faults += members_measure_true(reading)
    faults += takeoff_counts(reading)
    return faults


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

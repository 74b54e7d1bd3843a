"""The check that no two neighbouring courses are butted in line, held against zones made wrong (common practice)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from courseline.engine.checks.run import run_checks
from courseline.engine.laid import LaidZone
from courseline.engine.lay import lay_decks
from courseline.engine.plan import Check
from rectangles import rectangle_site

LENGTH, SEAM = 9500, 722.5


def laid(depth: float, **tables: Any) -> list[LaidZone]:
    return list(lay_decks(rectangle_site(LENGTH, depth, **tables)))


def stagger(zones: list[LaidZone]) -> Check:
    return next(check for check in run_checks(zones) if check.id == "stagger")


def moved(zone: LaidZone, course: int, at: float) -> LaidZone:
    """A zone with the first joint of a course moved, off the pattern's lines."""
    butts = list(zone.butts)
    i = next(i for i, butt in enumerate(butts) if butt.course == course)
    butts[i] = replace(butts[i], at=at, line=None)
    return replace(zone, butts=tuple(butts))


@pytest.mark.parametrize(("off", "ok"), [(0.0, False), (40.0, False), (60.0, True)])
def test_joints_on_one_joist_are_in_line(off: float, ok: bool) -> None:
    # A joist is 47 mm wide.
    (zone,) = laid(1445)
    at = next(butt.at for butt in zone.butts if butt.course == 4)
    check = stagger([moved(zone, 5, at + off)])
    assert check.ok is ok
    assert ok or "A-04 and A-05" in check.message


def test_joints_in_line_across_a_seam_are_told_with_both_zones() -> None:
    upper = [[0, SEAM], [LENGTH, SEAM], [LENGTH, 2 * SEAM], [0, 2 * SEAM]]
    below, above = laid(2 * SEAM, zones=[{"name": "upper", "outline": upper, "start_edge": 0}])
    assert stagger([below, above]).ok
    last = max(butt.course for butt in below.butts)
    at = next(butt.at for butt in below.butts if butt.course == last)
    check = stagger([below, moved(above, 1, at)])
    assert not check.ok
    assert f"B-01 and A-{last:02d}" in check.message


def test_ends_of_one_panel_are_in_line_and_are_not_told() -> None:
    lid = {"name": "drain", "kind": "cover", "centre": [2500, 700], "size": [600, 400], "treatment": "hatch"}
    (zone,) = laid(1445, obstacles=[lid])
    assert zone.hatches
    assert stagger([zone]).ok


def test_joint_of_the_next_course_in_line_with_a_panels_end_is_told() -> None:
    lid = {"name": "drain", "kind": "cover", "centre": [2500, 700], "size": [600, 400], "treatment": "hatch"}
    (zone,) = laid(1445, obstacles=[lid])
    hatch = zone.hatches[0]
    beside = max(run.course for run in hatch.runs) + 1
    assert not stagger([moved(zone, beside, hatch.start)]).ok

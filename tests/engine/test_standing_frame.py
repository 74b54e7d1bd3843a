"""Boards on a frame that stands already: nothing is moved, and what it cannot carry is said."""

from __future__ import annotations

import json
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import SiteError, design, plan_json
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_table

# Joists as measured on a site: about 390 mm apart, none quite, and the fourth 12 mm out of parallel.
AT = [24, 410, 798, 1180, 1578, 1970, 2362, 2755, 3140, 3528, 3920, 4310, 4700, 5088, 5480, 5866, 6258, 6650, 7040]
AT += [7430, 7820, 8210, 8600, 8976]
JOISTS = [[[x, 0], [x + (12 if x == 1180 else 0), 3000]] for x in AT]


def laid(doubled: list[int], joists: list[Any] = JOISTS, **frame: Any) -> Plan:
    deck = {"outline": [[0, 0], [9000, 0], [9000, 3000], [0, 3000]], "house_edges": [0]}
    table = {"state": "existing", "joists": joists, "doubled": doubled, **frame}
    return design(site_from_table({"schema": 1, "name": "old frame", "deck": deck, "frame": table}))


def test_no_joist_is_moved_and_none_is_added() -> None:
    plan = laid(doubled=[8, 10, 16, 18])
    single = {m.id: (m.start[:2], m.end[:2]) for m in plan.members if m.role == "joist"}
    assert len(single) == len(JOISTS) - 4
    for name, ends in single.items():
        measured = JOISTS[int(name.split("-")[1])]
        for end, given in zip(sorted(ends, key=lambda end: end[1]), measured, strict=True):
            assert end == pytest.approx(given, abs=1e-3)
    assert all(item.product != "timber-47x147" for item in plan.stock)


@pytest.mark.slow
def test_joints_lie_only_where_joists_are_doubled() -> None:
    plan = laid(doubled=[8, 10, 16, 18])
    assert plan.joints
    doubles = {f"double-{n}{side}" for n in (8, 10, 16, 18) for side in "ab"}
    assert {member for joint in plan.joints for member in joint.joists} <= doubles
    assert not [check for check in plan.checks if check.id.startswith("double ")]
    assert check_plan(json.loads(plan_json(plan))) == []


def test_joists_to_double_are_named_with_their_joints_and_places() -> None:
    plan = laid(doubled=[])
    to_double = [check for check in plan.checks if check.id.startswith("double ")]
    assert to_double
    for check in to_double:
        assert not check.ok
        assert check.message.startswith(f"{check.id}: boards meet on it (A-")
    assert {check.id.removeprefix("double ") for check in to_double} == {j.joists[0] for j in plan.joints}


def test_bay_wider_than_allowed_is_reported_with_what_to_add() -> None:
    # Without joist 5 the boards span 2362 - 1578 = 784 mm.
    plan = laid(doubled=[], joists=JOISTS[:5] + JOISTS[6:])
    wide = [check for check in plan.checks if check.id.startswith("support ")]
    assert wide
    assert {check.value for check in wide} == {784}
    assert all("add a nogging or a joist" in check.message for check in wide)


@pytest.mark.parametrize(
    ("frame", "fault"),
    [
        ({"joists": []}, "frame.joists: missing"),
        ({"doubled": [24]}, r"frame.doubled\[0\]: 24; frame.joists has numbers 0 to 23"),
        ({"joists": [[[0, 100], [9000, 100]]]}, r"frame.joists\[0\]: runs along the boards"),
        ({"joists": [[[5, 5], [5, 5]]]}, r"frame.joists\[0\]: both ends at"),
    ],
)
def test_frame_that_cannot_be_read_is_refused(frame: dict[str, Any], fault: str) -> None:
    with pytest.raises(SiteError, match=fault):
        laid(**{"doubled": [], **frame})

"""Lengths as people write them. The inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
from courseline.engine import design
from courseline.engine.site import site_from_table
from courseline.engine.units import length_in_mm

INCH = 25.4


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("2.4 m", 2400.0),
        ("2.4m", 2400.0),
        ("240 cm", 2400.0),
        ("2400 mm", 2400.0),
        ("1 in", INCH),
        ("1 ft", 12 * INCH),
        ("12 ft 6 in", 150 * INCH),
        ("5 1/2 in", 5.5 * INCH),
        ("1/2 in", 0.5 * INCH),
        ("12 ft 6 1/2 in", 150.5 * INCH),
        ("2 m 40 cm", 2400.0),
        ("-300 mm", -300.0),
        ("+300 mm", 300.0),
    ],
)
def test_text_is_read_with_its_own_unit(written: str, mm: float) -> None:
    assert length_in_mm(written, "m") == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(("unit", "mm"), [("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", INCH), ("ft", 12 * INCH)])
def test_bare_number_is_in_the_file_unit(unit: str, mm: float) -> None:
    assert length_in_mm(3, unit) == pytest.approx(3 * mm)


@pytest.mark.parametrize(
    "written",
    [
        "",
        " ",
        "4",
        "m",
        "4 furlongs",
        "four m",
        "1/0 in",
        "1,5 m",
        "5 1 in",
        "--5 mm",
        "+-5 mm",
        "4 m!",
        "4 mmm",
        "1e3 m",
    ],
)
def test_text_that_is_no_length_is_refused(written: str) -> None:
    with pytest.raises(ValueError, match="is not a length"):
        length_in_mm(written)


def deck(outline: list[list[Any]], **rest: Any) -> dict[str, Any]:
    return {"schema": 1, "name": "units", "deck": {"outline": outline, "house_edges": [0]}, **rest}


def geometry(table: dict[str, Any]) -> bytes:
    plan = design(site_from_table(table))
    return msgspec.json.encode((plan.zones, plan.pieces, plan.joints, plan.members, plan.fixings, plan.stock))


def test_same_site_in_metres_and_in_millimetres_gives_the_same_bytes() -> None:
    mm = deck([[0, 0], [6370, 0], [6370, 2345], [1125, 2345], [0, 1230]], boards={"width": 146, "lengths": [3660]})
    m = deck(
        [[0, 0], [6.37, 0], [6.37, 2.345], [1.125, 2.345], [0, 1.23]],
        units="m",
        boards={"width": 0.146, "lengths": [3.66]},
    )
    assert geometry(m) == geometry(mm)


def test_same_site_in_feet_and_in_text_gives_the_same_bytes() -> None:
    feet = deck([[0, 0], [20, 0], [20, 7.5], [0, 7.5]], units="ft", boards={"width": "5 1/2 in"})
    text = deck(
        [[0, 0], ["20 ft", 0], ["20 ft", "7 ft 6 in"], [0, "2286 mm"]], boards={"width": 5.5 * INCH}
    )  # 7.5 x 304.8 = 2286
    assert geometry(feet) == geometry(text)


def test_units_do_not_touch_what_is_no_length() -> None:
    site = site_from_table(
        deck([[0, 0], [4, 0], [4, 1.5], [0, 1.5]], units="m", frame={"imposed_load": 2.0}, boards={"expansion": 4e-5})
    )
    assert (site.frame.imposed_load, site.boards.expansion) == (2.0, 4e-5)


def test_defaults_are_millimetres_in_a_file_in_metres() -> None:
    site = site_from_table(deck([[0, 0], [4, 0], [4, 1.5], [0, 1.5]], units="m", boards={"product": "broad-146"}))
    assert (site.boards.width, site.gaps.course, site.units) == (146.0, 5.0, "mm")

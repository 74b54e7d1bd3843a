"""Colours as a file may write them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from coloraide import Color
from courseline.engine.colours import ral_numbers, screen_colour
from courseline.engine.errors import SiteError
from rectangles import rectangle_site

ROWS = json.loads((Path(__file__).parents[1] / "reference" / "ral_greys_and_browns.json").read_text("utf-8"))
SCREEN = [row for row in ROWS if row["id"].endswith("-sRGB")]
MEASURED = [row for row in ROWS if row["id"].endswith("-LabD50")]


def names(rows):
    return [row["inputs"]["ral"] for row in rows]


@pytest.mark.parametrize("row", SCREEN, ids=names(SCREEN))
def test_a_ral_number_has_its_published_colour_on_screen(row) -> None:
    assert row["status"].startswith("read")
    found = screen_colour(row["inputs"]["ral"])
    assert [int(found[i : i + 2], 16) for i in (1, 3, 5)] == row["value"]


@pytest.mark.parametrize("row", MEASURED, ids=names(MEASURED))
def test_a_ral_number_is_near_its_published_measurement(row) -> None:
    """Lab under D50, from another source than the table; two prints of one colour differ by less than 1."""
    on_screen = Color(screen_colour(row["inputs"]["ral"]))
    assert on_screen.delta_e(Color("lab", row["value"]), method="2000") < 1.0


def test_the_table_holds_the_whole_of_ral_classic_in_its_order() -> None:
    assert len(ral_numbers()) == 213  # as many as its source has
    assert list(ral_numbers()) == sorted(ral_numbers())
    assert all(Color(screen_colour(f"RAL {number}")).in_gamut() for number in ral_numbers())


@pytest.mark.parametrize("written", ["RAL 7016", "RAL7016", "ral 7016"])
def test_a_site_may_name_its_colours_by_ral(written: str) -> None:
    house = {
        "walls": [[0, 0], [0, -4000], [6000, -4000], [6000, 0]],
        "mortar_colour": "RAL 7032",
        "openings": [{"wall": 0, "offset": 900, "width": 1800, "height": 2100, "frame_colour": written}],
    }
    site = rectangle_site(6000, 3000, boards={"colour": written}, house=house)
    assert (site.boards.colour, site.house.mortar_colour, site.house.openings[0].frame_colour) == (
        "#383e42", "#b5b0a1", "#383e42",
    )  # fmt: skip


def test_an_unknown_ral_number_is_refused_with_near_ones() -> None:
    with pytest.raises(SiteError, match=r"boards\.colour: 'RAL 7061'.*RAL 7016 \(anthracite grey\)"):
        rectangle_site(6000, 3000, boards={"colour": "RAL 7061"})


@pytest.mark.parametrize("written", ["RAL 70166", "anthracite", "#12345", "7016"])
def test_what_is_no_colour_is_refused_with_what_would_be(written: str) -> None:
    with pytest.raises(SiteError, match="like '#7a6a5c' or 'RAL 7016'"):
        rectangle_site(6000, 3000, boards={"colour": written})


@pytest.mark.parametrize("weathered", [-0.1, 1.5])
def test_weathering_runs_from_new_to_two_summers(weathered: float) -> None:
    assert rectangle_site(6000, 3000, look={"weathered": 0.4}).look.weathered == 0.4
    with pytest.raises(SiteError, match=r"look\.weathered"):
        rectangle_site(6000, 3000, look={"weathered": weathered})

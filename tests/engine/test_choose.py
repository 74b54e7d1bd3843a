"""Choices made on a site: what is not chosen stays, what is chosen is what a site file would say."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from courseline.engine import SiteError, design, propose_zones, read_site
from courseline.engine.catalogue import catalogue_of, shipped
from courseline.engine.choose import Choices, board_names, choose, values_of, with_board

SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))
CORNER = next(path for path in SCENES if path.stem == "house_corner")
WALL = next(path for path in SCENES if path.stem == "one_wall")


def edited(path: Path, folder: Path, *changes: tuple[str, str]) -> Path:
    """The site file with lines changed, as an editor would."""
    text = path.read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    file = folder / "edited.toml"
    file.write_text(text, "utf-8")
    return file


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_the_values_of_a_site_chosen_change_nothing(path: Path) -> None:
    site = read_site(path)
    assert choose(site, values_of(site)) == choose(site, Choices()) == site


def test_choices_are_what_the_site_file_would_say(tmp_path: Path) -> None:
    path = edited(
        CORNER,
        tmp_path,
        ('side = "grain"', 'side = "grooved"'),
        ("course = 5\nbutt = 10\nwall = 6", "course = 7\nbutt = 9\nwall = 8"),
        ('courses = 1, corners = "mitre"', 'courses = 2, corners = "butt"'),
        ("max_centres = 350", "max_centres = 300"),
        ('2 = "step"', '2 = "flush"'),
    )
    made = Choices(
        side="grooved",
        course_gap=7.0,
        butt_gap=9.0,
        wall_gap=8.0,
        border=2,
        corners="butt",
        max_centres=300.0,
        finishes=((2, "flush"),),
    )
    assert choose(read_site(CORNER), made) == read_site(path)


def test_boards_that_follow_the_walls_are_zoned_as_the_command_line_zones_them() -> None:
    site = replace(read_site(CORNER), zones=())
    assert choose(site, Choices(follow_walls=True)) == propose_zones(site)


def test_a_choice_that_cannot_be_planned_is_told() -> None:
    with pytest.raises(SiteError, match="butt gap"):
        choose(read_site(WALL), Choices(butt_gap=60.0))


def test_another_board_comes_with_its_price_and_keeps_the_side() -> None:
    site = choose(read_site(WALL), Choices(side="grooved"))
    other = with_board(site, "core-138")
    assert (other.boards.width, other.prices.board, other.boards.side) == (138.0, 46.0, "grooved")
    assert with_board(other, site.boards.product).prices.board == site.prices.board
    assert design(other).takeoff != design(site).takeoff


def test_a_board_of_the_users_own_table(tmp_path: Path) -> None:
    table = tmp_path / "mine.toml"
    table.write_text(
        "schema = 1\ncurrency = 'EUR'\n[boards.'my board']\nlengths = [3000]\nwidth = 120\nthickness = 20\n"
        "profile = 'solid'\nmass_per_metre = 3\nprice_per_board = 12.5\ncolour = '#334455'\n"
        "colours = { slate = '#334455' }\n",
        "utf-8",
    )
    assert board_names(catalogue_of("mine.toml", tmp_path)) == ("my board", *board_names(shipped()))
    site = with_board(read_site(WALL), "my board", table)
    assert (site.boards.lengths, site.prices.board, site.prices.currency) == ((3000.0,), 12.5, "EUR")
    assert site.boards.colours == {"slate": "#334455"}
    assert "board" not in site.prices.invented
    with pytest.raises(SiteError, match="did you mean 'my board'"):
        with_board(site, "my bord", table)

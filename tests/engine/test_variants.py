"""The choices that a client compares: what each is, and how nonsense is refused."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from courseline.engine import design, read_site
from courseline.engine.errors import SiteError
from courseline.engine.papers.summary import Summary, difference
from courseline.engine.spec import Site
from courseline.engine.variants import Varied, split_pair, variants

SCENES = Path(__file__).parents[2] / "demo_scenes"


@pytest.fixture(scope="module")
def site() -> Site:
    return read_site(SCENES / "one_wall.toml")


@pytest.mark.parametrize(
    ("vary", "keys"),
    [
        ("side", ["grain", "grooved"]),
        ("direction", ["0deg", "45deg", "90deg"]),
        ("colour", ["umber", "ash-grey", "charcoal"]),
        ("pattern", ["half", "third", "scattered", "none"]),
        ("border", ["none", "one", "two"]),
    ],
)
def test_usual_choices_of_each_kind(site: Site, vary: Varied, keys: list[str]) -> None:
    found = variants(site, vary)
    assert [each.key for each in found] == keys
    assert len({each.label for each in found}) == len({repr(each.site) for each in found}) == len(keys)


def test_choices_differ_in_one_thing_alone(site: Site) -> None:
    for each in variants(site, "side"):
        assert replace(each.site, boards=site.boards) == site
    for each in variants(site, "colour"):
        assert replace(each.site, boards=site.boards) == site
        assert each.site.boards == replace(site.boards, colour=each.site.boards.colour)
    for vary in ("pattern", "border"):
        for each in variants(site, vary):
            assert replace(each.site, pattern=site.pattern) == site
    for each in variants(site, "direction"):
        assert replace(each.site, deck=site.deck) == site


@pytest.mark.slow
def test_border_is_laid_as_chosen(site: Site) -> None:
    for each in variants(site, "border", ("none", "one", "two-mitre", "two-butt")):
        count = {"none": 0, "one": 1, "two": 2}[each.key.split("-")[0]]
        plan = design(each.site, "quick")
        assert len({piece.course for piece in plan.pieces if piece.kind == "border"}) == count
    labels = [each.label for each in variants(site, "border", ("one-mitre", "one-butt"))]
    assert labels == ["Border of one board, mitred corners", "Border of one board, butted corners"]


def test_colours_by_name_number_and_hex(site: Site) -> None:
    found = variants(site, "colour", ("umber", "RAL 7016", "ral7006", "#A0B0C0"))
    assert [each.label for each in found] == ["Umber", "RAL 7016", "RAL7006", "#A0B0C0"]
    assert [each.key for each in found] == ["umber", "ral-7016", "ral7006", "a0b0c0"]
    assert found[0].site.boards.colour == "#6f6158"
    assert all(each.site.boards.colour.startswith("#") for each in found)


@pytest.mark.parametrize(
    ("vary", "choices", "words"),
    [
        ("side", "grain,grian", "choices: 'grian'; a side is 'grain' or 'grooved'"),
        ("direction", "0,north", "choices: 'north'; a direction is a number of degrees, as 45"),
        ("direction", "0,inf", "choices: 'inf'; a direction is a number of degrees, as 45"),
        ("colour", "umber,char coal", "choices: 'char coal'; did you mean 'charcoal'? a colour is #rrggbb, or one of"),
        ("colour", "umber,RAL 7061", "choices: 'RAL 7061'; no number of RAL Classic; near it are RAL 6017"),
        ("pattern", "half,fourth", "choices: 'fourth'; a joint pattern is one of half, third, scattered, none"),
        ("border", "none,three", "choices: 'three'; a border is none, one or two"),
        ("border", "one,none-mitre", "choices: 'none-mitre'; a border is none, one or two"),
        ("border", "one,one-", "choices: 'one-'; a border is none, one or two"),
        ("border", "one,one-round", "choices: 'one-round'; a border is none, one or two"),
        ("side", "grain,grain", "choices: 'grain'; is there already; name each choice once"),
        ("colour", "umber,#6f6158", "choices: '#6f6158'; is there already; name each choice once"),
        ("side", "grain", "choices: 1 given (grain); name 2 to 5 to compare, divided by commas"),
        ("direction", "0,10,20,30,40,50", "choices: 6 given (0, 10, 20, 30, 40, 50); name 2 to 5 to compare"),
    ],
)
def test_choice_that_cannot_be_is_told_in_one_line(site: Site, vary: Varied, choices: str, words: str) -> None:
    with pytest.raises(SiteError) as refused:
        variants(site, vary, choices.split(","))
    assert str(refused.value).startswith(words)


def test_two_of_the_choices_for_one_picture(site: Site) -> None:
    found = variants(site, "pattern")
    assert split_pair(found, ()) == (found[0], found[1])
    assert split_pair(found, ("none", "half")) == (found[3], found[0])


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        (("half", "fourth"), "split: 'fourth'; name two of half, third, scattered, none"),
        (("half",), "split: half; name two of half, third, scattered, none, divided by a comma"),
        (("half", "half"), "split: half,half; name two of half, third, scattered, none, divided by a comma"),
    ],
)
def test_picture_of_what_is_not_two_choices_is_refused(site: Site, keys: tuple[str, ...], words: str) -> None:
    with pytest.raises(SiteError) as refused:
        split_pair(variants(site, "pattern"), keys)
    assert str(refused.value) == words


@pytest.mark.parametrize(
    ("boards", "price", "words"),
    [
        (141, "4230.00", "As many boards as A, and the same price."),
        (141, "4242.30", "As many boards as A, but GBP 12.30 dearer."),
        (142, "4300.50", "1 board more than A, and GBP 70.50 dearer."),
        (139, "3000.00", "2 boards fewer than A, and GBP 1,230.00 cheaper."),
        (139, "4240.00", "2 boards fewer than A, but GBP 10.00 dearer."),
        (144, "4230.00", "3 boards more than A, at the same price."),
    ],
)
def test_difference_in_plain_words(boards: int, price: str, words: str) -> None:
    first = Summary(141, 0.04, 62, Decimal("4230.00"), "GBP")
    assert difference(first, replace(first, boards=boards, price=Decimal(price)), "A") == words

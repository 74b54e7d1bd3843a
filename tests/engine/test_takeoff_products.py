"""The product table: the one that is shipped, and the user's own beside the site file."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from decimal import Decimal
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from courseline.command_line import main
from courseline.engine import SiteError, design, plan_json, read_site
from courseline.engine.catalogue import products_from_table
from courseline.engine.colours import screen_colour
from courseline.engine.decode import decode, encode
from courseline.engine.schema import products_schema
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site
from courseline.engine.variants import variants
from jsonschema import Draft202012Validator

SHIPPED = tomllib.loads(resources.files("courseline.engine").joinpath("catalogue.toml").read_text("utf-8"))
TEXT = (Path(__file__).parents[2] / "demo_scenes" / "PRODUCT_FILE.md").read_text("utf-8")
DOCUMENTED = tomllib.loads(TEXT.split("```toml")[1].split("```")[0])
SITE = """schema = 1
name = "x"
products = "merchant.toml"
[deck]
outline = [[0, 0], [4000, 0], [4000, 1453], [0, 1453]]
house_edges = [0]
"""
OWN = """schema = 1
units = "in"
currency = "EUR"

[boards.mine]
lengths = ["4 m"]
width = 5.5
thickness = 1
profile = "solid"
colour = "#102030"
colours = { night = "#102030", day = "RAL 9010" }
mass_per_metre = 3.0
price_per_board = 40.00
breaks = [{ from = 8, price = 38.50 }]

[[timber.sections]]
section = ["47 mm", "147 mm"]
metre = 5.00

[[timber.sections]]
section = ["47 mm", "147 mm"]
grade = "C24"
metre = 6.00

[fixings.clip]
name = "our clip"
pack = 20
price = 8.00
"""


def write(folder: Path, site: str = SITE, own: str = OWN) -> Path:
    (folder / "merchant.toml").write_text(own, encoding="utf-8")
    (folder / "site.toml").write_text(site, encoding="utf-8")
    return folder / "site.toml"


def fault_of(folder: Path, own: str, site: str = SITE) -> SiteError:
    with pytest.raises(SiteError) as caught:
        read_site(write(folder, site, own))
    assert "\n" not in str(caught.value)
    return caught.value


# The user's own


def test_own_table_is_read_beside_the_site(tmp_path: Path) -> None:
    site = read_site(write(tmp_path, SITE + '[boards]\nproduct = "mine"\n'))
    boards = site.boards
    assert (boards.lengths, boards.width, boards.thickness) == ((4000.0,), pytest.approx(139.7), 25.4)
    assert (boards.profile, boards.rip_shares, boards.mass_per_metre, boards.expansion) == ("solid", True, 3.0, 4e-5)
    assert (boards.colours["night"], boards.colours["day"]) == ("#102030", screen_colour("RAL 9010"))
    assert (site.prices.currency, site.prices.board, site.prices.timber_metre) == ("EUR", 40.0, 5.0)
    assert (site.prices.clip, site.prices.screw) == (0.4, 0.09)  # 8.00 / 20; the shipped 18.00 / 200
    assert site.prices.invented == ("starter_clip", "edge_clip", "screw", "clip_screw")


def test_own_table_may_have_a_screw_for_edge_boards(tmp_path: Path) -> None:
    own = OWN + '[fixings.edge_screw]\nname = "grey screw"\nprice = 0.20\n'
    site = read_site(write(tmp_path, SITE + "[pattern]\nborder = { courses = 1 }\n", own))
    (line,) = [line for line in design(site).takeoff if line.item == "edge-screw"]
    assert (line.description, line.price) == ("grey screw", int(line.net) * Decimal("0.20"))
    assert site_from_table(encode(replace(site, products=None))).fixings.edge_screw == site.fixings.edge_screw
    assert read_site(write(tmp_path)).fixings.edge_screw is None


def test_order_is_priced_from_the_own_table(tmp_path: Path) -> None:
    plan = design(read_site(write(tmp_path, SITE + '[boards]\nproduct = "mine"\n')))
    prices = {line.item: line.price for line in plan.takeoff}
    # 10 courses of 139.7 with gaps of 5 in 1445; from 8 boards on 38.50
    assert prices["board-4000"] == Decimal("385.00")
    # 99 clips in packs of 20
    assert prices["clip"] == Decimal("40.00")
    assert sum(p for item, p in prices.items() if item.startswith("timber")) == Decimal("123.00")  # 24.6 m at 5.00


def test_grade_named_in_the_table_has_its_own_price(tmp_path: Path) -> None:
    assert read_site(write(tmp_path, SITE + '[frame]\ngrade = "C24"\n')).prices.timber_metre == 6.0


def test_shipped_boards_stay_known_beside_the_own(tmp_path: Path) -> None:
    site = read_site(write(tmp_path, SITE + '[boards]\nproduct = "core-138"\n'))
    assert (site.boards.width, site.prices.board, "board" in site.prices.invented) == (138.0, 46.0, True)


def test_own_board_may_have_the_name_of_a_shipped_one(tmp_path: Path) -> None:
    site = read_site(write(tmp_path, SITE, OWN.replace("boards.mine", "boards.plain-140")))
    assert (site.boards.price_per_board, "board" in site.prices.invented) == (40.0, False)


def test_colours_of_the_own_table_can_be_compared(tmp_path: Path) -> None:
    site = read_site(write(tmp_path, SITE + '[boards]\nproduct = "mine"\n'))
    assert [each.label for each in variants(site, "colour")] == ["Night", "Day"]


def test_site_has_the_last_word(tmp_path: Path) -> None:
    own = SITE + '[boards]\nproduct = "mine"\nprice_per_board = 41\nwidth = 140\n[prices]\nclip = 0.5\n'
    site = read_site(write(tmp_path, own))
    assert (site.prices.board, site.prices.board_breaks, site.boards.width) == (41.0, (), 140.0)
    assert site.fixings.clip is not None
    assert (site.fixings.clip.name, site.fixings.clip.pack, site.fixings.clip.price) == ("our clip", 1, 0.5)


def test_plan_holds_all_that_its_takeoff_was_priced_with(tmp_path: Path) -> None:
    site = read_site(write(tmp_path, SITE + '[boards]\nproduct = "mine"\n'))
    again = decode(json.loads(json.dumps(encode(site))), Site)
    assert again == site
    assert plan_json(design(again)) == plan_json(design(site))


@pytest.mark.parametrize("prices", [{}, {"clip": 0.31}, {"board": 29.0}, {"board_breaks": []}])
def test_site_of_a_plan_can_be_read_again(prices: dict[str, Any]) -> None:
    deck = {"outline": [[0, 0], [4000, 0], [4000, 1453], [0, 1453]]}
    site = site_from_table(
        {"schema": 1, "name": "x", "deck": deck, "boards": {"product": "broad-146"}, "prices": prices}
    )
    assert site_from_table(encode(site)) == site


# Faults: the file, the field, the value, what would be right

BOARD = "schema = 1\n[boards.mine]\nlengths = [4000]\nthickness = 22\nmass_per_metre = 3\nprice_per_board = 40\n"
FAULTS = [
    ("a typo", "schema = 1\n[bords.mine]\nwidth = 1", "merchant.toml: bords", "did you mean 'boards'?"),
    ("a typo in a board", BOARD + 'widht = 140\nprofile = "solid"', "merchant.toml: boards.mine.widht", "'width'?"),
    ("a width missing", BOARD + 'profile = "solid"', "merchant.toml: boards.mine.width", "must be given"),
    ("no such profile", BOARD + 'width = 140\nprofile = "holow"', "merchant.toml: boards.mine.profile", "'hollow'?"),
    ("a width below zero", BOARD + 'width = -1\nprofile = "solid"', "merchant.toml: boards.mine.width", "> 0"),
    ("a price as text", "schema = 1\n[timber]\ncubic_metre = 'x'", "merchant.toml: timber.cubic_metre", "a number"),
    ("half a clip", "schema = 1\n[fixings.clip]\nname='c'\nprice=1\npack=0.5", "fixings.clip.pack", "a whole number"),
    ("no clip", "schema = 1\n[fixings.clip]\nname='c'\nprice=1\npack=0", "fixings.clip.pack", ">= 1"),
    ("a clip of no kind", "schema = 1\n[fixings.clp]\nname='c'\nprice=1", "fixings.clp", "did you mean 'clip'?"),
    ("not a colour", BOARD + 'width=140\nprofile="solid"\ncolours={a="red"}', "boards.mine.colours.a", "#7a6a5c"),
    ("no schema", "[timber]\ncubic_metre = 1", "merchant.toml: schema", "must be given"),
    ("another schema", "schema = 2", "merchant.toml: schema", "write 1"),
    ("not TOML", "schema = ", "merchant.toml", "not TOML"),
    ("not a currency", "schema = 1\ncurrency = 'pounds'", "merchant.toml: currency", "three capitals"),
    (
        "breaks out of order",
        BOARD + 'width=140\nprofile="solid"\nbreaks=[{from=50,price=30},{from=20,price=29}]',
        "merchant.toml: boards.mine",
        "in order",
    ),
    (
        "a break that is dearer",
        BOARD + 'width=140\nprofile="solid"\nbreaks=[{from=50,price=41}]',
        "merchant.toml: boards.mine",
        "must be cheaper",
    ),
]


@pytest.mark.parametrize(("own", "field", "wanted"), [pytest.param(*rest, id=name) for name, *rest in FAULTS])
def test_fault_names_file_field_value_and_remedy(tmp_path: Path, own: str, field: str, wanted: str) -> None:
    fault = fault_of(tmp_path, own)
    assert str(fault).startswith("merchant.toml")
    assert field in fault.field
    assert wanted in str(fault)
    assert str(fault.value)


def test_fault_ends_the_command_with_status_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    site = write(tmp_path, SITE, "schema = 1\n[fixings.clip]\nname = 'c'\nprice = -1\n")
    assert main(["plan", str(site), "--out", str(tmp_path / "out")]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line == "courseline: merchant.toml: fixings.clip.price: -1; expected a number >= 0.0"
    assert not (tmp_path / "out").exists()


def test_table_that_is_not_there(tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(SITE, encoding="utf-8")
    with pytest.raises(SiteError, match=r"products: 'merchant.toml'; cannot be read beside the site file"):
        read_site(tmp_path / "site.toml")


def test_table_that_is_no_text(tmp_path: Path) -> None:
    site = write(tmp_path)
    (tmp_path / "merchant.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(SiteError, match=r"not a text file in UTF-8"):
        read_site(site)


def test_two_currencies_are_one_too_many(tmp_path: Path) -> None:
    fault = fault_of(tmp_path, OWN, SITE + '[prices]\ncurrency = "GBP"\n')
    assert str(fault) == "prices.currency: 'GBP'; the prices of merchant.toml are in EUR"


def test_own_board_misspelt_names_those_there_are(tmp_path: Path) -> None:
    fault = fault_of(tmp_path, OWN, SITE + '[boards]\nproduct = "min"\n')
    assert str(fault) == "boards.product: 'min'; did you mean 'mine'?"


@pytest.mark.parametrize(
    ("table", "field", "wanted"),
    [
        ("[order]\nspare = 1.5", "order", "a whole number of boards"),
        ("[order]\nspare = -1", "order.spare", ">= 0"),
        ("[prices]\ntax = 20", "prices.tax", "<= 1"),
        ("[prices]\nboard = 30\nboard_breaks = [{from = 5, price = 31}]", "prices", "must be cheaper"),
        ("[prices]\nboard_breaks = [{from = 5, price = 31}]", "prices", "(30 a board, 4.8 a metre of timber)"),
        ("[prices]\nboard_breaks = [{frm = 5, price = 31}]", "prices.board_breaks[0].frm", "did you mean 'from'?"),
        ("[fixings.clip]\nname = 'c'", "fixings.clip.price", "must be given"),
    ],
)
def test_order_and_prices_of_a_site_are_checked(tmp_path: Path, table: str, field: str, wanted: str) -> None:
    fault = fault_of(tmp_path, OWN, SITE.replace('products = "merchant.toml"\n', "") + table)
    assert fault.field == field
    assert wanted in str(fault)


# The shipped table, and the schema of both


def test_shipped_table_says_that_it_is_invented() -> None:
    text = resources.files("courseline.engine").joinpath("catalogue.toml").read_text("utf-8")
    assert "invented for this project" in text.splitlines()[0]


@pytest.mark.parametrize("table", [SHIPPED, tomllib.loads(OWN), DOCUMENTED], ids=["shipped", "own", "documented"])
def test_product_tables_meet_their_schema(table: dict[str, Any]) -> None:
    Draft202012Validator.check_schema(products_schema())
    assert list(Draft202012Validator(products_schema()).iter_errors(table)) == []
    assert products_from_table(table).schema == 1


@pytest.mark.parametrize("key", ["widht", "price"])
def test_typo_does_not_meet_the_schema(key: str) -> None:
    table = tomllib.loads(OWN)
    table["boards"]["mine"][key] = 1
    assert len(list(Draft202012Validator(products_schema()).iter_errors(table))) == 1


def test_schema_of_products_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "--products"]) == 0
    assert "BoardProduct" in json.loads(capsys.readouterr().out)["$defs"]

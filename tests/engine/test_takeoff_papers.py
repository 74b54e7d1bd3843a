"""The takeoff as a builder sends it to a merchant: a CSV file, and a table that fits a terminal."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from courseline.engine import design, read_plan, read_site, write_plan
from courseline.engine.papers.summary import difference, summarise
from courseline.engine.papers.takeoff_csv import takeoff_csv
from courseline.engine.papers.takeoff_table import takeoff_notes, takeoff_table
from courseline.engine.plan import Plan, Share
from courseline.engine.takeoff.money import priced_shares
from rectangles import BOARD, WALL_DEPTH, rectangle
from rich.console import Console

SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))
WIDTH = 80


def order(**tables: Any) -> Plan:
    return rectangle(BOARD, WALL_DEPTH, at_wall=True, **tables)


def read_back(plan: Plan) -> tuple[list[str], list[list[str]]]:
    head, *rows = csv.reader(io.StringIO(takeoff_csv(plan), newline=""), strict=True)
    return head, rows


def printed(plan: Plan) -> list[str]:
    out = io.StringIO()
    Console(file=out, width=WIDTH).print(takeoff_table(plan))
    return [line.rstrip() for line in out.getvalue().splitlines()]


# CSV


def test_csv_has_a_row_for_each_item_and_the_total() -> None:
    plan = order()
    head, rows = read_back(plan)
    assert head[:8] == ["item", "description", "unit", "net", "waste %", "order", "mass kg", "price GBP"]
    assert head[8:] == ["each GBP", "pack", "left over", "made of", "rule", "source", "note"]
    assert [row[0] for row in rows] == [line.item for line in plan.takeoff] + ["total"]
    board = ["board-4000", "plain-140 board 4000 x 140 x 22, hollow", "board", "10", "0.0", "10", "104.0", "300.00"]
    assert rows[0][:8] == board
    assert rows[0][8:12] == ["30.00", "1", "0", "board 40 m in 10 for 300.00"]
    # 300.00 + 17.28 + 100.80 + 27.50 + 34.00 + 15.00
    assert rows[-1][7] == "494.58"
    assert {len(row) for row in rows} == {len(head)}


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_prices_of_the_csv_add_up(scene: Path) -> None:
    head, rows = read_back(design(read_site(scene)))
    at = {name.split()[0]: i for i, name in enumerate(head)}
    *items, total = rows
    assert sum(Decimal(row[at["price"]]) for row in items) == Decimal(total[at["price"]])
    for row in items:
        assert Decimal(row[at["order"]]) * Decimal(row[at["each"]]) == Decimal(row[at["price"]])


def test_csv_is_as_rfc_4180_has_it() -> None:
    # RFC 4180, section 2: lines end with CR and LF, also the last; quotes are doubled in quoted fields; and a comma, a
    # quote or a line end is quoted.
    name = 'clip "A4", grey; 50 %\r\nnew'
    text = takeoff_csv(order(fixings={"clip": {"name": name, "price": 12.5, "pack": 2000}}))
    assert text.endswith("\r\n")
    assert '"clip ""A4"", grey; 50 %\r\nnew, pack of 2000"' in text
    assert not re.search(r"(?<!\r)\n", text)
    assert f"{name}, pack of 2000" in [row[1] for row in csv.reader(io.StringIO(text, newline=""), strict=True)]


def test_numbers_of_the_csv_are_plain() -> None:
    plan = order(prices={"board": 123456.7})
    _, rows = read_back(plan)
    assert rows[0][7] == "1234567.00"
    for row in rows:
        assert all(re.fullmatch(r"-?\d+(\.\d+)?|", row[i]) for i in (3, 4, 5, 6, 7, 8, 9, 10))


def test_csv_ends_with_the_tax_where_there_is_one() -> None:
    # 20 % of 494.58
    _, rows = read_back(order(prices={"tax": 0.2}))
    assert [(row[0], row[7]) for row in rows[-3:]] == [("total", "494.58"), ("tax", "98.92"), ("to pay", "593.50")]


def test_total_tells_what_is_not_in_it() -> None:
    total = read_back(order())[1][-1]
    assert "beams, posts and footings" in total[1]


# The table


@pytest.mark.slow
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_table_fits_eighty_columns_and_cuts_no_figure(scene: Path) -> None:
    plan = design(read_site(scene))
    text = printed(plan)
    assert max(map(len, text)) <= WIDTH
    assert "…" not in "\n".join(text)
    for line in plan.takeoff:
        assert any(row.endswith(f"{line.price:,.2f}") for row in text)
        assert any(line.description in row for row in text), "names of the shipped table need one row"


def test_dear_order_still_fits() -> None:
    text = printed(order(prices={"board": 98765.43, "tax": 0.2}))
    assert max(map(len, text)) <= WIDTH
    assert any(row.endswith("987,654.30") for row in text)
    assert "…" not in "\n".join(text)


def test_table_tells_edge_boards_apart() -> None:
    # A border along three edges of a deck of 4000 x 1453: mitred, 4000 + 2 x 1445 long; the wall edge has none.
    plan = order(pattern={"border": {"courses": 1}})
    text = printed(plan)
    boards, screws = [row.split() for row in text if row.startswith("  of it for border")]
    ((_, border),) = [line.made_of for line in plan.takeoff if line.unit == "board"]
    assert boards[3:] == ["border:", "3", "pieces", "6.9", "m", str(border.price)]
    # Screws hold nothing but the border here: all that they cost is its.
    ((screw,),) = [line.made_of for line in plan.takeoff if line.item == "screw"]
    assert screws[3:] == ["border", str(screw.pieces), "18.00"]
    assert not [row for row in printed(order()) if row.startswith("  of it for board")]


def test_parts_of_a_price_add_up_to_it_and_no_cent_is_lost() -> None:
    # A third of 100.00 each: 33.33, and the cent that is left goes to the first; nothing of nothing.
    thirds = priced_shares([Share(kind, 1, 2.0) for kind in "abc"], Decimal("100.00"))
    assert [str(share.price) for share in thirds] == ["33.34", "33.33", "33.33"]
    # 0.05 by number, 2 to 1: 0.03(33) and 0.01(67), so the cent that is left goes to the larger remainder.
    pair = priced_shares([Share("a", 2, 0.0), Share("b", 1, 0.0)], Decimal("0.05"))
    assert [str(share.price) for share in pair] == ["0.03", "0.02"]
    assert priced_shares([], Decimal("1.00")) == ()


@pytest.mark.slow
def test_every_kind_that_is_bought_has_its_rule_and_source() -> None:
    for scene in SCENES:
        plan = design(read_site(scene))
        notes, (_, rows) = takeoff_notes(plan), read_back(plan)
        kinds = {piece.kind for piece in plan.pieces} | {member.role for member in plan.members}
        for kind in kinds - {"board"}:
            (note,) = [note for note in notes if note.startswith(f"{kind.capitalize()}: ")]
            assert note.endswith(("(the site file).", "(common practice, no source)."))
            assert [row for row in rows if f"{kind}: {note[len(kind) + 2 : -1]}" in row[12]]


def test_rules_of_edge_boards_say_what_the_site_asks_for() -> None:
    # One board, mitred by default; two boards, butted.
    for border, words in (({"courses": 1}, "one board "), ({"courses": 2, "corners": "butt"}, "two boards ")):
        (note,) = [n for n in takeoff_notes(order(pattern={"border": border})) if n.startswith("Border: ")]
        assert note.startswith(f"Border: {words}along each edge that has one, {'butt' if 'two' in words else 'mitr'}ed")


def test_notes_tell_what_the_timber_is_for() -> None:
    (note,) = [note for note in takeoff_notes(order()) if note.startswith("Timber is for")]
    # 118.08 of timber: the ledger and the rims are 4 m long each, or as deep as the deck.
    assert "ledger" in note
    amounts = [Decimal(part.rsplit(", ", 1)[1].rstrip(".")) for part in note.split("; ")]
    assert sum(amounts) == Decimal("118.08")


def test_table_ends_with_what_is_to_be_paid() -> None:
    taxed, plain = printed(order(prices={"tax": 0.2})), printed(order())
    assert [row.split()[-1] for row in taxed[-3:]] == ["494.58", "98.92", "593.50"]
    assert plain[-1].startswith("total, ")
    assert plain[-1].endswith("494.58")


def test_unit_price_shows_parts_of_a_cent() -> None:
    (clip,) = [row for row in printed(order(prices={"clip": 0.335})) if row.startswith("clip")]
    assert clip.split()[-2:] == ["0.3350", "33.17"]


# Notes


def test_notes_tell_each_rule_once_with_its_source() -> None:
    notes = takeoff_notes(order())
    assert "Boards: every board that the cut plan saws, 3 mm a cut (the cut plan)." in notes
    assert len([note for note in notes if note.startswith("Timber: ")]) == 1
    assert [note.split(":")[0] for note in notes if note.endswith("(common practice, no source).")] == [
        "Starter clips",
        "Clips",
        "Edge clips",
        "Ledger",
        "Rim",
    ]


def test_notes_tell_what_comes_cheaper() -> None:
    notes = takeoff_notes(order(prices={"board": 30, "board_breaks": [{"from": 12, "price": 24.99}]}))
    assert notes[0].endswith("2 more boards would cost 0.12 less: 299.88 in all.")


def test_notes_own_up_to_invented_prices() -> None:
    own = {"board": 30, "timber_metre": 5, "clip": 0.3, "starter_clip": 0.5, "edge_clip": 0.6}
    assert "Invented prices, for want of your own: boards, timber, starter clips, clips, edge clips." in takeoff_notes(
        order()
    )
    assert not [note for note in takeoff_notes(order(prices=own)) if note.startswith("Invented")]
    del own["clip"]
    assert "Invented prices, for want of your own: clips." in takeoff_notes(order(prices=own))


# Everything else that shows a price


def test_summary_shows_what_is_paid() -> None:
    plain, taxed = summarise(order()), summarise(order(prices={"tax": 0.2}))
    assert plain.facts()[-1] == ("Price of materials", "GBP 494.58")
    assert taxed.facts()[-1] == ("Price with tax", "GBP 593.50")
    assert difference(plain, taxed, "A") == "As many boards as A, but GBP 98.92 dearer."


def test_plan_written_and_read_back_has_the_same_takeoff(tmp_path: Path) -> None:
    plan = order(order={"spare": 0.1}, prices={"tax": 0.2, "clip": 0.335})
    path, table = write_plan(plan, tmp_path)
    assert read_plan(path).takeoff == plan.takeoff
    assert table.read_bytes().decode() == takeoff_csv(plan) == takeoff_csv(read_plan(path))

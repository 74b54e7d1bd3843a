"""The same site gives the same bytes, and a plan survives the way to its file and back; money is exact."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pytest
from courseline.engine import design, plan_json, read_plan, read_site, write_plan
from courseline.engine.plan import Plan
from courseline.engine.takeoff import money, total_price
from rectangles import BOARD, WALL_DEPTH, rectangle

CORNER = Path(__file__).parents[2] / "demo_scenes" / "house_corner.toml"


@pytest.fixture(scope="module")
def corner() -> Plan:
    return design(read_site(CORNER))


@pytest.mark.slow
def test_same_site_twice_gives_the_same_bytes(corner: Plan) -> None:
    assert plan_json(design(read_site(CORNER))) == plan_json(corner)


@pytest.mark.slow
@pytest.mark.parametrize("seed", ["0", "4711"])
def test_another_process_with_another_hash_seed_gives_the_same_bytes(corner: Plan, seed: str) -> None:
    code = (
        "import hashlib, sys; from courseline.engine import design, plan_json, read_site;"
        "print(hashlib.sha256(plan_json(design(read_site(sys.argv[1])))).hexdigest())"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(CORNER)],
        env=os.environ | {"PYTHONHASHSEED": seed},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == hashlib.sha256(plan_json(corner)).hexdigest()


def test_plan_read_back_is_the_plan_written(corner: Plan, tmp_path: Path) -> None:
    written, _ = write_plan(corner, tmp_path)
    assert read_plan(written) == corner
    assert written.read_bytes() == plan_json(corner)


def test_plan_holds_the_site_with_its_defaults_in_millimetres(corner: Plan) -> None:
    assert corner.site == read_site(CORNER)
    assert (corner.site.units, corner.site.pattern.kerf, corner.site.deck.start_edge) == ("mm", 3.0, 5)


def test_no_temporary_file_is_left_beside_the_plan(corner: Plan, tmp_path: Path) -> None:
    write_plan(corner, tmp_path / "new" / "folder")
    assert sorted(path.name for path in (tmp_path / "new" / "folder").iterdir()) == ["plan.json", "takeoff.csv"]


# Takeoff


def test_takeoff_counts_what_the_plan_holds(corner: Plan) -> None:
    orders = {line.item: line.order for line in corner.takeoff}
    boards = [item for item in corner.stock if item.product == "broad-146"]
    assert orders["board-3660"] == len(boards)
    for kind in {fixing.kind for fixing in corner.fixings}:
        line = next(line for line in corner.takeoff if line.item == kind.replace(" ", "-"))
        assert line.net == sum(fixing.kind == kind for fixing in corner.fixings) == line.order * line.pack - line.over
    timber = sum(count for item, count in orders.items() if item.startswith("timber"))
    assert timber + len(boards) == len(corner.stock)


def test_waste_is_what_is_bought_and_not_laid(corner: Plan) -> None:
    laid = sum(piece.length for piece in corner.pieces)
    line = corner.takeoff[0]
    assert line.net == pytest.approx(laid / 3660, abs=1e-3)
    assert line.waste == pytest.approx(1 - laid / 3660 / line.order, abs=1e-4)


def test_prices_are_exact_to_the_cent_and_add_up(corner: Plan) -> None:
    assert all(line.price == line.price.quantize(Decimal("0.01")) for line in corner.takeoff)
    assert total_price(corner.takeoff) == sum(line.price for line in corner.takeoff)


def test_half_cents_are_rounded_up() -> None:
    # 0.345 x 3 = 1.035, which a binary fraction would put under the half
    assert money(0.345, 3) == Decimal("1.04")
    assert money(0.1, 3) == Decimal("0.30")


def test_prices_of_the_site_override_the_table() -> None:
    plan = rectangle(BOARD, WALL_DEPTH, at_wall=True, prices={"board": 31.99, "clip": 0.335, "currency": "EUR"})
    prices = {line.item: line.price for line in plan.takeoff}
    assert prices["board-4000"] == Decimal("319.90")  # 10 x 31.99
    assert prices["clip"] == Decimal("33.17")  # 99 x 0.335 = 33.165
    assert prices["starter-clip"] == Decimal("27.50")  # the table's pack of 50


def test_timber_is_weighed_by_its_grade() -> None:
    # EN 338:2016 Table 1 (read in a secondary transcription): mean density C16 370, C24 420 kg/m3.
    # Order 3.6 + 5 x 4.2 = 24.6 m of 47 x 147: 0.169962 m3, so 62.9 and 71.4 kg.
    for grade, mass in (("C16", 62.9), ("C24", 71.4)):
        plan = rectangle(BOARD, WALL_DEPTH, at_wall=True, frame={"grade": grade})
        weighed = sum(line.mass for line in plan.takeoff if line.item.startswith("timber"))
        assert weighed == pytest.approx(mass, abs=0.11)

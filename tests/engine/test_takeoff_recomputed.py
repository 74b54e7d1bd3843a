"""Every row of takeoff.csv worked out anew from plan.json and the product table, by this file's own arithmetic."""

from __future__ import annotations

import csv
import json
import math
import tomllib
from collections import Counter
from decimal import ROUND_HALF_UP, Decimal
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from courseline.engine import design, read_site, write_plan
from courseline.engine.site import site_from_table
from generated_sites import generated_site

SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))
TABLE = tomllib.loads(
    resources.files("courseline.engine").joinpath("catalogue.toml").read_text("utf-8"), parse_float=Decimal
)


def cents(amount: Decimal) -> Decimal:
    return amount.quantize(Decimal("0.01"), ROUND_HALF_UP)


def at_quantity(price: Decimal, breaks: list[dict[str, Any]], quantity: Decimal) -> Decimal:
    for one in breaks:
        if Decimal(str(one["from"])) <= quantity:
            price = Decimal(str(one["price"]))
    return price


def expected(plan: dict[str, Any]) -> dict[str, tuple[int, Decimal]]:
    """Units and price of each item, from stock, fixings and the shipped table."""
    site = plan["site"]
    board, lengths = TABLE["boards"][site["boards"]["product"]], site["boards"]["lengths"]
    b, h = site["frame"]["section"]
    by_volume = {"metre": cents(TABLE["timber"]["cubic_metre"] * b * h / 1_000_000)}
    section = next((s for s in TABLE["timber"]["sections"] if s["section"] == [b, h]), by_volume)
    bought = Counter((i["product"] == site["boards"]["product"], i["length"]) for i in plan["stock"])
    count = Decimal(sum(n for (is_board, _), n in bought.items() if is_board))
    metres = sum(length * n / 1000 for (is_board, length), n in bought.items() if not is_board)
    each = at_quantity(board["price_per_board"], board.get("breaks", []), count)
    metre = at_quantity(section["metre"], section.get("breaks", []), Decimal(metres))
    rows = {}
    for (is_board, length), n in bought.items():
        price = cents(each * length / max(lengths)) if is_board else metre * length / 1000
        name = "board" if is_board else f"timber-{float(b):g}x{float(h):g}"
        rows[f"{name}-{float(length):g}"] = (n, cents(price * n))
    for kind, n in Counter(fixing["kind"] for fixing in plan["fixings"]).items():
        sold = TABLE["fixings"][kind.replace(" ", "_")]
        packs = math.ceil(n / sold["pack"])
        pack = at_quantity(sold["price"], sold.get("breaks", []), Decimal(packs))
        rows[kind.replace(" ", "-")] = (packs, cents(packs * pack))
    return rows


def check(folder: Path) -> None:
    plan = json.loads((folder / "plan.json").read_text("utf-8"), parse_float=Decimal)
    with (folder / "takeoff.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["item"]: row for row in csv.DictReader(file)}
    total = rows.pop("total")
    wanted = expected(plan)
    assert {item: (int(row["order"]), Decimal(row["price GBP"])) for item, row in rows.items()} == wanted
    assert Decimal(total["price GBP"]) == sum(price for _, price in wanted.values())
    for row in rows.values():
        parts = [Decimal(part.rsplit(" for ", 1)[1]) for part in row["made of"].split("; ") if part]
        assert not parts or sum(parts) == Decimal(row["price GBP"])
    for bound in plan["bounds"]:
        prefix = "board-" if bound["product"] == plan["site"]["boards"]["product"] else "timber-"
        own = [row for item, row in wanted.items() if item.startswith(prefix)]
        assert (bound["stock_used"], bound["price"]) == (sum(n for n, _ in own), sum(cost for _, cost in own))
        assert bound["least_price"] <= bound["price"]


@pytest.mark.slow
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_takeoff_of_a_scene_is_worked_out_anew(scene: Path, tmp_path: Path) -> None:
    write_plan(design(read_site(scene)), tmp_path)
    check(tmp_path)


@pytest.mark.parametrize("number", range(3))
def test_takeoff_of_a_generated_site_is_worked_out_anew(number: int, tmp_path: Path) -> None:
    table = generated_site(number)
    product = ("plain-140", "broad-146", "core-138")[number]
    write_plan(design(site_from_table({**table, "boards": {"product": product}, "prices": {}})), tmp_path)
    check(tmp_path)

"""What is bought, counted anew from pieces, members, fixings and stock: on demo scenes and on generated sites."""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from courseline.engine import design, read_site
from courseline.engine.papers.summary import summarise
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_table
from courseline.engine.takeoff import total_price
from generated_areas import HARD_AREAS, generated_area
from generated_sites import HARD_SITES, generated_site

SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))
FAST, ALL = 4, 60
"""Generated sites of each kind in a quick run, and in the full one."""
NUMBERS = [pytest.param(n, marks=pytest.mark.slow if n >= FAST else ()) for n in range(ALL)]


def check_counts(plan: Plan) -> None:
    """Hold every figure of a takeoff against the plan's own records."""
    lines = {line.item: line for line in plan.takeoff}
    assert len(lines) == len(plan.takeoff)
    bought = [item for item in plan.stock if not item.on_hand]
    board = plan.site.boards.product
    expected = Counter(f"{'board' if i.product == board else i.product}-{i.length:g}" for i in bought)
    counted = {line.item: line.order for line in plan.takeoff if line.unit in ("board", "length")}
    spare = {item: counted.pop(item) for item in list(counted) if item.startswith("spare")}
    assert counted == expected
    fixings = Counter(fixing.kind.replace(" ", "-") for fixing in plan.fixings)
    packed = {line.item: line for line in plan.takeoff if line.unit in ("pack", "piece")}
    assert {item: line.net for item, line in packed.items()} == fixings
    for line in packed.values():
        assert 0 <= line.over < line.pack
        assert line.net + line.over == line.order * line.pack
    check_made_of(plan, {piece for item in bought for piece in item.pieces})
    assert all(line.price == line.price.quantize(Decimal("0.01")) for line in plan.takeoff)
    assert total_price(plan.takeoff) == sum((line.price for line in plan.takeoff), Decimal(0))
    assert summarise(plan).boards == sum(expected[f"board-{n:g}"] for n in plan.site.boards.lengths) + sum(
        spare.values()
    )


def check_made_of(plan: Plan, cut: set[str]) -> None:
    """Hold the pieces by kind, and the members by role, against what is cut from stock that is bought."""
    parts: list[tuple[str, str, float]] = [(p.id, p.kind, p.length) for p in plan.pieces]
    parts += [(m.id, m.role, m.length) for m in plan.members]
    counts = Counter(kind for name, kind, _ in parts if name in cut)
    metres: dict[str, float] = defaultdict(float)
    for name, kind, length in parts:
        if name in cut:
            metres[kind] += length / 1000
    told = [share for line in plan.takeoff if line.item != "screw" for share in line.made_of]
    assert Counter({kind: sum(s.pieces for s in told if s.kind == kind) for kind in counts}) == counts
    assert {share.kind for share in told} == set(counts)
    for kind, length in metres.items():
        assert sum(s.metres for s in told if s.kind == kind) == pytest.approx(length, abs=0.005)
    kinds = {piece.id: piece.kind for piece in plan.pieces}
    held = Counter(kinds[fixing.piece] for fixing in plan.fixings if fixing.kind == "screw")
    screws = [share for line in plan.takeoff if line.item == "screw" for share in line.made_of]
    assert {share.kind: share.pieces for share in screws} == held
    for line in plan.takeoff:
        assert not line.made_of or sum(share.price for share in line.made_of) == line.price


def with_an_order(site: dict[str, Any], number: int) -> dict[str, Any]:
    """Give a site odd prices, packs, breaks, stock on hand and spare boards."""
    chance = random.Random(number)
    price = chance.randint(500, 9000) / 100
    clip = {"name": "clip", "pack": chance.choice([1, 7, 33, 100, 250]), "price": chance.randint(1, 5000) / 100}
    return site | {
        "prices": {
            "board": price,
            "board_breaks": [{"from": 20, "price": round(price * 0.93, 2)}, {"from": 45, "price": round(price / 2, 2)}],
            "timber_metre": chance.randint(100, 900) / 100,
            "tax": chance.choice([0, 0.05, 0.175, 0.2]),
        },
        "fixings": {"clip": clip},
        "order": {"spare": chance.choice([0, 0.03, 0.1, 1, 4])},
        "stock": [{"length": chance.choice([1500, 2400, 4000]), "count": chance.randint(1, 6)}],
    }


@pytest.mark.slow
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_demo_scene_is_bought_as_counted(scene: Path) -> None:
    check_counts(design(read_site(scene)))


@pytest.mark.slow
@pytest.mark.parametrize("number", NUMBERS)
def test_generated_site_is_bought_as_counted(number: int) -> None:
    check_counts(design(site_from_table(with_an_order(generated_site(number), number))))


@pytest.mark.slow
@pytest.mark.parametrize("number", NUMBERS)
def test_generated_area_is_bought_as_counted(number: int) -> None:
    check_counts(design(site_from_table(with_an_order(generated_area(number), number))))


@pytest.mark.parametrize("make", [*HARD_SITES, *HARD_AREAS], ids=lambda make: make.__name__)
def test_hard_site_is_bought_as_counted(make: Any) -> None:
    check_counts(design(site_from_table(make())))

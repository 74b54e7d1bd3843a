"""The takeoff: what to buy, counted from the plan's own records."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal

from .cutplan.costs import board_price
from .cutplan.naming import timber_name
from .plan import Fixing, FixingKind, StockItem, TakeoffLine
from .spec import Site
from .standards.en_338 import MEAN_DENSITY

CENT = Decimal("0.01")
FIXING_MASS: dict[FixingKind, float] = {"starter clip": 0.012, "clip": 0.010, "edge clip": 0.012, "screw": 0.004}
"""Mass of one with its screw [kg]; invented, as the products are."""


def take_off(
    site: Site, stock: tuple[StockItem, ...], lengths: dict[str, float], fixings: tuple[Fixing, ...]
) -> tuple[TakeoffLine, ...]:
    """Count boards, timber and fixings.

    Parameters
    ----------
    stock : tuple of StockItem
        What is cut, from the cut plan.
    lengths : dict
        Length of every piece and member by id [mm].
    fixings : tuple of Fixing
        Clips and screws as placed.
    """
    bought = [item for item in stock if not item.on_hand]
    boards = [item for item in bought if item.product == site.boards.product]
    timber = [item for item in bought if item.product == timber_name(site)]
    lines = [_board_line(site, size, group, lengths) for size, group in _by_length(boards)]
    lines += [_timber_line(site, size, group, lengths) for size, group in _by_length(timber)]
    counts = Counter(fixing.kind for fixing in fixings)
    lines += [_fixing_line(site, kind, counts[kind]) for kind in FIXING_MASS if counts[kind]]
    return tuple(lines)


def total_price(takeoff: Iterable[TakeoffLine]) -> Decimal:
    """Price of the whole order."""
    return sum((line.price for line in takeoff), Decimal(0))


def money(unit_price: float, count: float) -> Decimal:
    """Price of a number of units, rounded to the cent."""
    return (Decimal(str(unit_price)) * Decimal(str(count))).quantize(CENT, ROUND_HALF_UP)


def _by_length(items: list[StockItem]) -> list[tuple[float, list[StockItem]]]:
    sizes = sorted({item.length for item in items})
    return [(size, [item for item in items if item.length == size]) for size in sizes]


def _share(size: float, group: list[StockItem], lengths: dict[str, float]) -> tuple[float, float]:
    """Net need in stock lengths, and the share of the order that is wasted."""
    net = sum(lengths[piece] for item in group for piece in item.along) / size
    return round(net, 3), round(1.0 - net / len(group), 4)


def _board_line(site: Site, size: float, group: list[StockItem], lengths: dict[str, float]) -> TakeoffLine:
    boards, count = site.boards, len(group)
    net, waste = _share(size, group, lengths)
    return TakeoffLine(
        item=f"board-{size:g}",
        description=f"{boards.product} board {size:g} x {boards.width:g} x {boards.thickness:g}, {boards.profile}",
        unit="board",
        net=net,
        waste=waste,
        order=count,
        mass=round(count * size / 1000 * boards.mass_per_metre, 1),
        price=money(float(board_price(site, size)), count),
    )


def _timber_line(site: Site, size: float, group: list[StockItem], lengths: dict[str, float]) -> TakeoffLine:
    breadth, depth = site.frame.section
    net, waste = _share(size, group, lengths)
    count, metres = len(group), size / 1000
    assert site.prices.timber_metre is not None
    return TakeoffLine(
        item=f"{timber_name(site)}-{size:g}",
        description=f"{site.frame.grade} treated timber {breadth:g} x {depth:g}, {size:g} long",
        unit="length",
        net=net,
        waste=waste,
        order=count,
        mass=round(count * metres * breadth * depth * 1e-6 * MEAN_DENSITY[site.frame.grade], 1),
        price=money(site.prices.timber_metre * metres, count),
    )


def _fixing_line(site: Site, kind: FixingKind, count: int) -> TakeoffLine:
    price = getattr(site.prices, kind.replace(" ", "_"))
    return TakeoffLine(
        item=kind.replace(" ", "-"),
        description=kind,
        unit="piece",
        net=float(count),
        waste=0.0,
        order=count,
        mass=round(count * FIXING_MASS[kind], 1),
        price=money(price, count),
    )

"""Boards and timber: whole stock lengths, as the cut plan saws them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import get_args

from ..cutplan.costs import board_price, timber_price
from ..cutplan.naming import timber_name
from ..plan import PieceKind, Role, Share, StockItem, TakeoffLine
from ..spec import Site
from ..standards.en_338 import MEAN_DENSITY
from .money import Units, larger_but_cheaper, money, price_at, quantity_of, to_the_cent

CUT_PLAN = "the cut plan"
KINDS: tuple[str, ...] = get_args(PieceKind) + get_args(Role)


@dataclass(frozen=True, slots=True)
class Part:
    """What is cut from stock: its kind, or its role in the frame, and its length [mm]."""

    kind: str
    length: float


def board_lines(site: Site, stock: Sequence[StockItem], parts: dict[str, Part]) -> list[TakeoffLine]:
    """A line for each length of board, and one for the spare boards."""
    bought, on_hand = _bought(stock, site.boards.product)
    groups = _by_length(bought)
    spare = _spare(site, groups)

    def priced(length: float, price: float) -> Decimal:
        return board_price(replace(site, prices=replace(site.prices, board=price, board_breaks=None)), length)

    def units(size: float, count: int) -> Units:
        return Units(count, Decimal(1), lambda price: priced(size, price))

    assert site.prices.board is not None
    breaks = site.prices.board_breaks or ()
    order = [units(size, len(group)) for size, group in groups] + [units(size, count) for size, count in spare]
    price = price_at(site.prices.board, breaks, quantity_of(order))
    rule = f"every board that the cut plan saws, {site.pattern.kerf:g} mm a cut"
    rule += f", {site.pattern.square_up:g} mm off each end" if site.pattern.square_up else ""
    lines = []
    for size, group in groups:
        line = replace(_board_line(site, size, group, parts), rule=rule + on_hand)
        lines.append(_billed(line, priced(size, price)))
    lines += [_billed(_spare_line(site, size, count), priced(size, price)) for size, count in spare]
    better = larger_but_cheaper(order, site.prices.board, breaks)
    if better is not None:
        shortest = f" of {groups[0][0]:g}" if len(groups) > 1 else ""
        lines[0] = replace(lines[0], note=_advice(better.more, f"board{{}}{shortest}", better.cost, better.saved))
    return lines


def timber_lines(site: Site, stock: Sequence[StockItem], parts: dict[str, Part]) -> list[TakeoffLine]:
    """A line for each length of timber."""
    bought, on_hand = _bought(stock, timber_name(site))
    groups = _by_length(bought)

    def priced(length: float, price: float) -> Decimal:
        return timber_price(replace(site, prices=replace(site.prices, timber_metre=price, timber_breaks=None)), length)

    def units(size: float, count: int) -> Units:
        return Units(count, Decimal(str(size)) / 1000, lambda price: priced(size, price))

    assert site.prices.timber_metre is not None
    breaks = site.prices.timber_breaks or ()
    order = [units(size, len(group)) for size, group in groups]
    price = price_at(site.prices.timber_metre, breaks, quantity_of(order))
    lines = []
    for size, group in groups:
        rule = f"every length that the cut plan saws, {group[0].kerf:g} mm a cut{on_hand}"
        line = replace(_timber_line(site, size, group, parts), rule=rule)
        lines.append(_billed(line, priced(size, price)))
    better = larger_but_cheaper(order, site.prices.timber_metre, breaks)
    if better is not None:
        lines[0] = replace(
            lines[0], note=_advice(better.more, f"length{{}} of {groups[0][0]:g}", better.cost, better.saved)
        )
    return lines


def _bought(stock: Sequence[StockItem], product: str) -> tuple[list[StockItem], str]:
    """What is to be bought of a product, and words on what is on hand."""
    own = [item for item in stock if item.product == product]
    bought = [item for item in own if not item.on_hand]
    there = len(own) - len(bought)
    return bought, f"; {there} on hand {'comes' if there == 1 else 'come'} first" if there else ""


def _by_length(items: list[StockItem]) -> list[tuple[float, list[StockItem]]]:
    sizes = sorted({item.length for item in items})
    return [(size, [item for item in items if item.length == size]) for size in sizes]


def _billed(line: TakeoffLine, unit_price: Decimal) -> TakeoffLine:
    return replace(line, unit_price=to_the_cent(unit_price), price=money(unit_price, line.order))


def _need(size: float, group: list[StockItem], parts: dict[str, Part]) -> tuple[float, float]:
    """Net need in stock lengths, and the share of the order that is wasted."""
    net = sum(parts[piece].length for item in group for piece in item.along) / size
    return round(net, 3), round(1.0 - net / len(group), 4)


def _made_of(group: list[StockItem], parts: dict[str, Part]) -> tuple[Share, ...]:
    """Pieces by kind, or members by role."""
    cut = [parts[piece] for item in group for piece in item.pieces]
    counts = Counter(part.kind for part in cut)
    return tuple(
        Share(kind, counts[kind], round(sum(part.length for part in cut if part.kind == kind) / 1000, 3))
        for kind in KINDS
        if counts[kind]
    )


def _board_line(site: Site, size: float, group: list[StockItem], parts: dict[str, Part]) -> TakeoffLine:
    net, waste = _need(size, group, parts)
    return TakeoffLine(
        item=f"board-{size:g}",
        description=_description(site, size),
        unit="board",
        net=net,
        waste=waste,
        order=len(group),
        mass=round(len(group) * size / 1000 * site.boards.mass_per_metre, 1),
        price=Decimal(0),
        made_of=_made_of(group, parts),
        source=CUT_PLAN,
    )


def _timber_line(site: Site, size: float, group: list[StockItem], parts: dict[str, Part]) -> TakeoffLine:
    breadth, depth = site.frame.section
    net, waste = _need(size, group, parts)
    return TakeoffLine(
        item=f"{timber_name(site)}-{size:g}",
        description=f"{site.frame.grade} treated timber {breadth:g} x {depth:g}, {size:g} long",
        unit="length",
        net=net,
        waste=waste,
        order=len(group),
        mass=round(len(group) * size / 1000 * breadth * depth * 1e-6 * MEAN_DENSITY[site.frame.grade], 1),
        price=Decimal(0),
        made_of=_made_of(group, parts),
        source=CUT_PLAN,
    )


def _description(site: Site, size: float) -> str:
    boards = site.boards
    return f"{boards.product} board {size:g} x {boards.width:g} x {boards.thickness:g}, {boards.profile}"


def _spare(site: Site, groups: list[tuple[float, list[StockItem]]]) -> list[tuple[float, int]]:
    """Spare boards by length: of the longest that is ordered, since any piece can be cut from it."""
    asked, ordered = site.order.spare, sum(len(group) for _, group in groups)
    count = int(asked) if asked >= 1 else math.ceil(Decimal(str(asked)) * ordered)
    longest = groups[-1][0] if groups else max(site.boards.lengths)
    return [(longest, count)] if count else []


def _spare_line(site: Site, size: float, count: int) -> TakeoffLine:
    asked = site.order.spare
    much = f"{asked:g}" if asked >= 1 else f"{100 * asked:g} % of the boards"
    return TakeoffLine(
        item=f"spare-board-{size:g}",
        description=f"spare: {_description(site, size)}",
        unit="board",
        net=0.0,
        waste=0.0,
        order=count,
        mass=round(count * size / 1000 * site.boards.mass_per_metre, 1),
        price=Decimal(0),
        over=count,
        rule=f"{much}, of the longest that is ordered",
        source="the site file, order.spare",
    )


def _advice(more: int, units: str, cost: Decimal, saved: Decimal) -> str:
    """Say that a larger order is cheaper; `units` holds a place for its plural."""
    named = units.format("" if more == 1 else "s")
    return f"{more} more {named} would cost {saved:,.2f} less: {cost:,.2f} in all"

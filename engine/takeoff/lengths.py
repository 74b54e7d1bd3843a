"""Boards and timber: whole stock lengths, as the cut plan saws them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import get_args

from ..cutplan.naming import timber_name
from ..plan import PieceKind, Role, Share, StockItem, TakeoffLine
from ..spec import Site
from ..standards.en_338 import MEAN_DENSITY
from .goods import Goods, boards_of, bought, timber_of
from .money import larger_but_cheaper, money, priced_shares, to_the_cent
from .rules import rule_of

CUT_PLAN = "the cut plan"
KINDS: tuple[str, ...] = get_args(PieceKind) + get_args(Role)


@dataclass(frozen=True, slots=True)
class Part:
    """What is cut from stock: its kind, or its role in the frame, and its length [mm]."""

    kind: str
    length: float


def board_lines(
    site: Site, stock: Sequence[StockItem], parts: Mapping[str, Part], item: str = "board"
) -> list[TakeoffLine]:
    """A line for each length of board, and one for the spare boards; `item` is what they are called."""
    goods = boards_of(site)
    groups, on_hand = _by_length(goods, stock)
    spare = spare_boards(site, bought(goods, stock))
    rule = f"every board that the cut plan saws, {site.pattern.kerf:g} mm a cut"
    rule += f", {site.pattern.square_up:g} mm off each end" if site.pattern.square_up else ""
    lines = [
        replace(_board_line(site, size, group, parts), item=f"{item}-{size:g}", rule=rule + on_hand)
        for size, group in groups
    ]
    spares = [_spare_line(site, size, count) for size, count in spare.items()]
    sizes = [size for size, _ in groups] + list(spare)
    return _billed(goods, bought(goods, stock) + spare, sizes, lines + spares, "board")


def timber_lines(site: Site, stock: Sequence[StockItem], parts: Mapping[str, Part]) -> list[TakeoffLine]:
    """A line for each length of timber."""
    goods = timber_of(site)
    groups, on_hand = _by_length(goods, stock)
    lines = []
    for size, group in groups:
        rule = f"every length that the cut plan saws, {group[0].kerf:g} mm a cut{on_hand}"
        lines.append(replace(_timber_line(site, size, group, parts), rule=rule))
    return _billed(goods, bought(goods, stock), [size for size, _ in groups], lines, "length")


def spare_boards(site: Site, ordered: Mapping[float, int]) -> Counter[float]:
    """Spare boards by length: of the longest that is ordered, since any piece can be cut from it."""
    asked = site.order.spare
    count = int(asked) if asked >= 1 else math.ceil(Decimal(str(asked)) * sum(ordered.values()))
    longest = max(ordered, default=max(site.boards.lengths))
    return Counter({longest: count} if count else {})


def _billed(
    goods: Goods, counts: Mapping[float, int], sizes: Sequence[float], lines: Sequence[TakeoffLine], unit: str
) -> list[TakeoffLine]:
    """Lines with prices at the quantity of them all, and on the first what a larger order would save."""
    price = goods.price_for(counts)
    billed = []
    for size, line in zip(sizes, lines, strict=True):
        one = goods.one(size, price)
        cost = money(one, line.order)
        billed.append(replace(line, unit_price=to_the_cent(one), price=cost, made_of=priced_shares(line.made_of, cost)))
    better = larger_but_cheaper(goods.order(counts), goods.price, goods.breaks)
    if better is not None:
        plural = "" if better.more == 1 else "s"
        of = f" of {min(counts):g}" if unit == "length" or len(counts) > 1 else ""
        told = f"{better.more} more {unit}{plural}{of} would cost {better.saved:,.2f} less: {better.cost:,.2f} in all"
        billed[0] = replace(billed[0], note=told)
    return billed


def _by_length(goods: Goods, stock: Sequence[StockItem]) -> tuple[list[tuple[float, list[StockItem]]], str]:
    """What is to be bought of a product by its length, shortest first, and words on what is on hand."""
    own = [item for item in stock if item.product == goods.product]
    groups = [(size, [i for i in own if i.length == size and not i.on_hand]) for size in bought(goods, stock)]
    there = sum(item.on_hand for item in own)
    return groups, f"; {there} on hand {'comes' if there == 1 else 'come'} first" if there else ""


def _need(size: float, group: list[StockItem], parts: Mapping[str, Part]) -> tuple[float, float]:
    """Net need in stock lengths, and the share of the order that is wasted."""
    net = sum(parts[piece].length for item in group for piece in item.along) / size
    return round(net, 3), round(1.0 - net / len(group), 4)


def _made_of(site: Site, group: list[StockItem], parts: Mapping[str, Part]) -> tuple[Share, ...]:
    """Pieces by kind, or members by role."""
    cut = [parts[piece] for item in group for piece in item.pieces]
    counts = Counter(part.kind for part in cut)
    return tuple(
        _share(site, kind, counts[kind], sum(part.length for part in cut if part.kind == kind))
        for kind in KINDS
        if counts[kind]
    )


def _share(site: Site, kind: str, pieces: int, length: float) -> Share:
    rule, source = rule_of(site, kind)
    return Share(kind, pieces, round(length / 1000, 3), rule=rule, source=source)


def _board_line(site: Site, size: float, group: list[StockItem], parts: Mapping[str, Part]) -> TakeoffLine:
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
        made_of=_made_of(site, group, parts),
        source=CUT_PLAN,
    )


def _timber_line(site: Site, size: float, group: list[StockItem], parts: Mapping[str, Part]) -> TakeoffLine:
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
        made_of=_made_of(site, group, parts),
        source=CUT_PLAN,
    )


def _description(site: Site, size: float) -> str:
    boards = site.boards
    return f"{boards.product} board {size:g} x {boards.width:g} x {boards.thickness:g}, {boards.profile}"


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

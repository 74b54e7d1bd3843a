"""Clips and screws: counted as placed, bought in whole packs."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import get_args

from ..checks.sources import PRACTICE
from ..edge_boards import EDGES
from ..plan import Fixing, FixingKind, PieceKind, Share, TakeoffLine
from ..spec import FixingProduct, Site
from .lengths import Part
from .money import Units, exact, larger_but_cheaper, money, price_at, priced_shares, to_the_cent

RULES: dict[FixingKind, str] = {
    "starter clip": "one on each member along a wall, at the side of the boards that faces it",
    "clip": "one in the gap between two courses, on each member that both cross",
    "edge clip": "one on each member, at a side of the boards that faces neither wall nor course",
    "screw": "two where an edge board or a panel crosses a member, one in a narrow rip, and along members under boards "
    "that cross none",
}
"""How each kind is placed; the places themselves are in the plan."""


def fixing_lines(site: Site, fixings: Sequence[Fixing], parts: Mapping[str, Part]) -> list[TakeoffLine]:
    """A line for each kind of fixing, and one for the screws of clips whose packs hold none.

    Of screws it is told which kinds of pieces they hold.
    """
    counts = Counter(fixing.kind for fixing in fixings)
    lines, screws = [], {}
    for kind, rule in RULES.items():
        if not counts[kind]:
            continue
        if kind == "screw":
            held = Counter(parts[fixing.piece].kind for fixing in fixings if fixing.kind == "screw")
            lines += _screw_lines(site, held, rule)
            continue
        product = product_of(site, kind)
        lines.append(_line(kind, product, counts[kind], rule))
        if product.screws:
            screws[kind] = product.screws
    if screws:
        rule = ", ".join(f"{each} for each {kind}" for kind, each in screws.items())
        count = sum(each * counts[kind] for kind, each in screws.items())
        lines.append(_line("clip screw", product_of(site, "clip screw"), count, rule, "the product table"))
    return lines


def _screw_lines(site: Site, held: Counter[str], rule: str) -> list[TakeoffLine]:
    """A line for the screws, and one for those of edge boards where they are bought as others."""
    own = EDGES if site.fixings.edge_screw else ()
    lines = []
    for item, kinds in (("screw", [k for k in get_args(PieceKind) if k not in own]), ("edge screw", own)):
        shares = [Share(kind, held[kind], 0.0) for kind in kinds if held[kind]]
        if shares:
            line = _line(item, product_of(site, item), sum(share.pieces for share in shares), rule)
            lines.append(replace(line, made_of=priced_shares(shares, line.price)))
    return lines


def product_of(site: Site, kind: str) -> FixingProduct:
    """What a kind of fixing is bought as."""
    product = getattr(site.fixings, kind.replace(" ", "_"))
    assert isinstance(product, FixingProduct)  # filled in when the site was read
    return product


def _line(kind: str, product: FixingProduct, count: int, rule: str, source: str = PRACTICE) -> TakeoffLine:
    packs = math.ceil(count / product.pack)
    price = exact(price_at(product.price, product.breaks, Decimal(packs)))
    return TakeoffLine(
        item=kind.replace(" ", "-"),
        description=product.name + (f", pack of {product.pack}" if product.pack > 1 else ""),
        unit="pack" if product.pack > 1 else "piece",
        net=float(count),
        waste=0.0,
        order=packs,
        mass=round(packs * product.pack * product.mass, 1),
        price=money(price, packs),
        unit_price=to_the_cent(price),
        pack=product.pack,
        over=packs * product.pack - count,
        rule=rule,
        source=source,
        note=_note(product, packs),
    )


def _note(product: FixingProduct, packs: int) -> str:
    better = larger_but_cheaper([Units(packs, Decimal(1), exact)], product.price, product.breaks)
    if better is None:
        return ""
    named = ("pack" if product.pack > 1 else "piece") + ("" if better.more == 1 else "s")
    return f"{better.more} more {named} would cost {better.saved:,.2f} less: {better.cost:,.2f} in all"

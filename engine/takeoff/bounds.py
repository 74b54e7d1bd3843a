"""The bounds of the cut plan at the prices that the order reaches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from ..edge_boards import of_edges
from ..plan import Bound, StockItem
from ..spec import Site
from .goods import Goods, boards_of, bought, timber_of
from .lengths import spare_boards
from .money import CENT, cost_of


def as_ordered(site: Site, bounds: Sequence[Bound], stock: Sequence[StockItem]) -> tuple[Bound, ...]:
    """Bounds of boards, of timber and of edge boards, in this order, at the prices that the order reaches.

    Parameters
    ----------
    bounds : sequence of Bound
        At the prices before breaks by quantity.
    """
    boards, timber = boards_of(site), timber_of(site)
    spare = spare_boards(site, bought(boards, stock))
    prices = (boards.price_for(bought(boards, stock) + spare), timber.price_for(bought(timber, stock)))
    found = [_at(goods, price, own, stock) for goods, price, own in zip((boards, timber), prices, bounds, strict=False)]
    edges = boards_of(of_edges(site))
    found += [_at(edges, edges.price_for(bought(edges, stock)), bound, stock) for bound in bounds[2:]]
    return tuple(found)


def _at(goods: Goods, price: float, bound: Bound, stock: Sequence[StockItem]) -> Bound:
    """A bound at another price: no length falls by more than the one that falls most, so neither does what is least."""
    cost = cost_of(goods.order(bought(goods, stock)), price)
    before = {length: Fraction(goods.one(length, goods.price)) for length in goods.lengths}
    falls = min((Fraction(goods.one(at, price)) / was for at, was in before.items() if was), default=Fraction(1))
    least = Decimal(math.floor(falls * Fraction(bound.least_price) / Fraction(CENT))) * CENT
    return replace(bound, price=cost, least_price=min(cost, least))

"""What is sold by the length, boards and timber: what an order of them costs, with breaks by quantity."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from ..cutplan.costs import board_price, timber_price
from ..cutplan.naming import timber_name
from ..plan import StockItem
from ..spec import Break, Site
from .money import Units, cost_of, price_at, quantity_of


@dataclass(frozen=True, slots=True)
class Goods:
    """A product by the length, its price and its breaks.

    `one` gives the price of a length [mm] from the price that a break or the table names, `measure` what a length adds
    to the quantity that breaks ask for.
    """

    product: str
    lengths: tuple[float, ...]
    price: float
    breaks: tuple[Break, ...]
    one: Callable[[float, float], Decimal]
    measure: Callable[[float], Decimal]

    def order(self, counts: Mapping[float, int]) -> list[Units]:
        """An order of so many of each length."""
        return [self._units(length, count) for length, count in counts.items()]

    def price_for(self, counts: Mapping[float, int]) -> float:
        """The price that an order reaches."""
        return price_at(self.price, self.breaks, quantity_of(self.order(counts)))

    def cost(self, counts: Mapping[float, int]) -> Decimal:
        """What an order costs."""
        return cost_of(self.order(counts), self.price_for(counts))

    def _units(self, length: float, count: int) -> Units:
        return Units(count, self.measure(length), lambda price: self.one(length, price))


def boards_of(site: Site) -> Goods:
    """The site's board; breaks count boards of all lengths."""
    assert site.prices.board is not None  # filled in when the site was read
    return Goods(
        site.boards.product,
        site.boards.lengths,
        site.prices.board,
        site.prices.board_breaks or (),
        lambda length, price: board_price(site, length, price),
        lambda _: Decimal(1),
    )


def timber_of(site: Site) -> Goods:
    """The frame's timber; breaks count metres."""
    assert site.prices.timber_metre is not None
    return Goods(
        timber_name(site),
        site.frame.stock_lengths,
        site.prices.timber_metre,
        site.prices.timber_breaks or (),
        lambda length, price: timber_price(site, length, price),
        lambda length: Decimal(str(length)) / 1000,
    )


def bought(goods: Goods, stock: Iterable[StockItem]) -> Counter[float]:
    """How many of each length are to be bought, shortest first."""
    counts = Counter(item.length for item in stock if item.product == goods.product and not item.on_hand)
    return Counter({length: counts[length] for length in sorted(counts)})

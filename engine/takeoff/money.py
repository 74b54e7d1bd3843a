"""Prices as decimals: by quantity, rounded to the cent, and added up.

Numbers of the files are taken as they are written: 0.1 is a tenth. A line is rounded once, half a cent up; the total
is the sum of the lines; tax is rounded once, on the total.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal

from ..plan import Share, TakeoffLine
from ..spec import Break, Prices

CENT = Decimal("0.01")
FINEST = Decimal("0.0001")
"""Unit prices are shown no finer."""


def exact(number: float | Decimal) -> Decimal:
    """A number as it is written."""
    return number if isinstance(number, Decimal) else Decimal(str(number))


def money(unit_price: float | Decimal, count: float | Decimal) -> Decimal:
    """Price of a number of units, rounded to the cent."""
    return (exact(unit_price) * exact(count)).quantize(CENT, ROUND_HALF_UP)


def to_the_cent(unit_price: Decimal) -> Decimal:
    """A unit price with two places, unless it has finer parts."""
    cents = unit_price.quantize(CENT, ROUND_HALF_UP)
    return cents if cents == unit_price else unit_price.normalize()


def as_shown(unit_price: Decimal) -> Decimal:
    """A unit price with two places, or with four where it has finer parts."""
    cents = to_the_cent(unit_price)
    return cents if cents == unit_price.quantize(CENT) else unit_price.quantize(FINEST, ROUND_HALF_UP)


def priced_shares(shares: Sequence[Share], whole: Decimal) -> tuple[Share, ...]:
    """Shares with their parts of a price, by length or else by number, that add up to it.

    Each part is rounded down to the cent; the cents that are left go to the largest remainders, of equal ones to the
    first.
    """
    sizes = [exact(share.metres) if share.metres else Decimal(share.pieces) for share in shares]
    if not shares or not sum(sizes):
        return tuple(shares)
    parts = [whole * size / sum(sizes) for size in sizes]
    cents = [part.quantize(CENT, ROUND_DOWN) for part in parts]
    left = int((whole - sum(cents)) / CENT)
    for i in sorted(range(len(parts)), key=lambda i: (cents[i] - parts[i], i))[:left]:
        cents[i] += CENT
    return tuple(replace(share, price=part) for share, part in zip(shares, cents, strict=True))


def total_price(takeoff: Iterable[TakeoffLine]) -> Decimal:
    """Price of the whole order without tax: the sum of its lines."""
    return sum((line.price for line in takeoff), Decimal("0.00"))


def tax_on(total: Decimal, prices: Prices) -> Decimal:
    """Tax on a total; nothing where the site names none."""
    return money(total, prices.tax or 0.0)


def payable(takeoff: Iterable[TakeoffLine], prices: Prices) -> Decimal:
    """What is paid: the whole order with its tax."""
    total = total_price(takeoff)
    return total + tax_on(total, prices)


def price_at(price: float, breaks: Sequence[Break], quantity: Decimal) -> float:
    """Unit price at a quantity: that of the last break reached."""
    return next((one.price for one in reversed(breaks) if exact(one.start) <= quantity), price)


@dataclass(frozen=True, slots=True)
class Units:
    """Equal units of an order, such as boards of one length.

    `measure` is what each adds to the quantity that breaks ask for: one, or the metres of a timber. `price` gives the
    price of one unit from the price that a break or the table names.
    """

    count: int
    measure: Decimal
    price: Callable[[float], Decimal]


def quantity_of(order: Sequence[Units]) -> Decimal:
    """The quantity that breaks ask for."""
    return sum((units.count * units.measure for units in order), Decimal(0))


def cost_of(order: Sequence[Units], price: float) -> Decimal:
    """What an order costs, each of its lines rounded."""
    return sum((money(units.price(price), units.count) for units in order), Decimal(0))


@dataclass(frozen=True, slots=True)
class Better:
    """An order that costs less though it is larger: by how many of the smallest units, and what it then costs."""

    more: int
    cost: Decimal
    saved: Decimal


def larger_but_cheaper(order: Sequence[Units], price: float, breaks: Sequence[Break]) -> Better | None:
    """The cheapest larger order that reaches a price break and costs less than this one, if there is any."""
    if not order:
        return None
    quantity = quantity_of(order)
    now = cost_of(order, price_at(price, breaks, quantity))
    at = min(range(len(order)), key=lambda i: order[i].measure)
    found = []
    for one in breaks:
        if (start := exact(one.start)) > quantity:
            more = math.ceil((start - quantity) / order[at].measure)
            enlarged = [
                Units(units.count + (more if i == at else 0), units.measure, units.price)
                for i, units in enumerate(order)
            ]
            cost = cost_of(enlarged, one.price)
            found.append(Better(more, cost, now - cost))
    best = min(found, key=lambda better: better.cost, default=None)
    return best if best is not None and best.saved > 0 else None

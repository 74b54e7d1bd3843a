"""What one stock length costs."""

from __future__ import annotations

from decimal import Decimal

from ..spec import Site
from .job import in_steps

CENT = Decimal("0.01")
PARTS = 10_000
"""Parts of a unit of money that costs are reckoned in."""


def board_price(site: Site, length: float, longest: float | None = None) -> Decimal:
    """Price of one board: by the length, from that of the longest, which is the site's before breaks by quantity."""
    price = site.prices.board if longest is None else longest
    assert price is not None  # filled in when the site was read
    share = Decimal(str(length / max(site.boards.lengths)))
    return (Decimal(str(price)) * share).quantize(CENT)


def timber_price(site: Site, length: float, metre: float | None = None) -> Decimal:
    """Price of one length of timber, from that of a metre, which is the site's before breaks by quantity."""
    price = site.prices.timber_metre if metre is None else metre
    assert price is not None
    return Decimal(str(price)) * Decimal(str(length)) / 1000


def whole_costs(prices: list[Decimal], lengths: list[float]) -> list[int]:
    """Prices as whole numbers; where any is nothing, lengths stand for them, so that less is still better."""
    costs = [int(price * PARTS) for price in prices]
    return costs if all(cost > 0 for cost in costs) else [max(1, in_steps(length)) for length in lengths]

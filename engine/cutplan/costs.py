"""What one stock length costs."""

from __future__ import annotations

from decimal import Decimal

from ..spec import Site
from .job import in_steps

CENT = Decimal("0.01")
PARTS = 10_000
"""Parts of a unit of money that costs are reckoned in."""


def board_price(site: Site, length: float) -> Decimal:
    """Price of one board: by the length, from the price of the longest [site's currency]."""
    assert site.prices.board is not None  # filled in when the site was read
    share = Decimal(str(length / max(site.boards.lengths)))
    return (Decimal(str(site.prices.board)) * share).quantize(CENT)


def timber_price(site: Site, length: float) -> Decimal:
    """Price of one length of timber."""
    assert site.prices.timber_metre is not None
    return Decimal(str(site.prices.timber_metre)) * Decimal(str(length)) / 1000


def whole_costs(prices: list[Decimal], lengths: list[float]) -> list[int]:
    """Prices as whole numbers; where any is nothing, lengths stand for them, so that less is still better."""
    costs = [int(price * PARTS) for price in prices]
    return costs if all(cost > 0 for cost in costs) else [max(1, in_steps(length)) for length in lengths]

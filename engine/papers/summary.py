"""The few figures that a client decides on."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ..edge_boards import of_edges
from ..plan import Plan
from ..takeoff import payable


@dataclass(frozen=True, slots=True)
class Summary:
    """What a plan comes to: boards to order, share of board wasted, butt joints, price of all with its tax."""

    boards: int
    waste: float
    joints: int
    price: Decimal
    currency: str
    taxed: bool = False

    def facts(self) -> tuple[tuple[str, str], ...]:
        """Names and values, ready to be printed."""
        return (
            ("Boards to order", f"{self.boards}"),
            ("Waste", f"{100 * self.waste:.1f} %"),
            ("Joints", f"{self.joints}"),
            ("Price with tax" if self.taxed else "Price of materials", f"{self.currency} {self.price:,.2f}"),
        )


def summarise(plan: Plan) -> Summary:
    """Sum up a plan."""
    lengths = {piece.id: piece.length for piece in plan.pieces}
    products = {plan.site.boards.product, of_edges(plan.site).boards.product}
    boards = [item for item in plan.stock if item.product in products and not item.on_hand]
    spare = sum(line.order for line in plan.takeoff if line.item.startswith("spare-board"))
    bought = sum(item.length for item in boards)
    laid = sum(lengths[name] for item in boards for name in item.along)
    return Summary(
        boards=len(boards) + spare,
        waste=1.0 - laid / bought if bought else 0.0,
        joints=len(plan.joints),
        price=payable(plan.takeoff, plan.site.prices),
        taxed=bool(plan.site.prices.tax),
        currency=plan.site.prices.currency,
    )


def difference(first: Summary, other: Summary, name: str) -> str:
    """Say in plain words what another choice takes more or less than the first.

    Parameters
    ----------
    first, other : Summary
        In one currency.
    name : str
        What the first is called.
    """
    boards, price = other.boards - first.boards, other.price - first.price
    if not boards and not price:
        return f"As many boards as {name}, and the same price."
    if not boards:
        return f"As many boards as {name}, but {_money(other, price)}."
    count = f"{abs(boards)} board{'s' if abs(boards) > 1 else ''} {'more' if boards > 0 else 'fewer'}"
    if not price:
        return f"{count} than {name}, at the same price."
    return f"{count} than {name}, {'and' if (boards > 0) == (price > 0) else 'but'} {_money(other, price)}."


def _money(summary: Summary, price: Decimal) -> str:
    return f"{summary.currency} {abs(price):,.2f} {'dearer' if price > 0 else 'cheaper'}"

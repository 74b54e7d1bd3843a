"""The few figures that a client decides on."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ..plan import Plan
from ..takeoff import total_price


@dataclass(frozen=True, slots=True)
class Summary:
    """What a plan comes to: boards to order, share of board wasted, butt joints, price of the whole order."""

    boards: int
    waste: float
    joints: int
    price: Decimal
    currency: str

    def facts(self) -> tuple[tuple[str, str], ...]:
        """Names and values, ready to be printed."""
        return (
            ("Boards to order", f"{self.boards}"),
            ("Waste", f"{100 * self.waste:.1f} %"),
            ("Joints", f"{self.joints}"),
            ("Price of materials", f"{self.currency} {self.price:,.2f}"),
        )


def summarise(plan: Plan) -> Summary:
    """Sum up a plan."""
    product, lengths = plan.site.boards.product, {piece.id: piece.length for piece in plan.pieces}
    boards = [item for item in plan.stock if item.product == product and not item.on_hand]
    bought = sum(item.length for item in boards)
    laid = sum(lengths[name] for item in boards for name in item.along)
    return Summary(
        boards=len(boards),
        waste=1.0 - laid / bought if bought else 0.0,
        joints=len(plan.joints),
        price=total_price(plan.takeoff),
        currency=plan.site.prices.currency,
    )

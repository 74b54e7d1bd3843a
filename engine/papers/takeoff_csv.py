"""The takeoff as a CSV file."""

from __future__ import annotations

import csv
import io

from ..plan import Plan
from ..takeoff import total_price


def takeoff_csv(plan: Plan) -> str:
    """One row for each item to buy, and the total: item, description, unit, net, waste, order, mass, price."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    currency = plan.site.prices.currency
    rows.writerow(["item", "description", "unit", "net", "waste %", "order", "mass kg", f"price {currency}"])
    for line in plan.takeoff:
        waste = f"{100 * line.waste:.1f}"
        rows.writerow(
            [line.item, line.description, line.unit, f"{line.net:g}", waste, line.order, f"{line.mass:.1f}", line.price]
        )
    mass = sum(line.mass for line in plan.takeoff)
    rows.writerow(["total", "", "", "", "", "", f"{mass:.1f}", total_price(plan.takeoff)])
    return out.getvalue()

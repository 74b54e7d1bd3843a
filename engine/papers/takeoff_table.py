"""The takeoff and the failing checks as text for a terminal.

Needs rich, which is imported only when a table is made.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..plan import Plan
from ..takeoff import total_price

if TYPE_CHECKING:
    from rich.table import Table

CAUTION = (
    "Beams, posts and footings are not in this order yet. Spans, guards and steps are for your local code and a "
    "licensed engineer. Composite dust harms lungs and eyes: cut outdoors, with a mask and goggles."
)


def takeoff_table(plan: Plan) -> Table:
    """One row for each item to buy, and the total."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table
    from rich.text import Text

    table = Table(title=Text(f"Takeoff: {plan.name}"), title_justify="left", show_footer=True, box=SIMPLE_HEAD)
    mass = sum(line.mass for line in plan.takeoff)
    table.add_column("item", footer="total")
    for heading, footer in (
        ("net", ""),
        ("waste", ""),
        ("order", ""),
        ("kg", f"{mass:,.0f}"),
        (plan.site.prices.currency, f"{total_price(plan.takeoff):,.2f}"),
    ):
        table.add_column(heading, footer=footer, justify="right", no_wrap=True)
    for line in plan.takeoff:
        waste = f"{100 * line.waste:.1f} %" if line.waste else ""
        table.add_row(
            Text(line.description),  # names are the user's, and may look like markup
            f"{line.net:,.1f}" if line.net != int(line.net) else f"{line.net:,.0f}",
            waste,
            f"{line.order:,}",
            f"{line.mass:,.1f}",
            f"{line.price:,.2f}",
        )
    return table


def failing_checks(plan: Plan) -> list[str]:
    """A line for each check that fails, with its source."""
    return [f"{check.message} ({check.source})" for check in plan.checks if not check.ok]

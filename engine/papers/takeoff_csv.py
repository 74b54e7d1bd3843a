"""The takeoff as a CSV file (RFC 4180), for a spreadsheet or a merchant."""

from __future__ import annotations

import csv
import io

from ..plan import Plan, Share, TakeoffLine
from ..takeoff import NOT_IN_IT, as_shown, payable, tax_on, total_price

COLUMNS = (
    "item", "description", "unit", "net", "waste %", "order", "mass kg", "price", "each", "pack", "left over",
    "made of", "rule", "source", "note",
)  # fmt: skip
"""Headings; those of money are followed by the currency."""


def takeoff_csv(plan: Plan) -> str:
    """One row for each item to buy, and the total; with tax, two more.

    Numbers are plain, with a point and without thousands' marks; lines end as the RFC has it, with CR and LF. `net` is
    in stock lengths or in pieces, `each` the price of one unit of the order, `pack` the pieces in one, `made of` the
    kinds of pieces, or of members of the frame, each with its part of the price.
    """
    prices = plan.site.prices
    out = io.StringIO()
    rows = csv.writer(out)  # the module's own dialect is the RFC's
    rows.writerow([f"{name} {prices.currency}" if name in ("price", "each") else name for name in COLUMNS])
    rows.writerows(_row(line) for line in plan.takeoff)
    mass, total = sum(line.mass for line in plan.takeoff), total_price(plan.takeoff)
    blank = [""] * (len(COLUMNS) - 8)
    rows.writerow(["total", f"not in it: {NOT_IN_IT}", "", "", "", "", f"{mass:.1f}", total, *blank])
    if prices.tax:
        rows.writerow(["tax", f"{100 * prices.tax:g} % of the total", *[""] * 5, tax_on(total, prices), *blank])
        rows.writerow(["to pay", "total and tax", *[""] * 5, payable(plan.takeoff, prices), *blank])
    return out.getvalue()


def _row(line: TakeoffLine) -> list[object]:
    made_of = "; ".join(_share(share) for share in line.made_of)
    waste, mass = f"{100 * line.waste:.1f}", f"{line.mass:.1f}"
    counted = [line.item, line.description, line.unit, f"{line.net:.10g}", waste, line.order, mass, line.price]
    kinds = [f"{share.kind}: {share.rule} ({share.source})" for share in line.made_of if share.rule]
    rule = "; ".join([line.rule, *kinds])
    return [*counted, as_shown(line.unit_price), line.pack, line.over, made_of, rule, line.source, line.note]


def _share(share: Share) -> str:
    much = f"{share.metres:g} m in {share.pieces}" if share.metres else f"{share.pieces}"
    return f"{share.kind} {much} for {share.price}"

"""Every way to lay a deck as a CSV file (RFC 4180)."""

from __future__ import annotations

import csv
import io

from ..options import Option, Options

COLUMNS = (
    "number", "direction", "joint pattern", "start edge", "joists", "stock mm", "boards", "waste %", "joints",
    "doubled joist m", "narrowest mm", "shortest mm", "price", "unbeaten", "same as", "against it", "effort",
)  # fmt: skip
"""Headings; that of the price is followed by the currency. `direction` is empty where zones keep their own."""


def options_csv(options: Options) -> str:
    """One row for each way that was tried, in the order of their numbers."""
    out = io.StringIO()
    rows = csv.writer(out)  # the module's own dialect is the RFC's
    rows.writerow([f"{name} {options.site.prices.currency}" if name == "price" else name for name in COLUMNS])
    rows.writerows(_row(row, options) for row in options.rows)
    return out.getvalue()


def _row(row: Option, options: Options) -> list[object]:
    choice, figures = row.choice, row.figures
    centres = choice.centres if isinstance(choice.centres, str) else f"{choice.centres:g}"
    direction = "" if choice.direction is None else f"{choice.direction:g}"
    way = [direction, choice.joints, choice.start_edge, centres, "+".join(f"{length:g}" for length in choice.lengths)]
    counts: list[object] = [""] * 7
    if figures is not None:
        lengths = [f"{figures.doubled:.1f}", f"{figures.narrowest:.0f}", f"{figures.shortest:.0f}"]
        counts = [figures.boards, f"{100 * figures.waste:.2f}", figures.joints, *lengths, figures.price]
    mark = "yes" if row.unbeaten else "no"
    return [
        row.number,
        *way,
        *counts,
        mark,
        row.same_as or "",
        "; ".join(words for _, words in row.faults),
        options.effort,
    ]

"""Ways to lay a deck as text for a terminal of 80 columns.

Needs rich, which is imported only when a table is made.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from ..options import Options
from .options_words import faults_told, numbers, searched, verdict, way_of

if TYPE_CHECKING:
    from rich.table import Table

UNBEATEN = "*"
_FIGURES = ("boards", "waste", "butts", "dbl m", "rip", "short")


def options_table(options: Options) -> Table:
    """One row for each way that comes to something of its own: the best, then the sound, then those with faults."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table
    from rich.text import Text

    table = Table(
        title=Text(f"Options: {options.site.name}"),
        title_justify="left",
        show_edge=False,
        pad_edge=False,
        box=SIMPLE_HEAD,
        padding=(0, 0, 0, 1),
    )
    table.add_column("no", justify="right", no_wrap=True)
    table.add_column("way")
    for heading in (*_FIGURES, options.site.prices.currency):
        table.add_column(heading, justify="right", no_wrap=True)
    ways, shown = [row.choice for row in options.rows], options.different
    kinds = [(row.unbeaten, bool(row.faults), row.figures is None) for row in shown]
    ends = {i for i, (kind, following) in enumerate(pairwise(kinds)) if kind != following}
    for i, row in enumerate(shown):
        style = "bold" if row.unbeaten else "dim" if row.faults else ""
        cells = ["-"] * (len(_FIGURES) + 1)
        if row.figures is not None:
            own = row.figures
            cells = [f"{own.boards:,}", f"{100 * own.waste:.1f}%", f"{own.joints:,}", f"{own.doubled:,.1f}"]
            cells += [f"{own.narrowest:.0f}", f"{own.shortest:,.0f}", f"{own.price:,.2f}"]
        number = f"{row.number}{UNBEATEN if row.unbeaten else ' '}"
        table.add_row(number, way_of(row.choice, ways), *cells, style=style, end_section=i in ends)
    return table


def options_notes(options: Options) -> list[str]:
    """What the table's words mean, what is against ways, and which is the cheapest of the best: a line each."""
    notes = [
        f"{UNBEATEN} No other way beats it on all counts. 1 is what the site file has. Boards run along or square to "
        "the start edge, whose number follows `from`. Butts are joints, dbl m is doubled joist in metres; rip is the "
        "narrowest course and short the shortest piece in the field, in mm."
    ]
    same = [f"{row.number} and {numbers(own)}" for row in options.different if (own := options.alike(row.number))]
    if same:
        notes.append(f"These come to the same: {'; '.join(same)}.")
    if options.everywhere:
        notes += [f"Whichever way: {fault}" for fault in options.everywhere]
    if any(row.faults for row in options.rows):
        what = "every way has some, so all are compared" if options.faulty else "these ways are not compared"
        notes.append(f"Checks that fail ({what}; in full in options.csv):")
        notes += [f"  {line}" for line in faults_told(options)]
    return [*notes, searched(options), verdict(options)]

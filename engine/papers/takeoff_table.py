"""The takeoff and the failing checks as text for a terminal of 80 columns.

Needs rich, which is imported only when a table is made.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from ..plan import Plan, Share, TakeoffLine
from ..takeoff import NOT_IN_IT, as_shown, payable, tax_on, total_price

if TYPE_CHECKING:
    from rich.table import Table

CAUTION = (
    "Spans, guards and steps are for your local code and a licensed engineer. Composite dust harms lungs and eyes: "
    "cut outdoors, with a mask and goggles."
)


def takeoff_table(plan: Plan) -> Table:
    """One row for each item to buy, what of the boards lies at edges, and the total."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table
    from rich.text import Text

    title = Text(f"Takeoff: {plan.name}")
    table = Table(
        title=title,
        title_justify="left",
        show_footer=True,
        show_edge=False,
        pad_edge=False,
        box=SIMPLE_HEAD,
        padding=(0, 0, 0, 1),
    )
    names, amounts = zip(*_totals(plan), strict=True)
    table.add_column("item", footer="\n".join(names))
    for heading in ("need", "left", "order", "each"):
        table.add_column(heading, justify="right", no_wrap=True)
    table.add_column(plan.site.prices.currency, footer="\n".join(amounts), justify="right", no_wrap=True)
    for line in plan.takeoff:
        table.add_row(
            Text(line.description),  # names are the user's, and may look like markup
            _number(line.net) if line.net else "",
            f"{100 * line.waste:.1f} %" if line.waste else f"{line.over:,}" if line.over else "",
            f"{line.order:,}",
            f"{as_shown(line.unit_price):,}",
            f"{line.price:,.2f}",
        )
        kinds = () if line.unit == "length" else line.made_of
        if {share.kind for share in kinds} != {"board"}:
            for share in kinds:
                table.add_row(*_part(share), "", "", "", f"{share.price:,.2f}", style="dim")
    return table


def _part(share: Share) -> tuple[str, str]:
    """What of an item a kind of pieces takes: boards by length, screws by number."""
    part = f"  of it for {share.kind}"
    if not share.metres:
        return part, f"{share.pieces:,}"
    return f"{part}: {share.pieces} piece{'' if share.pieces == 1 else 's'}", f"{share.metres:,.1f} m"


def takeoff_notes(plan: Plan) -> list[str]:
    """What a buyer should know of the takeoff, a line each: cheaper orders, rules and their sources, what is not in it.

    Returns
    -------
    list of str
        Plain text.
    """
    notes = [f"Cheaper: {line.description}: {line.note}." for line in plan.takeoff if line.note]
    rules: dict[tuple[str, str], str] = {}
    for line in plan.takeoff:
        rules.setdefault((line.rule, line.source), _what(line))
    notes += [f"{what[0].upper()}{what[1:]}: {rule} ({source})." for (rule, source), what in rules.items() if rule]
    notes += _rules_of_kinds(plan)
    notes += _timber_by_role(plan)
    invented = [what for line in plan.takeoff if _key(line) in plan.site.prices.invented for what in [_what(line)]]
    if invented:
        notes.append(f"Invented prices, for want of your own: {', '.join(dict.fromkeys(invented))}.")
    return [*notes, f"Not in it: {NOT_IN_IT}."]


def failing_checks(plan: Plan) -> list[str]:
    """A line for each check that fails, with its source."""
    return [f"{check.message} ({check.source})" for check in plan.checks if not check.ok]


def _totals(plan: Plan) -> list[tuple[str, str]]:
    prices, total = plan.site.prices, total_price(plan.takeoff)
    mass = sum(line.mass for line in plan.takeoff)
    rows = [(f"total, {mass:,.0f} kg", total)]
    if prices.tax:
        rows = [(f"{rows[0][0]}, without tax", total), (f"tax, {100 * prices.tax:g} %", tax_on(total, prices))]
        rows.append(("to pay", payable(plan.takeoff, prices)))
    return [(name, f"{amount:,.2f}") for name, amount in rows]


def _rules_of_kinds(plan: Plan) -> list[str]:
    """What edge boards and members of the frame are there for, kind by kind."""
    shares = {share.kind: share for line in plan.takeoff for share in line.made_of if share.rule}
    return [f"{kind[0].upper()}{kind[1:]}: {share.rule} ({share.source})." for kind, share in shares.items()]


def _timber_by_role(plan: Plan) -> list[str]:
    """What the timber is for, over all its lengths."""
    shares = [share for line in plan.takeoff if line.unit == "length" for share in line.made_of]
    roles = dict.fromkeys(share.kind for share in shares)
    told = []
    for role in roles:
        own = [share for share in shares if share.kind == role]
        pieces, price = sum(share.pieces for share in own), sum((share.price for share in own), Decimal(0))
        told.append(f"{role} {sum(share.metres for share in own):,.1f} m in {pieces:,}, {price:,.2f}")
    return [f"Timber is for: {'; '.join(told)}."] if told else []


def _number(value: float) -> str:
    return f"{value:,.0f}" if value == int(value) else f"{value:,.1f}"


def _what(line: TakeoffLine) -> str:
    """What an item is, in a word or two, whatever its length."""
    word = {"board": "boards", "length": "timber"}.get(line.unit)
    if word is None:
        return line.item.replace("-", " ") + "s"
    kind = next((kind for kind in ("spare", "edge") if line.item.startswith(f"{kind}-board")), None)
    return word if kind is None else f"{kind} {word}"


def _key(line: TakeoffLine) -> str:
    """The key of its price in a site file."""
    if line.item.startswith("edge-board"):
        return "edge_board"
    return {"board": "board", "length": "timber_metre"}.get(line.unit) or line.item.replace("-", "_")

"""What planning saves, told in one sentence."""

from __future__ import annotations

from collections.abc import Sequence

from ..cutplan.habit import boards_by_habit
from ..cutplan.quick import boards_for
from ..laid import LaidZone
from ..plan import Check, StockItem
from ..spec import Site
from ..takeoff.goods import boards_of, bought
from ..takeoff.lengths import spare_boards
from .sources import PRACTICE

SAVING = "site habit"
"""Id of the line that tells what planning saves."""


def saving(site: Site, zones: Sequence[LaidZone], stock: Sequence[StockItem]) -> list[Check]:
    """Boards that the courses take as planned, and as they are usually cut on site, and what that saves of the order.

    Parameters
    ----------
    zones : sequence of LaidZone
        Of all decks, which are bought together.
    stock : sequence of StockItem
        What the cut plan saws; its boards, and the spare ones, are what price breaks go by.
    """
    lengths = [piece.length for zone in zones for piece in zone.pieces if piece.kind == "board"]
    if not lengths:
        return []
    sold, pattern = zones[0].site.boards.lengths, site.pattern
    planned = len(boards_for(lengths, sold, pattern.kerf, pattern.kept_offcuts))
    habit = sum(boards_by_habit(zone.site, zone.field.runs) for zone in zones)
    text = f"the courses take {planned} boards as planned, and {habit} if each course begins with the offcut of the"
    text += f" last, on joists at {site.frame.max_centres:g} mm"
    if habit > planned:
        text += _told(site, stock, habit - planned, max(zones[0].site.boards.lengths))
    return [Check(SAVING, PRACTICE, planned, habit, "boards", True, text)]


def _told(site: Site, stock: Sequence[StockItem], saved: int, longest: float) -> str:
    """What boards fewer save of the whole order of boards, at the price that each of the two orders reaches.

    They are of the length that the joints are set out for.
    """
    goods = boards_of(site)
    order = bought(goods, stock)
    order += spare_boards(site, order)
    more = order.copy()
    more[min(own for own in site.boards.lengths if own >= longest)] += saved
    price = goods.cost(more) - goods.cost(order)
    text = f": the plan saves {saved} board{'' if saved == 1 else 's'}"
    if price > 0:
        return f"{text}, {site.prices.currency} {price:,.2f}"
    return f"{text}, though so many more would reach a price break and cost no more"

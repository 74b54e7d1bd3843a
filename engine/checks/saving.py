"""What planning saves, told in one sentence."""

from __future__ import annotations

from collections.abc import Sequence

from ..cutplan.costs import board_price
from ..cutplan.habit import boards_by_habit
from ..cutplan.pack import pack
from ..laid import LaidZone
from ..plan import Check
from ..spec import Site
from .sources import PRACTICE

SAVING = "site habit"
"""Id of the line that tells what planning saves."""


def saving(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
    """Boards that the courses take as planned, and as they are usually cut on site."""
    lengths = [piece.length for zone in zones for piece in zone.pieces if piece.kind == "board"]
    if not lengths:
        return []
    planned = len(pack(lengths, site.boards.lengths, site.pattern.kerf))
    habit = sum(boards_by_habit(site, zone.field.runs) for zone in zones)
    text = f"the courses take {planned} boards as planned, and {habit} if each course begins with the offcut of the"
    text += f" last, on joists at {site.frame.max_centres:g} mm"
    if habit > planned:
        saved = habit - planned
        price = saved * board_price(site, max(site.boards.lengths))
        text += f": the plan saves {saved} board{'' if saved == 1 else 's'}, {site.prices.currency} {price:,.2f}"
    return [Check(SAVING, PRACTICE, planned, habit, "boards", True, text)]

"""The whole order, line by line."""

from __future__ import annotations

from ..edge_boards import of_edges
from ..plan import Fixing, StockItem, TakeoffLine
from ..spec import Site
from .fixings import fixing_lines
from .lengths import Part, board_lines, timber_lines

NOT_IN_IT = (
    "beams, posts and footings; what fixes ledger, joists and rims to each other and to the house; end caps; what lies "
    "under the deck; delivery"
)
"""What a deck takes and the takeoff does not count yet."""


def take_off(
    site: Site, stock: tuple[StockItem, ...], parts: dict[str, Part], fixings: tuple[Fixing, ...]
) -> tuple[TakeoffLine, ...]:
    """Count boards, timber and fixings.

    Parameters
    ----------
    stock : tuple of StockItem
        What is cut, from the cut plan.
    parts : dict
        Kind and length of every piece and member, by id.
    fixings : tuple of Fixing
        Clips and screws as placed.
    """
    return (
        *board_lines(site, stock, parts),
        *(board_lines(of_edges(site), stock, parts, "edge-board") if site.edge_boards else ()),
        *timber_lines(site, stock, parts),
        *fixing_lines(site, fixings, parts),
    )

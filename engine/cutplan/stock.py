"""The cut plan: every piece and every member assigned to the stock it is cut from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..errors import SiteError
from ..frame.setout import SetOut
from ..layout.pieces import LaidPiece
from ..plan import Bound, StockItem
from ..spec import Site
from .pack import TIGHT, fewest, pack

TIMBER_KERF = 3.0
"""What a hand-held circular saw takes of a timber [mm]; common practice, no source."""


@dataclass(frozen=True, slots=True)
class CutPlan:
    """Stock to buy, and the stock that each piece or member is cut from."""

    stock: tuple[StockItem, ...]
    source: dict[str, str]
    bounds: tuple[Bound, ...]


def timber_name(site: Site) -> str:
    """Product name of the frame's timber: its section."""
    breadth, depth = site.frame.section
    return f"timber-{breadth:g}x{depth:g}"


def plan_cuts(site: Site, pieces: Sequence[LaidPiece], frame: Sequence[SetOut]) -> CutPlan:
    """Cut all boards and all timber from as little stock as the quick rule finds.

    Raises
    ------
    SiteError
        If a piece is longer than any board, since the pattern left its course no line to be butted on.
    """
    _check_lengths(site, pieces)
    boards = _cut(
        "board", site.boards.product, [(p.id, p.length) for p in pieces], site.boards.lengths, site.pattern.kerf
    )
    timber = _cut("timber", timber_name(site), [(m.id, m.length) for m in frame], site.frame.stock_lengths, TIMBER_KERF)
    items = boards[0] + timber[0]
    source = {piece: item.id for item in items for piece in item.pieces}
    return CutPlan(tuple(items), source, (boards[1], timber[1]))


def _check_lengths(site: Site, pieces: Sequence[LaidPiece]) -> None:
    longest = max(site.boards.lengths)
    for piece in pieces:
        if piece.length > longest + TIGHT:
            found = f"no board gives {piece.id}, {piece.length:.0f} mm with its oversail"
            raise SiteError("boards.lengths", found, "no joint line is free for it: closer joists or longer boards")


def _cut(
    prefix: str, product: str, wanted: list[tuple[str, float]], stock: Sequence[float], kerf: float
) -> tuple[list[StockItem], Bound]:
    lengths = [length for _, length in wanted]
    items = [
        StockItem(
            id=f"{prefix}-{number}",
            product=product,
            length=cutting.length,
            pieces=tuple(wanted[i][0] for i in cutting.pieces),
            kerf=kerf,
            offcut=round(cutting.offcut, 3),
        )
        for number, cutting in enumerate(pack(lengths, stock, kerf), start=1)
    ]
    method = "cutting alone: total length with kerfs, and pieces over half a stock length; joints taken as laid"
    return items, Bound(product, len(items), fewest(lengths, stock, kerf), method)

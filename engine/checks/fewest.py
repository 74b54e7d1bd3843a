"""How few boards could do, in plain words: wherever the joints lie, and with the pieces as they are."""

from __future__ import annotations

from ..plan import Bound, Check

FEWEST = "fewest boards"
"""Id of the line that tells how few could do."""
RECKONED = "reckoned from lengths; see bounds"


def fewest_boards(bound: Bound) -> Check:
    """The order beside what no plan with as many joints, and no cutting of these pieces, goes below."""
    text = f"{bound.stock_used} {bound.product} to buy; no plan with as many joints takes fewer than"
    text += f" {bound.joints_bound}, wherever they lie, and no cutting of these pieces fewer than {bound.lower_bound}"
    if not bound.proved and bound.lower_bound < bound.stock_used:
        text += " (more may be needed: that is not proved)"
    least = max(bound.joints_bound, bound.lower_bound)
    return Check(FEWEST, RECKONED, bound.stock_used, least, "boards", True, text)

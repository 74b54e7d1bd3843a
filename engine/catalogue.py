"""The product table: what a board is when the site file gives no more than its name."""

from __future__ import annotations

import difflib
import tomllib
from functools import cache
from importlib import resources
from typing import Any

from .errors import SiteError


@cache
def _table() -> dict[str, Any]:
    text = resources.files(__package__).joinpath("catalogue.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def board_values(product: str) -> dict[str, Any]:
    """Values of one board in the product table, in mm.

    Raises
    ------
    SiteError
        If the table has no such product.
    """
    boards: dict[str, dict[str, Any]] = _table()["boards"]
    if product not in boards:
        near = difflib.get_close_matches(product, list(boards), n=1)
        wanted = f"did you mean '{near[0]}'?" if near else f"the product table has {', '.join(boards)}"
        raise SiteError("boards.product", repr(product), wanted)
    return {key: value for key, value in boards[product].items() if key != "colours"}


def board_colours(product: str, own: str) -> dict[str, str]:
    """Colours that a board is sold in, by name; `own` is among them under 'as chosen' if the table lacks it."""
    known: dict[str, str] = _table()["boards"].get(product, {}).get("colours", {})
    return known if own in known.values() else {"as chosen": own, **known}


def default_price(item: str) -> float:
    """Unit price of an item, in the table's own money."""
    return float(_table()["prices"][item])

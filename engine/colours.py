"""Colours as people in the trade write them: sRGB as `#rrggbb`, or a number of RAL Classic."""

from __future__ import annotations

import difflib
import re
import tomllib
from functools import cache
from importlib import resources

HEX_SHAPE = "^#[0-9a-fA-F]{6}$"
RAL_SHAPE = "^[Rr][Aa][Ll] ?[0-9]{4}$"
WRITTEN_SHAPE = f"({HEX_SHAPE})|({RAL_SHAPE})"
"""What a file may write for a colour."""
NEAR = 3
"""How many numbers to name where one is unknown (ours)."""


@cache
def _classic() -> dict[str, dict[str, str]]:
    text = resources.files(__package__).joinpath("ral_classic.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def ral_numbers() -> tuple[str, ...]:
    """Give the numbers of RAL Classic that are known."""
    return tuple(_classic())


def screen_colour(written: str) -> str:
    """Turn a number of RAL Classic into `#rrggbb`; any other text comes back as it is.

    Parameters
    ----------
    written : str
        As `RAL 7016`, `RAL7016` or `ral 7016`.

    Raises
    ------
    ValueError
        If RAL Classic has no such number; the text names near ones.
    """
    if not re.fullmatch(RAL_SHAPE, written):
        return written
    table, number = _classic(), written[-4:]
    if number not in table:
        swapped = [each for each in table if sorted(each) == sorted(number)]
        near = (swapped + difflib.get_close_matches(number, table, n=NEAR, cutoff=0.0))[:NEAR]
        names = ", ".join(f"RAL {each} ({table[each]['name']})" for each in near)
        raise ValueError(f"no number of RAL Classic; near it are {names}")
    return table[number]["colour"]

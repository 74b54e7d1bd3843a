"""How long the engine may search for a cheaper plan."""

from __future__ import annotations

from typing import Literal, get_args

Effort = Literal["quick", "normal", "thorough"]

FOR_AN_ORDER: Effort = "normal"
"""The effort of what is handed over, from the command line or by a button, so that both give the same files."""


def up_to(effort: Effort) -> tuple[Effort, ...]:
    """All efforts from the least to the one given."""
    efforts: tuple[Effort, ...] = get_args(Effort)
    return efforts[: efforts.index(effort) + 1]

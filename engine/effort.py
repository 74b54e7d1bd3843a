"""How long the engine may search for a cheaper plan."""

from __future__ import annotations

from typing import Literal

Effort = Literal["quick", "normal", "thorough"]

FOR_AN_ORDER: Effort = "normal"
"""The effort of what is handed over, from the command line or by a button, so that both give the same files."""

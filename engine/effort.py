"""How long the engine may search for a cheaper plan."""

from __future__ import annotations

from typing import Literal

Effort = Literal["quick", "normal", "thorough"]

"""How long a task will take yet, from how far it has come."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

SOONEST = 0.02
"""The share done from which a guess is worth telling (ours)."""


@dataclass(slots=True)
class Pace:
    """Tells the time left of a task that began when this was made. `clock` gives the time [s]."""

    clock: Callable[[], float] = time.monotonic
    start: float = field(init=False)

    def __post_init__(self) -> None:
        self.start = self.clock()

    def left(self, done: float) -> str:
        """Say the time left at a share done [0 to 1], in words; nothing where it is too soon to tell."""
        if not SOONEST <= done < 1.0:
            return ""
        return f"{spoken((self.clock() - self.start) / done * (1 - done))} left"


def spoken(seconds: float) -> str:
    """Give a time in words, no finer than anyone wants to know it."""
    if seconds < 60:
        return f"{max(5, 5 * round(seconds / 5))} s"
    return f"about {round(seconds / 60)} min"

"""How the units of a wall differ in colour: every brick, stone or board has a tone of its own.

A tone is what the red, green and blue of the wall's colour are multiplied by [linear]; their mean over many units
is 1, so that a wall as a whole has the colour that was asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from .board_mesh import randoms
from .mesh import Triple


@dataclass(frozen=True, slots=True)
class Sort:
    """One sort of unit in a load: its share, and its tone before the load's mean is taken out."""

    share: float
    tone: Triple


@dataclass(frozen=True, slots=True)
class Load:
    """A load of units: its sorts, and how far units of one sort stray in lightness and from blue to red."""

    sorts: tuple[Sort, ...]
    light: float
    warm: float

    def tone(self, key: str) -> Triple:
        """Give the tone that belongs to a unit's name."""
        luck, shade, tint = randoms(key)
        at, chosen = luck * sum(sort.share for sort in self.sorts), self.sorts[-1]
        for sort in self.sorts:
            if at < sort.share:
                chosen = sort
                break
            at -= sort.share
        light, warm = 1 + self.light * (2 * shade - 1), self.warm * (2 * tint - 1)
        red, green, blue = (part / mean for part, mean in zip(chosen.tone, _mean(self.sorts), strict=True))
        return light * red * (1 + warm), light * green, light * blue * (1 - warm)


@cache
def _mean(sorts: tuple[Sort, ...]) -> Triple:
    whole = sum(sort.share for sort in sorts)
    red, green, blue = (sum(sort.share * sort.tone[i] for sort in sorts) / whole for i in range(3))
    return red, green, blue


BRICKS = Load(
    (
        Sort(0.40, (1.00, 1.00, 1.00)),
        Sort(0.17, (0.76, 0.84, 0.96)),  # harder fired: plum
        Sort(0.15, (0.84, 0.97, 0.92)),  # brown
        Sort(0.16, (1.14, 1.30, 1.28)),  # sand-faced: paler, less red
        Sort(0.07, (0.46, 0.58, 0.74)),  # burnt dark, nearly grey
        Sort(0.05, (1.36, 1.40, 1.26)),  # salmon: from the cool end of the kiln
    ),
    light=0.15,
    warm=0.05,
)
"""A multi-coloured facing brick (shares by eye, no source)."""
STONES = Load(
    (Sort(0.6, (1.0, 1.0, 1.0)), Sort(0.25, (0.84, 0.82, 0.78)), Sort(0.15, (1.16, 1.18, 1.20))), light=0.10, warm=0.04
)
"""Walling stone of one quarry (by eye, no source)."""
BOARDS = Load((Sort(0.75, (1.0, 1.0, 1.0)), Sort(0.25, (0.90, 0.87, 0.84))), light=0.09, warm=0.03)
"""Sawn cladding boards (by eye, no source)."""

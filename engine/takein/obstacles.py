"""What stands in the way of the boards."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from ..spec import Deck, Obstacle
from .cut import shadow_between
from .lines import straightened
from .model import Solid

FLAT = ("gully", "cover")
"""Kinds that lie on the ground under the boards and are still to be reached through them."""


def obstacles_of(
    things: Sequence[Solid], decks: Sequence[Deck], thickness: float
) -> tuple[tuple[Obstacle, ...], list[str]]:
    """Footprints of things at the height of the boards of each deck.

    Parameters
    ----------
    things : sequence of Solid
    decks : sequence of Deck
    thickness : float
        Of the boards [mm].

    Returns
    -------
    obstacles : tuple of Obstacle
        In the order of the things; one for each part that meets a deck.
    told : list of str
        Which things were left out, and why.
    """
    found: list[Obstacle] = []
    told = []
    for thing in things:
        parts, seen = [], False
        for deck in decks:
            shadow = _shadow(thing, deck.surface, thickness)
            seen = seen or not shadow.is_empty
            parts += [part for part in shapely.get_parts(shadow) if part.intersects(Polygon(deck.outline))]
        if not parts:
            where = "beside the deck" if seen else "above or below the boards"
            told.append(f"'{thing.name}' lies {where} and is left out")
        parts = list(shapely.get_parts(shapely.union_all(parts)))  # what meets two decks is one thing
        for number, part in enumerate(parts, 1):
            name = thing.name if len(parts) == 1 else f"{thing.name} {number}"
            outline = straightened(orient(part).exterior.coords)
            treatment: Literal["cut", "hatch"] = "hatch" if thing.kind == "cover" else "cut"
            found.append(Obstacle(name=name, kind=thing.kind, outline=outline, treatment=treatment))
    return tuple(found), told


def _shadow(thing: Solid, surface: float, thickness: float) -> BaseGeometry:
    """What lies under the boards matters only where it is a thing to be reached."""
    low = surface - thickness
    if thing.kind in FLAT:
        low = min(low, float(thing.vertices[:, 2].min()) - 1.0)
    return shadow_between(thing, low, surface)

"""What stands in the way of the boards."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from ..spec import Obstacle
from .cut import shadow_between
from .lines import straightened
from .model import Solid

FLAT = ("gully", "cover")
"""Kinds that lie on the ground under the boards and are still to be reached through them."""


def obstacles_of(
    things: Sequence[Solid], deck: Polygon, thickness: float, surface: float
) -> tuple[tuple[Obstacle, ...], list[str]]:
    """Footprints of things at the height of the boards.

    Parameters
    ----------
    things : sequence of Solid
    deck : Polygon
        [mm]
    thickness, surface : float
        Of the boards, and the height of their top above the ground [mm].

    Returns
    -------
    obstacles : tuple of Obstacle
        In the order of the things; one for each part that meets the deck.
    told : list of str
        Which things were left out, and why.
    """
    found: list[Obstacle] = []
    told = []
    for thing in things:
        # What lies under the boards matters only where it is a thing to be reached.
        low = float(thing.vertices[:, 2].min()) - 1.0 if thing.kind in FLAT else surface - thickness
        shadow = shadow_between(thing, min(low, surface - thickness), surface)
        parts = [part for part in shapely.get_parts(shadow) if part.intersects(deck)]
        if not parts:
            where = "beside the deck" if not shadow.is_empty else "above or below the boards"
            told.append(f"'{thing.name}' lies {where} and is left out")
        for number, part in enumerate(parts, 1):
            name = thing.name if len(parts) == 1 else f"{thing.name} {number}"
            treatment = "hatch" if thing.kind == "cover" else "cut"
            outline = straightened(orient(part).exterior.coords)
            found.append(Obstacle(name=name, kind=thing.kind, outline=outline, treatment=treatment))  # type: ignore[arg-type]
    return tuple(found), told

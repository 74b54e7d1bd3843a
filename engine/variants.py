"""The choices that a client compares, each as a site of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, cast, get_args

from .catalogue import board_colours
from .errors import SiteError
from .site import with_choices
from .spec import Side, Site

Varied = Literal["side", "direction", "colour"]
DIRECTIONS = ("0", "45", "90")
SIDE_LABELS: dict[Side, str] = {"grain": "Grain side up", "grooved": "Grooved side up"}


@dataclass(frozen=True, slots=True)
class Variant:
    """One choice: a short name for files, a label for people, and the site with the choice made."""

    key: str
    label: str
    site: Site


def variants(site: Site, vary: Varied, choices: Sequence[str] = ()) -> tuple[Variant, ...]:
    """Sites that differ in one thing alone.

    Parameters
    ----------
    vary : str
        What differs.
    choices : sequence of str
        Which values to compare; none: both sides; 0, 45 and 90 degrees; or the board's colours.

    Raises
    ------
    SiteError
        If a choice is not one of that kind.
    """
    if vary == "side":
        return tuple(_side(site, choice) for choice in choices or get_args(Side))
    if vary == "direction":
        return tuple(_direction(site, choice) for choice in choices or DIRECTIONS)
    return tuple(_colour(site, choice) for choice in choices or board_colours(site.boards.product, site.boards.colour))


def _side(site: Site, choice: str) -> Variant:
    if choice not in get_args(Side):
        raise SiteError("choices", repr(choice), "a side is 'grain' or 'grooved'")
    side = cast(Side, choice)
    return Variant(side, SIDE_LABELS[side], with_choices(site, side=side))


def _direction(site: Site, choice: str) -> Variant:
    try:
        angle = float(choice)
    except ValueError:
        raise SiteError("choices", repr(choice), "a direction is a number of degrees, as 45") from None
    words = {0.0: "Boards along the house", 90.0: "Boards square to the house"}
    return Variant(
        f"{angle:g}deg", words.get(angle, f"Boards at {angle:g}° to the house"), with_choices(site, direction=angle)
    )


def _colour(site: Site, choice: str) -> Variant:
    known = board_colours(site.boards.product, site.boards.colour)
    colour = known.get(choice, choice)
    if not (len(colour) == 7 and colour[0] == "#" and all(c in "0123456789abcdefABCDEF" for c in colour[1:])):
        raise SiteError("choices", repr(choice), f"a colour is #rrggbb, or one of {', '.join(known)}")
    name = next((name for name, value in known.items() if value == colour), colour)
    return Variant(name.replace(" ", "-").replace("#", ""), name.capitalize(), with_choices(site, colour=colour))

"""The choices that a client compares, each as a site of its own."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, cast, get_args

from .catalogue import board_colours
from .colours import HEX_SHAPE, RAL_SHAPE, screen_colour
from .errors import SiteError
from .papers.sheet_layout import FEWEST, MOST
from .site import with_choices
from .spec import JointPattern, Side, Site

Varied = Literal["side", "direction", "colour", "pattern", "border"]
DIRECTIONS = ("0", "45", "90")
BORDERS = ("none", "one", "two")
SIDE_LABELS: dict[Side, str] = {"grain": "Grain side up", "grooved": "Grooved side up"}
JOINT_LABELS: dict[JointPattern, str] = {
    "half": "Joints in half bond",
    "third": "Joints in third bond",
    "scattered": "Scattered joints",
    "none": "Whole boards where they reach",
}
BORDER_LABELS = {"none": "No border", "one": "Border of one board", "two": "Border of two boards"}
CORNER_LABELS = {"mitre": "mitred corners", "butt": "butted corners"}
QUESTIONS: dict[Varied, str] = {
    "side": "Which side up?",
    "direction": "Which way do the boards run?",
    "colour": "Which colour?",
    "pattern": "Where are the boards joined?",
    "border": "With a border?",
}
"""What is asked of the client."""


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
        Which values to compare, as many as a sheet holds. None: both sides; 0, 45 and 90 degrees; the board's colours;
        every joint pattern; or no border and one of one and of two boards. A border may name its corners:
        `one-mitre`, `two-butt`.

    Raises
    ------
    SiteError
        If a choice is not one of that kind or comes twice, or if there are too few or too many.
    """
    asked = choices or tuple(_all_choices(site, vary))
    found = tuple(_MAKERS[vary](site, choice) for choice in asked)
    for number, each in enumerate(found):
        if each.key in [before.key for before in found[:number]]:
            raise SiteError("choices", repr(asked[number]), "is there already; name each choice once")
    if not FEWEST <= len(found) <= MOST:
        wanted = f"name {FEWEST} to {MOST} to compare, divided by commas"
        raise SiteError("choices", f"{len(found)} given ({', '.join(asked)})", wanted)
    return found


def split_pair(found: Sequence[Variant], keys: Sequence[str]) -> tuple[Variant, Variant]:
    """The two choices to show in one picture: those of the keys, or the first two.

    Raises
    ------
    SiteError
        If they are not two of the choices.
    """
    if not keys:
        return found[0], found[1]
    named = {each.key: each for each in found}
    for key in keys:
        if key not in named:
            raise SiteError("split", repr(key), f"name two of {', '.join(named)}")
    if len(keys) != 2 or keys[0] == keys[1]:
        raise SiteError("split", ",".join(keys), f"name two of {', '.join(named)}, divided by a comma")
    return named[keys[0]], named[keys[1]]


def _all_choices(site: Site, vary: Varied) -> Iterable[str]:
    every: dict[Varied, Iterable[str]] = {
        "side": get_args(Side),
        "direction": DIRECTIONS,
        "colour": board_colours(site),
        "pattern": get_args(JointPattern),
        "border": BORDERS,
    }
    return every[vary]


def _side(site: Site, choice: str) -> Variant:
    if choice not in get_args(Side):
        raise SiteError("choices", repr(choice), "a side is 'grain' or 'grooved'")
    side = cast(Side, choice)
    return Variant(side, SIDE_LABELS[side], with_choices(site, side=side))


def _direction(site: Site, choice: str) -> Variant:
    try:
        angle = float(choice)
    except ValueError:
        angle = math.nan
    if not math.isfinite(angle):
        raise SiteError("choices", repr(choice), "a direction is a number of degrees, as 45")
    words = {0.0: "Boards along the house", 90.0: "Boards square to the house"}
    return Variant(
        f"{angle:g}deg", words.get(angle, f"Boards at {angle:g}° to the house"), with_choices(site, direction=angle)
    )


def _colour(site: Site, choice: str) -> Variant:
    known = board_colours(site)
    try:
        colour = known.get(choice) or screen_colour(choice)
    except ValueError as fault:
        raise SiteError("choices", repr(choice), str(fault)) from fault
    if not re.fullmatch(HEX_SHAPE, colour):
        near = difflib.get_close_matches(choice, known, n=1)
        meant = f"did you mean '{near[0]}'? " if near else ""
        wanted = f"{meant}a colour is #rrggbb, or one of {', '.join(known)}, or a number of RAL Classic"
        raise SiteError("choices", repr(choice), wanted)
    name = choice if choice in known else next((name for name, value in known.items() if value == colour), choice)
    label = name.upper() if re.fullmatch(RAL_SHAPE, name) else name[:1].upper() + name[1:]
    key = re.sub(r"[ #]+", "-", name.lower()).strip("-")
    return Variant(key, label, with_choices(site, colour=colour))


def _pattern(site: Site, choice: str) -> Variant:
    if choice not in get_args(JointPattern):
        raise SiteError("choices", repr(choice), f"a joint pattern is one of {', '.join(get_args(JointPattern))}")
    joints = cast(JointPattern, choice)
    return Variant(joints, JOINT_LABELS[joints], with_choices(site, joints=joints))


def _border(site: Site, choice: str) -> Variant:
    count, _, corners = choice.partition("-")
    if count not in BORDERS or (corners and (corners not in CORNER_LABELS or count == "none")) or choice[-1:] == "-":
        wanted = "a border is none, one or two, with corners if you like: one-mitre, one-butt, two-mitre, two-butt"
        raise SiteError("choices", repr(choice), wanted)
    border = replace(site.pattern.border, courses=BORDERS.index(count))
    label = BORDER_LABELS[count]
    if corners:
        border = replace(border, corners=cast(Literal["mitre", "butt"], corners))
        label = f"{label}, {CORNER_LABELS[corners]}"
    return Variant(choice, label, replace(site, pattern=replace(site.pattern, border=border)))


_MAKERS: dict[Varied, Callable[[Site, str], Variant]] = {
    "side": _side,
    "direction": _direction,
    "colour": _colour,
    "pattern": _pattern,
    "border": _border,
}

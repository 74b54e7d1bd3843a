"""Between Blender's properties and the engine's records, both ways."""

from __future__ import annotations

import json
from math import degrees
from typing import TYPE_CHECKING, Any

from .engine import with_choices
from .engine.decode import decode, encode
from .engine.papers.summary import summarise
from .engine.plan import Plan
from .engine.spec import Site, View

if TYPE_CHECKING:
    from .properties import DeckSettings

DIRECTIONS = {"along": 0.0, "out": 90.0, "diagonal": 45.0}
"""Degrees from the start edge to the boards, by the name of the run."""
WEATHERED_DIGITS = 3
"""Places kept of the boards' age, which Blender holds in single precision."""
ANGLE_DIGITS = 3
"""Places of a degree kept of an angle typed in: Blender holds it in single precision and in radians."""


def remember_site(settings: DeckSettings, site: Site) -> None:
    """Keep a site just read, and start the choices from what it says."""
    settings.site_name = site.name
    settings.site_json = json.dumps(encode(site))
    settings.side = site.boards.side
    settings.joints = site.pattern.joints
    settings.colour = rgb(site.boards.colour)
    settings.weathered = site.look.weathered
    named = {direction: run for run, direction in DIRECTIONS.items()}
    settings.run = named.get(site.deck.direction, "site")
    settings.view = "own" if isinstance(site.look.view, View) else site.look.view


def chosen_site(settings: DeckSettings) -> Site:
    """Return the site in hand with the user's choices."""
    return with_choices(_site(settings.site_json), **_choices(settings))


def built_site(settings: DeckSettings) -> Site:
    """Return the site that the deck was built from, with the choices of that time."""
    return with_choices(_site(settings.built_site_json), **json.loads(settings.built_choices))


def is_built(settings: DeckSettings) -> bool:
    """Tell whether there is a deck."""
    return bool(settings.built_site_json)


def is_stale(settings: DeckSettings) -> bool:
    """Tell whether site or choices have changed since the deck was built."""
    now = (settings.site_json, json.dumps(_choices(settings)))
    return now != (settings.built_site_json, settings.built_choices)


def remember_plan(settings: DeckSettings, plan: Plan) -> None:
    """Keep what the deck was built from, its figures, its order and the checks that fail."""
    settings.built_site_json = settings.site_json
    settings.built_choices = json.dumps(_choices(settings))
    settings.figures.clear()
    for name, value in summarise(plan).facts():
        figure = settings.figures.add()
        figure.name, figure.value = name, value
    settings.takeoff.clear()
    for line in plan.takeoff:
        row = settings.takeoff.add()
        row.name = line.description
        row.order = f"{line.order:,} {line.unit}{'' if line.order == 1 else 's'}"
        row.price = f"{plan.site.prices.currency} {line.price:,.2f}"
    settings.failed.clear()
    for check in plan.checks:
        if not check.ok:
            settings.failed.add().name = check.message


def rgb(colour: str) -> tuple[float, float, float]:
    """Turn #rrggbb into sRGB parts from 0 to 1."""
    red, green, blue = bytes.fromhex(colour[1:])
    return red / 255, green / 255, blue / 255


def hex_colour(parts: tuple[float, ...]) -> str:
    """Turn sRGB parts from 0 to 1 into #rrggbb."""
    return "#" + bytes(round(255 * part) for part in parts).hex()


def _site(text: str) -> Site:
    return decode(json.loads(text), Site)


def _choices(settings: DeckSettings) -> dict[str, Any]:
    """Give the user's choices as `with_choices` takes them."""
    other = round(degrees(settings.angle), ANGLE_DIGITS) if settings.run == "other" else None
    return {
        "side": settings.side,
        "direction": DIRECTIONS.get(settings.run, other),
        "joints": settings.joints,
        "colour": hex_colour(settings.colour),
        "weathered": round(settings.weathered, WEATHERED_DIGITS),
    }

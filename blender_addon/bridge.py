"""Between Blender's properties and the engine's records, both ways."""

from __future__ import annotations

import json
from base64 import b64decode, b64encode
from functools import lru_cache
from math import degrees
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from . import live
from .engine.choose import Choices, choose, values_of
from .engine.decode import decode, encode
from .engine.errors import CourselineError, SiteError
from .engine.layout.rings import edges_of
from .engine.papers.summary import summarise
from .engine.plan import Plan
from .engine.spec import Site, View
from .engine.whereabouts import failing, joint_places

if TYPE_CHECKING:
    from .properties import DeckSettings

DIRECTIONS = {"along": 0.0, "out": 90.0, "diagonal": 45.0}
"""Degrees from the start edge to the boards, by the name of the run."""
ANGLE_DIGITS = 3
"""Places of a degree kept of an angle typed in: Blender holds it in single precision and in radians."""
NUMBERS = {
    "weathered": ("weathered", 3),
    "course_gap": ("course_gap", 2),
    "butt_gap": ("butt_gap", 2),
    "wall_gap": ("wall_gap", 2),
    "max_centres": ("centres", 1),
    "spare": ("spare", 3),
}
"""Choices that are numbers: our property, and the places kept of it, which Blender holds in single precision."""
PLAIN = {
    "frame.section[0]": "joists",
    "frame.max_centres": "joists apart",
    "frame.centres": "joists apart",
    "frame.stock_lengths": "timber",
    "boards.lengths": "boards",
    "boards.width": "boards",
    "deck.outline": "deck outline",
}
"""What a choice may run against, by its key in the site file, which no one sees in a panel."""
WORDS = ("side", "joints", "seam", "border", "corners")
"""Choices that have the same name and value in the scene."""


def remember_site(settings: DeckSettings, site: Site) -> None:
    """Keep a site just read, and start the choices from what it says."""
    with live.quiet():
        settings.site_name = settings.job = site.name
        settings.site_json = json.dumps(encode(site))
        values = values_of(site)
        for name in WORDS:
            setattr(settings, name, getattr(values, name))
        for name, (ours, _) in NUMBERS.items():
            setattr(settings, ours, getattr(values, name))
        settings.colour = rgb(site.boards.colour)
        named = {direction: run for run, direction in DIRECTIONS.items()}
        settings.run = "site" if site.zones else named.get(site.deck.direction, "site")
        settings.view = "own" if isinstance(site.look.view, View) else site.look.view
        settings.fault = ""
        _remember_edges(settings, site)


def _remember_edges(settings: DeckSettings, site: Site) -> None:
    """Keep the edges of the first deck, those that a house is to be put behind still marked."""
    marked = {edge.number for edge in settings.edges if edge.at_house}
    finishes = dict(values_of(site).finishes)
    settings.edges.clear()
    for number, line in enumerate(edges_of(site.deck.outline)):
        edge = settings.edges.add()
        edge.name, edge.number = f"Edge {number}, {line.length / 1000:.2f} m", number
        edge.at_wall = number not in finishes
        edge.finish = finishes.get(number, "flush")
        edge.at_house = number in marked


def site_in_hand(settings: DeckSettings) -> Site:
    """Return the site as read, before any choice."""
    return _site(settings.site_json)


def chosen_site(settings: DeckSettings) -> Site:
    """Return the site in hand with the user's choices.

    Raises
    ------
    SiteError
        If they cannot be planned.
    """
    return choose(_site(settings.site_json), _choices(settings))


def built_site(settings: DeckSettings) -> Site:
    """Return the site that the deck was built from, with the choices of that time."""
    return _site(settings.built_site_json)


def is_built(settings: DeckSettings) -> bool:
    """Tell whether there is a deck."""
    return bool(settings.built_site_json)


def is_stale(settings: DeckSettings) -> bool:
    """Tell whether site or choices have changed since the deck was built."""
    return bool(chosen_from(settings) != settings.built_from)


def chosen_from(settings: DeckSettings) -> str:
    """Site and choices in one text: alike when they are the same."""
    return json.dumps([settings.site_json, encode(_choices(settings)), settings.around])


def figures_of(plan: Plan) -> list[tuple[str, str]]:
    """What decides about a plan, ready to be read."""
    return list(summarise(plan).facts())


def rows_of(plan: Plan) -> list[tuple[str, str, str]]:
    """The order of a plan, ready to be read: what, how many, for how much."""
    return [
        (
            line.description,
            f"{line.order:,} {line.unit}{'' if line.order == 1 else 's'}",
            f"{plan.site.prices.currency} {line.price:,.2f}",
        )
        for line in plan.takeoff
    ]


def remember_plan(settings: DeckSettings, plan: Plan, *, is_estimate: bool = True) -> None:
    """Keep what the deck was built from, its figures, its order and the checks that fail.

    Planned in no time, as while choices are made, these are an estimate: the order may come out cheaper.
    """
    settings.built_site_json = json.dumps(encode(plan.site))
    settings.built_from = chosen_from(settings)
    settings.fault, settings.is_draft, settings.is_estimate = "", False, is_estimate
    settings.figures.clear()
    for name, value in figures_of(plan):
        figure = settings.figures.add()
        figure.name, figure.value = name, value
    settings.takeoff.clear()
    for what, count, price in rows_of(plan):
        row = settings.takeoff.add()
        row.name, row.order, row.price = what, count, price
    settings.failed.clear()
    for marked in failing(plan):
        row = settings.failed.add()
        row.name, row.places = marked.check.message, json.dumps(marked.places)
    settings.joint_places = places_text(joint_places(plan))


def in_words(fault: CourselineError) -> str:
    """Say why choices cannot be built, without the keys of a site file."""
    if not isinstance(fault, SiteError):
        return str(fault)
    return f"{PLAIN.get(fault.field, fault.field)}: {fault.value}; {fault.wanted}"


def places_text(places: NDArray[np.float64]) -> str:
    """Write places (k, 3) [mm] as a text that the scene keeps, in no time even where there are thousands."""
    return b64encode(places.astype("<f4").tobytes()).decode()


def places_in(text: str) -> NDArray[np.float64]:
    """Read back such a text."""
    return np.frombuffer(b64decode(text), "<f4").reshape(-1, 3).astype(float)


def rgb(colour: str) -> tuple[float, float, float]:
    """Turn #rrggbb into sRGB parts from 0 to 1."""
    red, green, blue = bytes.fromhex(colour[1:])
    return red / 255, green / 255, blue / 255


def hex_colour(parts: tuple[float, ...]) -> str:
    """Turn sRGB parts from 0 to 1 into #rrggbb."""
    return "#" + bytes(round(255 * part) for part in parts).hex()


@lru_cache(maxsize=8)  # while a choice is dragged, the same site is asked for at every step
def _site(text: str) -> Site:
    return decode(json.loads(text), Site)


def _choices(settings: DeckSettings) -> Choices:
    """Give the user's choices; what is as the site has it is no choice."""
    site = _site(settings.site_json)
    values = values_of(site)
    run = settings.run
    direction = round(degrees(settings.angle), ANGLE_DIGITS) if run == "other" else DIRECTIONS.get(run)
    made: dict[str, Any] = {name: getattr(settings, name) for name in WORDS}
    for name, (ours, digits) in NUMBERS.items():
        made[name] = _moved(getattr(settings, ours), getattr(values, name), digits)
    return Choices(
        direction=direction,
        follow_walls=run == "walls",
        colour=hex_colour(settings.colour),
        finishes=tuple((edge.number, edge.finish) for edge in settings.edges if not edge.at_wall),
        **made,
    )


def _moved(shown: float, own: float, digits: int) -> float | None:
    """A number as chosen, or none where it is the site's own, whose last places Blender does not hold."""
    return None if abs(shown - own) < 0.6 * 10**-digits else round(shown, digits)

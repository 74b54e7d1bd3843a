"""Several decks in one file: each is laid as a site of its own."""

from __future__ import annotations

from dataclasses import replace

from shapely.geometry import Polygon

from ..spec import Deck, Site
from .obstacles import grown

FIRST = "main deck"
"""What `[deck]` is called where there are more; the others have names of their own."""


def decks_of(site: Site) -> tuple[Deck, ...]:
    """Every deck: `[deck]` is number 0."""
    return (site.deck, *site.decks)


def deck_name(site: Site, number: int) -> str:
    """What a deck is called."""
    return site.decks[number - 1].name if number else FIRST


def deck_field(number: int) -> str:
    """Where a deck stands in the site file."""
    return f"decks[{number - 1}]" if number else "deck"


def sites_of(site: Site) -> tuple[Site, ...]:
    """One site for each deck, with what belongs to it.

    Its `deck` is the one to be laid; `decks` still tells that there are others. Wall survey and border edges number
    edges of `[deck]`, so other decks have no survey, and borders on every edge that is no house edge.
    """
    if not site.decks:
        return (site,)
    return tuple(_part(site, number, deck) for number, deck in enumerate(decks_of(site)))


def _part(site: Site, number: int, deck: Deck) -> Site:
    outline = Polygon(deck.outline)
    border = site.pattern.border if number == 0 else replace(site.pattern.border, edges=())
    return replace(
        site,
        deck=deck,
        zones=tuple(zone for zone in site.zones if Polygon(zone.outline).representative_point().within(outline)),
        obstacles=tuple(obstacle for obstacle in site.obstacles if grown(site, obstacle).intersects(outline)),
        pattern=replace(site.pattern, border=border),
        wall_survey=site.wall_survey if number == 0 else None,
    )

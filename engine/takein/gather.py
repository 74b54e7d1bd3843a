"""A site out of all that was drawn and picked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

from shapely.geometry import Polygon

from ..errors import SiteError
from ..site import complete
from ..spec import Deck, FurtherDeck, House, Site
from .house import DOOR_REACH, house_behind, opening_of, walls_at
from .lines import Ring
from .model import Doorway, Drawing, Solid
from .obstacles import obstacles_of
from .outline import outline_of, set_against

ON_GROUND = 1.0
"""An outline no higher than this above the ground was drawn in plan only [mm] (ours)."""


@dataclass(frozen=True, slots=True)
class Found:
    """The site, and in words what was changed or left out on the way."""

    site: Site
    told: tuple[str, ...]


def take_in(
    name: str,
    drawings: Sequence[Drawing],
    house: Sequence[Solid] = (),
    obstacles: Sequence[Solid] = (),
    doors: Sequence[Doorway] = (),
    *,
    height: float = 150.0,
    wall_edges: Sequence[int] = (),
    like: Site | None = None,
) -> Found:
    """Make a site of a drawn outline and the things beside it.

    Parameters
    ----------
    name : str
        Of the job.
    drawings : sequence of Drawing
        The outline of the deck, and those of further decks, each called as its drawing is.
    house : sequence of Solid
        What is cut at the height of the boards for its outer walls; none, and a plain brick house is put behind
        `wall_edges`.
    obstacles : sequence of Solid
        What the boards go round.
    doors : sequence of Doorway
        Doors and windows of the house.
    height : float
        Top of the boards above the ground [mm], where the outline is drawn on the ground; else it is the outline's.
    wall_edges : sequence of int
        Edges of the outline at the house, where none is modelled.
    like : Site, optional
        Boards, gaps, pattern, frame, prices and look are taken from it.

    Raises
    ------
    SiteError
        For the first thing that cannot be made out or planned.
    """
    if not drawings:
        raise SiteError("deck outline", "missing", "draw or pick one")
    outlines = [_outline(drawing, height) for drawing in drawings]
    outer, _, surface = outlines[0]
    told: list[str] = []
    walls, eaves = None, House(walls=outer).height
    if house:
        walls, eaves = walls_at(house, doors, surface, Polygon(outer))
    elif wall_edges:
        walls = house_behind(outer, [edge for edge in wall_edges if edge < len(outer)])
    building = None if walls is None else _house(walls, eaves, doors, like, told)
    base = like or Site(schema=1, name=name, deck=Deck(outline=outer))
    decks = [_deck(outline, walls if house else None, base.deck.direction, told) for outline in outlines]
    things, left_out = obstacles_of(obstacles, decks, base.boards.thickness)
    site = replace(
        base,
        name=name,
        house=building,
        deck=decks[0],
        decks=tuple(_named(deck, drawing.name) for deck, drawing in zip(decks[1:], drawings[1:], strict=True)),
        zones=(),
        obstacles=things,
        pattern=replace(base.pattern, border=replace(base.pattern.border, edges=())),
        frame=replace(base.frame, state="new", joists=(), doubled=()),
        wall_survey=None,
    )
    return Found(complete(site), (*told, *left_out))


Outline = tuple[Ring, tuple[Ring, ...], float]
"""Outer line, openings, and the height of the boards' top above the ground [mm]."""


def _outline(drawing: Drawing, height: float) -> Outline:
    outer, openings, drawn = outline_of(drawing)
    if drawn < -ON_GROUND:
        raise SiteError(f"deck outline '{drawing.name}'", f"lies {-drawn:.0f} mm under the ground", "lift it")
    return outer, openings, drawn if drawn > ON_GROUND else height


def _deck(outline: Outline, walls: Ring | None, direction: float, told: list[str]) -> Deck:
    outer, openings, surface = outline
    if walls is not None:
        outer, changed = set_against(outer, walls)
        told += changed
    return Deck(outline=outer, openings=openings, surface=surface, direction=direction)


def _named(deck: Deck, name: str) -> FurtherDeck:
    return FurtherDeck(**{field.name: getattr(deck, field.name) for field in fields(Deck)}, name=name)


def _house(
    walls: Ring,
    eaves: float,
    doors: Sequence[Doorway],
    like: Site | None,
    told: list[str],
) -> House:
    known = House(walls=walls, height=eaves) if like is None or like.house is None else like.house
    found = []
    for door in doors:
        opening = opening_of(door, walls, eaves)
        if opening is None:
            told.append(f"'{door.name}' is more than {DOOR_REACH:.0f} mm from any wall and is left out")
        else:
            found.append(opening)
    return replace(known, walls=walls, height=eaves, openings=tuple(found))

"""A site file in, a complete `Site` out: every default filled in, every fault named in one line."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from shapely.geometry import LineString, Polygon

from .catalogue import Catalogue, catalogue_of, shipped
from .decode import decode, encode
from .edge_boards import filled_in
from .errors import SiteError
from .layout.decks import deck_field
from .layout.obstacles import clearance_of
from .layout.rings import edges_of
from .pricing import currency_of, priced
from .spec import Boards, Deck, EdgeFinish, Eye, House, JointPattern, Side, Site
from .survey import check_site

AnyDeck = TypeVar("AnyDeck", bound=Deck)

ON_WALL = 10.0
"""How far a deck edge may stand off the wall that it is meant to lie on [mm]: a tape's error on a long wall."""
_FLUSH: dict[str, EdgeFinish] = {"default": "flush"}
PART_ON_WALL = 100.0
"""Contact with a wall [mm] above which an edge that leaves the wall wants a corner where it leaves."""


def read_site(path: str | Path) -> Site:
    """Read a site file.

    Parameters
    ----------
    path : str or Path
        A TOML file, schema 1.

    Returns
    -------
    Site
        Complete: lengths in mm, defaults filled in.

    Raises
    ------
    SiteError
        If the file cannot be read, or says something that cannot be planned.
    """
    try:
        text = Path(path).read_text(encoding="utf-8-sig")  # some editors begin a file with a mark
    except (OSError, UnicodeDecodeError) as fault:
        reason = getattr(fault, "strerror", None) or "not a text file in UTF-8"
        raise SiteError("site file", path, f"cannot be read ({reason})") from fault
    return site_from_text(text, Path(path).parent)


def site_from_text(text: str, folder: Path = Path()) -> Site:
    """As `read_site`, from the text of the file and the folder of the files that it names."""
    try:
        raw = tomllib.loads(text)
    except (ValueError, RecursionError) as fault:  # also numbers and nestings longer than Python reads
        raise SiteError("site file", "not TOML", str(fault)) from fault
    return site_from_table(raw, folder)


def site_from_table(raw: Mapping[str, Any], folder: Path = Path()) -> Site:
    """As `read_site`, from the parsed tables."""
    units = raw.get("units", "mm")
    site = decode(raw, Site, units if isinstance(units, str) and units in ("mm", "cm", "m", "in", "ft") else "mm")
    catalogue = catalogue_of(site.products, folder)
    written = {key: value for key, value in encode(site.boards).items() if key in raw.get("boards", {})}
    boards = decode({**catalogue.board_values(site.boards.product), **written}, Boards)
    prices = currency_of(site.prices, "currency" in raw.get("prices", {}), catalogue, site.products)
    edges = site.edge_boards
    if edges is not None:
        edges, is_invented = filled_in(edges, boards, catalogue)
        prices = replace(prices, invented=("edge_board",) if is_invented else ())
    return complete(replace(site, units="mm", boards=boards, edge_boards=edges, prices=prices), catalogue)


def complete(site: Site, catalogue: Catalogue | None = None) -> Site:
    """Check a site and fill in the defaults that follow from its geometry and from the product table.

    Parameters
    ----------
    site : Site
        As decoded.
    catalogue : Catalogue, optional
        Where products are looked up; by default in the shipped table alone.

    Raises
    ------
    SiteError
        For the first fault found.
    """
    check_site(site)
    obstacles = tuple(replace(o, clearance=clearance_of(o, site)) for o in site.obstacles)
    filled = replace(
        site,
        deck=_complete_deck(site.deck, site.house, "deck"),
        decks=tuple(_complete_deck(deck, site.house, deck_field(i)) for i, deck in enumerate(site.decks, 1)),
        obstacles=obstacles,
        boards=_complete_boards(site.boards),
        stock=tuple(replace(own, product=own.product or site.boards.product) for own in site.stock),
    )
    return priced(filled, catalogue or shipped())


def _complete_boards(boards: Boards) -> Boards:
    """The board with what follows from its profile: a hollow one sawn along shows its chambers."""
    return replace(boards, rip_shares=boards.profile == "solid" if boards.rip_shares is None else boards.rip_shares)


def _complete_deck(deck: AnyDeck, house: House | None, field: str) -> AnyDeck:
    """A deck with its house edges and its start edge."""
    if deck.house_edges is None:
        house_edges = _edges_on_walls(deck, house, field)
    else:
        house_edges = tuple(sorted(set(deck.house_edges)))
    start = _longest_edge(deck, house_edges) if deck.start_edge is None else deck.start_edge
    return replace(deck, house_edges=house_edges, start_edge=start, edge_finish=_FLUSH | deck.edge_finish)


def with_choices(
    site: Site,
    *,
    side: Side | None = None,
    direction: float | None = None,
    joints: JointPattern | None = None,
    colour: str | None = None,
    weathered: float | None = None,
    eye: Eye | float | None = None,
) -> Site:
    """The same site with another board side, direction [degrees from each start edge], pattern, colour, age or eye.

    Raises
    ------
    SiteError
        If the direction is no angle, or the age not between new (0) and two summers (1).
    """
    if weathered is not None:
        if not 0 <= weathered <= 1:
            raise SiteError("weathered", weathered, "give a number from 0, as new, to 1, after two summers")
        site = replace(site, look=replace(site.look, weathered=weathered))
    site = replace(site, look=replace(site.look, eye=eye or site.look.eye))
    if direction is not None and not math.isfinite(direction):
        raise SiteError("direction", direction, "give a number of degrees, as 45")
    boards = replace(site.boards, side=side or site.boards.side, colour=colour or site.boards.colour)
    if direction is not None:
        decks = tuple(replace(deck, direction=direction) for deck in site.decks)
        zones = tuple(replace(zone, direction=direction) for zone in site.zones)
        site = replace(site, deck=replace(site.deck, direction=direction), decks=decks, zones=zones)
    return replace(site, boards=boards, pattern=replace(site.pattern, joints=joints or site.pattern.joints))


def _edges_on_walls(deck: Deck, house: House | None, field: str) -> tuple[int, ...]:
    """Edges of the outline that lie on house walls.

    Raises
    ------
    SiteError
        If an edge lies on a wall for a part of its length only.
    """
    if house is None:
        return ()
    walls = Polygon(house.walls).exterior.buffer(ON_WALL, cap_style="flat", join_style="mitre")
    found = []
    for i, edge in enumerate(edges_of(deck.outline)):
        contact = edge.intersection(walls).length
        if edge.difference(walls).length < 2 * ON_WALL and contact > 0:
            found.append(i)
        elif contact > PART_ON_WALL + 2 * ON_WALL and _runs_along(edge, house):
            raise SiteError(
                f"{field}.outline edge {i}",
                f"{contact:.0f} mm of its {edge.length:.0f} mm lie on a house wall",
                "put a corner of the outline where the wall ends",
            )
    return tuple(found)


def _runs_along(edge: LineString, house: House) -> bool:
    """Whether one wall runs along the edge, not merely across it."""
    return any(
        edge.intersection(wall.buffer(ON_WALL, cap_style="flat")).length > PART_ON_WALL + ON_WALL
        for wall in edges_of(house.walls)
    )


def _longest_edge(deck: Deck, house_edges: tuple[int, ...]) -> int:
    lengths = [edge.length for edge in edges_of(deck.outline)]
    candidates = house_edges or range(len(lengths))
    return max(candidates, key=lambda i: (round(lengths[i], 3), -i))

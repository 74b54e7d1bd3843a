"""All that may be chosen about one site, in one record, and the site with the choices made."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal, TypeVar

from .catalogue import Catalogue, catalogue_of
from .decode import decode
from .layout.directions import propose_zones
from .pricing import currency_of
from .site import complete, with_choices
from .spec import Boards, EdgeFinish, Fixings, JointPattern, Prices, Side, Site
from .survey import check_site

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """What a client and a builder choose between; `None` leaves it as the site has it. Lengths in mm."""

    side: Side | None = None
    direction: float | None = None
    """Degrees from each start edge to the boards."""
    follow_walls: bool = False
    """Whether the boards follow each house wall in turn, where the site has no zones of its own."""
    joints: JointPattern | None = None
    seam: Literal["mitre", "divider"] | None = None
    border: int | None = None
    """How many boards lie along the free edges."""
    corners: Literal["mitre", "butt"] | None = None
    colour: str | None = None
    weathered: float | None = None
    course_gap: float | None = None
    butt_gap: float | None = None
    wall_gap: float | None = None
    max_centres: float | None = None
    spare: float | None = None
    """Boards to order beyond what the plan uses: below 1 a share, from 1 on so many."""
    finishes: tuple[tuple[int, EdgeFinish], ...] = ()
    """How edges of the first deck are finished, by number."""


def choose(site: Site, choices: Choices) -> Site:
    """The same site with choices made.

    Parameters
    ----------
    site : Site
        Complete, as `read_site` returns it.
    choices : Choices

    Raises
    ------
    SiteError
        If one of them cannot be planned.
    """
    chosen = with_choices(
        site,
        side=choices.side,
        direction=choices.direction,
        joints=choices.joints,
        colour=choices.colour,
        weathered=choices.weathered,
    )
    gaps, pattern = chosen.gaps, chosen.pattern
    border = replace(
        pattern.border,
        courses=_or(choices.border, pattern.border.courses),
        corners=_or(choices.corners, pattern.border.corners),
    )
    written = chosen.deck.edge_finish
    finishes: dict[str, EdgeFinish] = {
        str(edge): finish for edge, finish in choices.finishes if finish != written.get(str(edge), written["default"])
    }
    chosen = replace(
        chosen,
        gaps=replace(
            gaps,
            course=_or(choices.course_gap, gaps.course),
            butt=_or(choices.butt_gap, gaps.butt),
            wall=_or(choices.wall_gap, gaps.wall),
        ),
        pattern=replace(pattern, seam=_or(choices.seam, pattern.seam), border=border),
        frame=replace(chosen.frame, max_centres=_or(choices.max_centres, chosen.frame.max_centres)),
        order=replace(chosen.order, spare=_or(choices.spare, chosen.order.spare)),
        deck=replace(chosen.deck, edge_finish=written | finishes),
    )
    if chosen != site:
        check_site(chosen)
    return propose_zones(chosen) if choices.follow_walls and not chosen.zones else chosen


def board_names(catalogue: Catalogue) -> tuple[str, ...]:
    """Boards of the user's own table and of the shipped one, the user's first."""
    return tuple(dict.fromkeys(name for table in catalogue.tables for name in table.boards))


def with_board(site: Site, product: str, table: Path | None = None) -> Site:
    """The same site laid with another board, at that board's price, colour and lengths.

    Parameters
    ----------
    site : Site
        Complete.
    product : str
        Its name in the product table.
    table : Path, optional
        The user's own product table. Timber and fixings are priced from it as well.

    Raises
    ------
    SiteError
        If the table cannot be read or has no such board.
    """
    catalogue = catalogue_of(None if table is None else table.name, Path() if table is None else table.parent)
    boards = replace(decode(catalogue.board_values(product) | {"product": product}, Boards), side=site.boards.side)
    if table is None:
        # What else the site file prices stays priced so.
        kept = tuple(name for name in site.prices.invented if name != "board")
        prices, fixings = replace(site.prices, board=None, board_breaks=None, invented=kept), site.fixings
    else:
        prices, fixings = Prices(currency=site.prices.currency, tax=site.prices.tax), Fixings()
    prices = currency_of(prices, False, catalogue, None if table is None else table.name)
    stock = tuple(replace(own, product=product) if own.product == site.boards.product else own for own in site.stock)
    same = (boards.width, boards.thickness) == (site.boards.width, site.boards.thickness)
    edges = site.edge_boards
    if edges is not None and not (same and table is None and edges.product != product):
        stock, edges = tuple(own for own in stock if own.product != edges.product), None
    chosen = replace(site, boards=boards, edge_boards=edges, prices=prices, fixings=fixings, stock=stock, products=None)
    return complete(chosen, catalogue)


def values_of(site: Site) -> Choices:
    """Every choice as the site has it."""
    return Choices(
        side=site.boards.side,
        direction=site.deck.direction,
        joints=site.pattern.joints,
        seam=site.pattern.seam,
        border=site.pattern.border.courses,
        corners=site.pattern.border.corners,
        colour=site.boards.colour,
        weathered=site.look.weathered,
        course_gap=site.gaps.course,
        butt_gap=site.gaps.butt,
        wall_gap=site.gaps.wall,
        max_centres=site.frame.max_centres,
        spare=site.order.spare,
        finishes=tuple(
            (edge, site.deck.edge_finish.get(str(edge), site.deck.edge_finish["default"]))
            for edge in range(len(site.deck.outline))
            if edge not in (site.deck.house_edges or ())
        ),
    )


def _or(choice: T | None, value: T) -> T:
    return value if choice is None else choice

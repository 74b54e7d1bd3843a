"""What everything on a site costs: what its file leaves out is filled in from the product table."""

from __future__ import annotations

from dataclasses import fields, replace

from .catalogue import Catalogue
from .errors import SiteError
from .spec import Break, FixingProduct, Fixings, Prices, Site

PLACES = 6
"""Places kept of the price of one, where a pack is priced."""


def priced(site: Site, catalogue: Catalogue) -> Site:
    """Fill in prices, breaks and packs.

    A price of the site file is that of one, without breaks but its own; a fixing so priced is sold by the piece.

    Raises
    ------
    SiteError
        If breaks of the site do not fit prices of the table.
    """
    invented = list(site.prices.invented)
    board, board_breaks = _board(site, catalogue, invented)
    metre, timber_breaks = _timber(site, catalogue, invented)
    needed = [one.name for one in fields(Fixings) if one.name != "edge_screw"]
    fixings = {name: _fixing(site, catalogue, name, invented) for name in needed}
    try:
        prices = replace(
            site.prices,
            board=board,
            board_breaks=board_breaks,
            timber_metre=metre,
            timber_breaks=timber_breaks,
            starter_clip=_of_one(fixings["starter_clip"]),
            clip=_of_one(fixings["clip"]),
            edge_clip=_of_one(fixings["edge_clip"]),
            screw=_of_one(fixings["screw"]),
            invented=tuple(dict.fromkeys(invented)),
        )
    except ValueError as fault:
        raise SiteError("prices", "breaks", f"{fault} ({board:g} a board, {metre:g} a metre of timber)") from fault
    edge_screw = site.fixings.edge_screw or catalogue.edge_screw
    return replace(site, prices=prices, fixings=Fixings(**fixings, edge_screw=edge_screw))


def _board(site: Site, catalogue: Catalogue, invented: list[str]) -> tuple[float, tuple[Break, ...]]:
    """Price of a board, and its breaks: the table's only where the price is the table's too."""
    prices, boards = site.prices, site.boards
    if prices.board is not None:
        return prices.board, prices.board_breaks or ()
    product = catalogue.board(boards.product)
    if boards.price_per_board != product.price_per_board:
        return boards.price_per_board, prices.board_breaks or ()
    if catalogue.board_is_shipped(boards.product):
        invented.append("board")
    return boards.price_per_board, product.breaks if prices.board_breaks is None else prices.board_breaks


def _timber(site: Site, catalogue: Catalogue, invented: list[str]) -> tuple[float, tuple[Break, ...]]:
    prices = site.prices
    if prices.timber_metre is not None:
        return prices.timber_metre, prices.timber_breaks or ()
    section, is_shipped = catalogue.timber(site.frame.section, site.frame.grade)
    if is_shipped:
        invented.append("timber_metre")
    return section.metre, section.breaks if prices.timber_breaks is None else prices.timber_breaks


def _fixing(site: Site, catalogue: Catalogue, key: str, invented: list[str]) -> FixingProduct:
    own: FixingProduct | None = getattr(site.fixings, key)
    if own is not None:
        return own
    product, is_shipped = catalogue.fixing(key)
    price: float | None = getattr(site.prices, key, None)
    if price is not None:
        return replace(product, pack=1, price=price, breaks=())
    if is_shipped:
        invented.append(key)
    return product


def _of_one(product: FixingProduct) -> float:
    return round(product.price / product.pack, PLACES)


def currency_of(prices: Prices, is_written: bool, catalogue: Catalogue, file: str | None) -> Prices:
    """The prices in the currency of the user's own table, where the site writes no other.

    Raises
    ------
    SiteError
        If site and table are in two currencies.
    """
    currency = catalogue.own.currency if catalogue.own else None
    if currency is None or currency == prices.currency:
        return prices
    if is_written:
        raise SiteError("prices.currency", repr(prices.currency), f"the prices of {file} are in {currency}")
    return replace(prices, currency=currency)

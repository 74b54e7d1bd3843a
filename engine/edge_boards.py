"""Edge boards of a product of their own: a site as its borders, nosings, dividers and fascias see it."""

from __future__ import annotations

from dataclasses import replace

from .catalogue import Catalogue
from .errors import SiteError
from .plan import PieceKind
from .spec import Boards, EdgeBoards, Order, Site

EDGES: tuple[PieceKind, ...] = ("border", "nosing", "fascia")
"""Kinds of pieces that are cut from edge boards; dividers are borders."""


def of_edges(site: Site) -> Site:
    """The site with the product of its edge boards in place of the deck's; the same site where they are one."""
    own = site.edge_boards
    if own is None:
        return site
    assert own.lengths is not None and own.price_per_board is not None  # filled in when the site was read
    assert own.profile is not None and own.mass_per_metre is not None
    boards = replace(
        site.boards,
        product=own.product,
        lengths=own.lengths,
        profile=own.profile,
        rip_shares=own.profile == "solid" if own.rip_shares is None else own.rip_shares,
        mass_per_metre=own.mass_per_metre,
        price_per_board=own.price_per_board,
    )
    prices = replace(site.prices, board=own.price_per_board, board_breaks=own.breaks or ())
    return replace(site, boards=boards, prices=prices, order=Order(), edge_boards=None)


def edge_lengths(site: Site) -> tuple[float, ...]:
    """Lengths in which the edge boards are sold [mm]."""
    return of_edges(site).boards.lengths


def filled_in(own: EdgeBoards, boards: Boards, catalogue: Catalogue) -> tuple[EdgeBoards, bool]:
    """Edge boards with what their file leaves out, and whether their price is invented.

    Raises
    ------
    SiteError
        If no table has the product, or it is not as wide and as thick as the deck's board.
    """
    try:
        product = catalogue.board(own.product)
    except SiteError as fault:
        raise SiteError("edge_boards.product", fault.value, fault.wanted) from fault
    if own.product == boards.product:
        raise SiteError("edge_boards.product", repr(own.product), "is the deck's own board; leave [edge_boards] out")
    if (product.width, product.thickness) != (boards.width, boards.thickness):
        found = f"'{own.product}' is {product.width:g} x {product.thickness:g} mm"
        wanted = f"must be as wide and as thick as the deck's board, {boards.width:g} x {boards.thickness:g} mm"
        raise SiteError("edge_boards.product", found, wanted)
    priced = own.price_per_board is not None
    full = replace(
        own,
        lengths=own.lengths or product.lengths,
        profile=own.profile or product.profile,
        rip_shares=product.rip_shares if own.rip_shares is None else own.rip_shares,
        mass_per_metre=own.mass_per_metre or product.mass_per_metre,
        price_per_board=own.price_per_board if priced else product.price_per_board,
        breaks=own.breaks if own.breaks is not None else () if priced else product.breaks,
    )
    return full, not priced and catalogue.board_is_shipped(own.product)

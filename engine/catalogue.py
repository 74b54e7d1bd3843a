"""The product table: what boards, timber and fixings are and cost where a site file says no more than their names.

The user's own table, a file beside the site's, comes before the one that is shipped, entry by entry.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from .decode import decode, encode
from .errors import SiteError
from .products import BoardProduct, Products, Section
from .spec import FixingProduct, Site

_UNITS = ("mm", "cm", "m", "in", "ft")


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The user's own table, if there is one, and the shipped one behind it."""

    shipped: Products
    own: Products | None = None

    @property
    def tables(self) -> tuple[Products, ...]:
        """The tables in the order in which they are looked up."""
        return (self.shipped,) if self.own is None else (self.own, self.shipped)

    def board(self, product: str) -> BoardProduct:
        """Look a board up.

        Raises
        ------
        SiteError
            If no table has such a product.
        """
        for table in self.tables:
            if product in table.boards:
                return table.boards[product]
        known = list(dict.fromkeys(name for table in self.tables for name in table.boards))
        near = difflib.get_close_matches(product, known, n=1)
        wanted = f"did you mean '{near[0]}'?" if near else f"the product table has {', '.join(known)}"
        raise SiteError("boards.product", repr(product), wanted)

    def board_values(self, product: str) -> dict[str, Any]:
        """Look up a board as keys of a site's [boards], in mm."""
        values = encode(self.board(product))
        del values["breaks"]  # which a site has among its prices
        return {key: value for key, value in values.items() if value is not None}

    def board_is_shipped(self, product: str) -> bool:
        """Whether a board's values are the invented ones."""
        return self.own is None or product not in self.own.boards

    def timber(self, section: tuple[float, float], grade: str) -> tuple[Section, bool]:
        """Look up what timber costs, and whether that is invented: as listed, or else by its volume."""
        for table in self.tables:
            listed = [one for one in table.timber.sections if one.section == section and one.grade in (grade, None)]
            if listed:
                return max(listed, key=lambda one: one.grade is not None), table is self.shipped
            if table.timber.cubic_metre is not None:
                square_metres = Decimal(str(section[0])) * Decimal(str(section[1])) / 1_000_000
                metre = (Decimal(str(table.timber.cubic_metre)) * square_metres).quantize(Decimal("0.01"))
                return Section(section=section, metre=float(metre)), table is self.shipped
        raise AssertionError("the shipped table prices any section by its volume")

    @property
    def edge_screw(self) -> FixingProduct | None:
        """The screw of edge boards, where the user's own table has one; the shipped table has none."""
        return next((table.fixings.edge_screw for table in self.tables if table.fixings.edge_screw), None)

    def fixing(self, key: str) -> tuple[FixingProduct, bool]:
        """Look up a fixing by its key, such as `starter_clip`, and whether it is invented."""
        for table in self.tables:
            product: FixingProduct | None = getattr(table.fixings, key)
            if product is not None:
                return product, table is self.shipped
        raise AssertionError(f"the shipped table has a {key}")


@cache
def shipped() -> Catalogue:
    """The table that comes with the engine, alone."""
    text = resources.files(__package__).joinpath("catalogue.toml").read_text(encoding="utf-8")
    return Catalogue(products_from_table(tomllib.loads(text)))


def catalogue_of(products: str | None, folder: Path) -> Catalogue:
    """The shipped table, and before it the user's own, if a site names one.

    Parameters
    ----------
    products : str or None
        The file's name, from the folder of the site file.
    folder : Path
        That folder.

    Raises
    ------
    SiteError
        If the file cannot be read, or says something that no product table may say; names the file first.
    """
    if products is None:
        return shipped()
    try:
        text = (folder / products).read_text(encoding="utf-8-sig")
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "not a text file in UTF-8"
        raise SiteError("products", repr(products), f"cannot be read beside the site file ({reason})") from fault
    try:
        raw = tomllib.loads(text)
    except (ValueError, RecursionError) as fault:
        raise SiteError(products, "not TOML", str(fault)) from fault
    try:
        return Catalogue(shipped().shipped, products_from_table(raw))
    except SiteError as fault:
        raise SiteError(f"{products}: {fault.field}", fault.value, fault.wanted) from fault


def products_from_table(raw: Mapping[str, Any]) -> Products:
    """Read a product table as parsed.

    Raises
    ------
    SiteError
        For the first fault found.
    """
    units = raw.get("units")
    return decode(raw, Products, units if isinstance(units, str) and units in _UNITS else "mm")


def board_colours(site: Site) -> dict[str, str]:
    """Colours that the site's board is sold in, by name; its own is among them as 'as chosen' if it is no other."""
    known, own = site.boards.colours, site.boards.colour
    return known if own in known.values() else {"as chosen": own, **known}

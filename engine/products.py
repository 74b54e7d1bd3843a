"""What a product table may say: one record for each of its tables, as `spec` has them for a site.

The shipped table, `catalogue.toml`, and the user's own are read by the same records.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from msgspec import Meta

from .spec import CURRENCY_SHAPE, Break, Colour, Fixings, Positive, Price, Unit, check_breaks


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardProduct:
    """A deck board; what is left out is as a site file has it by default."""

    lengths: Annotated[tuple[Positive, ...], Meta(min_length=1)]
    width: Positive
    thickness: Positive
    profile: Literal["hollow", "solid"]
    rip_shares: bool | None = None
    colour: Colour | None = None
    colours: dict[str, Colour] = field(default_factory=dict)
    expansion: Annotated[float, Meta(ge=0, lt=1e-3, description="linear expansion [1/K]")] | None = None
    mass_per_metre: Annotated[float, Meta(gt=0, description="[kg/m]")]
    price_per_board: Annotated[float, Meta(ge=0, description="price of one board of the longest length")]
    breaks: tuple[Break, ...] = ()
    """Price of one board of the longest length, from so many boards on, of all lengths together."""

    def __post_init__(self) -> None:
        check_breaks(self.price_per_board, self.breaks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Timber of one section, by the metre; of any grade where none is named."""

    section: tuple[Positive, Positive]
    grade: str | None = None
    metre: Annotated[float, Meta(ge=0, description="price of a metre")]
    breaks: tuple[Break, ...] = ()
    """Price of a metre, from so many metres on."""

    def __post_init__(self) -> None:
        check_breaks(self.metre, self.breaks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Timber:
    """Timber for the frame."""

    sections: tuple[Section, ...] = ()
    cubic_metre: Price | None = None
    """Price of sections that are not listed, by their volume."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Products:
    """A product table: the whole file."""

    schema: Literal[1]
    units: Unit = "mm"
    currency: Annotated[str, Meta(pattern=CURRENCY_SHAPE)] | None = None
    boards: dict[str, BoardProduct] = field(default_factory=dict)
    timber: Timber = Timber()
    fixings: Fixings = field(default_factory=Fixings)

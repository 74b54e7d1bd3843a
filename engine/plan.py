"""What the engine computed: the plan file's records, and nothing that computes.

Lengths in mm, areas in m2, masses in kg. Every record is frozen; the plan is the single source
for papers, takeoff and scene.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from .spec import Side, Site

Point2 = tuple[float, float]
Point3 = tuple[float, float, float]
PieceKind = Literal["board", "border", "nosing", "fascia", "hatch"]
Cut = Literal["square", "mitre", "rip", "scribe", "trim"]
Role = Literal["joist", "double", "ledger", "rim", "nogging", "beam", "post", "footing"]
FixingKind = Literal["starter clip", "clip", "edge clip", "screw"]


@dataclass(frozen=True, slots=True)
class Area:
    """A polygon with holes; rings are not closed, the outer one runs anticlockwise."""

    outer: tuple[Point2, ...]
    holes: tuple[tuple[Point2, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class ZonePlan:
    """A part of the deck laid in one direction [degrees from +x to the boards]."""

    id: str
    direction: float
    outline: Area
    courses: int
    deck: int = 0
    """Its deck: 0 is the site's own, n the n-th further one."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of board as laid, after trimming, no gap included.

    `direction` [degrees from +x] runs along it, `top` is the height of its upper edge above the datum.
    """

    id: str
    zone: str
    course: int
    kind: PieceKind
    polygon: Area
    length: float
    width: float
    stock: str
    cuts: tuple[Cut, ...]
    face: Side
    direction: float
    top: float


@dataclass(frozen=True, slots=True)
class Joint:
    """A butt joint: two pieces, and the joist under each end, in the same order."""

    zone: str
    course: int
    pieces: tuple[str, str]
    at: Point2
    gap: float
    joists: tuple[str, str]


class Member(Struct, frozen=True, rename={"start": "from", "end": "to"}):
    """A length of timber: its centre line at half depth, and its section [b, h].

    A Struct, since its file key `from` is a word of Python's own.
    """

    id: str
    role: Role
    start: Point3
    end: Point3
    section: tuple[float, float]
    length: float
    stock: str


class Fixing(Struct, frozen=True, gc=False):
    """One clip or screw. A Struct, since a deck has many thousands, and these are made at a tenth of the cost."""

    kind: FixingKind
    at: Point2
    piece: str
    member: str


@dataclass(frozen=True, slots=True)
class StockItem:
    """One board or timber, and what is cut from it, in cutting order.

    `on_hand` tells that the builder has it already. `side_by_side` lists the stretches of a board that are sawn along:
    the pieces of each strip, the strip that takes the stretch's length first; `pieces` holds them all.
    """

    id: str
    product: str
    length: float
    pieces: tuple[str, ...]
    kerf: float
    offcut: float
    on_hand: bool = False
    side_by_side: tuple[tuple[tuple[str, ...], ...], ...] = ()

    @property
    def along(self) -> tuple[str, ...]:
        """Pieces that follow each other along it: those of a second strip take no length of their own."""
        beside = {name for strips in self.side_by_side for strip in strips[1:] for name in strip}
        return tuple(name for name in self.pieces if name not in beside)


@dataclass(frozen=True, slots=True)
class Share:
    """What of an item becomes one kind of piece or member: how many, how long together [m], and what they cost.

    Of screws, `pieces` are those that hold one kind of piece, and have no length. `price` is the kind's part of the
    line's price, waste and what is left over with it: by length, or by number; the parts add up to the whole. `rule`
    tells what the kind is there for, `source` where that comes from; plain boards have none of their own.
    """

    kind: str
    pieces: int
    metres: float
    price: Decimal = Decimal(0)
    rule: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class TakeoffLine:
    """One item to buy: net need, share wasted, whole units ordered, mass and price of the order.

    A fixing's need is counted by the piece, and `pack` of them are in one unit; `over` pieces, or boards, are left.
    `unit_price` is that of one unit at the quantity ordered. `rule` tells how the need was counted, `source` where
    the rule comes from, and `note` what a buyer should know.
    """

    item: str
    description: str
    unit: str
    net: float
    waste: float
    order: int
    mass: float
    price: Decimal
    unit_price: Decimal = Decimal(0)
    pack: int = 1
    over: int = 0
    made_of: tuple[Share, ...] = ()
    rule: str = ""
    source: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Check:
    """One rule held against the plan, with its source."""

    id: str
    source: str
    value: float
    limit: float
    unit: str
    ok: bool
    message: str


@dataclass(frozen=True, slots=True)
class Bound:
    """How few stock lengths of a product could do, at what price, and how that was found.

    What is on hand is not counted. `proved` tells that the method ran to its end; where it did not, the bounds hold
    as well, but higher ones may. `price` is what the stock costs in the takeoff, spare boards aside; `least_price` what
    no cutting goes below at the unit price that the order reaches.
    """

    product: str
    stock_used: int
    lower_bound: int
    method: str
    covers: Literal["cutting", "joints and cutting"] = "cutting"
    proved: bool = False
    price: Decimal = Decimal(0)
    least_price: Decimal = Decimal(0)
    joints_bound: int = 0
    joints_method: str = ""
    joints_proved: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The whole plan of one site."""

    schema: Literal[1] = 1
    version: str
    name: str
    site: Site
    zones: tuple[ZonePlan, ...]
    pieces: tuple[Piece, ...]
    joints: tuple[Joint, ...]
    members: tuple[Member, ...]
    fixings: tuple[Fixing, ...]
    stock: tuple[StockItem, ...]
    takeoff: tuple[TakeoffLine, ...]
    checks: tuple[Check, ...]
    bounds: tuple[Bound, ...]

"""What a site file may say: one frozen dataclass for each of its tables.

The readers and the JSON Schema are made from these types, so a field, its default and its
limits are written once, here. All lengths are millimetres once a site has been read.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Annotated, Literal

from msgspec import Meta, Struct

from .colours import HEX_SHAPE, WRITTEN_SHAPE

_LENGTH = {"format": "length", "description": "a number in `units`, or text such as '2.4 m' or '5 1/2 in'"}

Length = Annotated[float, Meta(extra={"length": True}, extra_json_schema=_LENGTH)]
"""A length [mm], which a file may write in its own unit."""
Positive = Annotated[float, Meta(gt=0, extra={"length": True}, extra_json_schema=_LENGTH)]
"""A length above zero [mm]."""
NotNegative = Annotated[float, Meta(ge=0, extra={"length": True}, extra_json_schema=_LENGTH)]
"""A length of zero or more [mm]."""
CURRENCY_SHAPE = "^[A-Z]{3}$"
_COLOUR = {"pattern": WRITTEN_SHAPE, "description": "sRGB as #rrggbb, or a number of RAL Classic as 'RAL 7016'"}
Colour = Annotated[str, Meta(pattern=HEX_SHAPE, extra={"colour": True}, extra_json_schema=_COLOUR)]
"""A colour as #rrggbb, which a file may write as a number of RAL Classic."""
Price = Annotated[float, Meta(ge=0)]
Point = tuple[Length, Length]
Point3 = tuple[Length, Length, Length]
Ring = Annotated[tuple[Point, ...], Meta(min_length=3)]
"""Corners of a closed line, not repeated at the end, either way round."""
Edge = Annotated[int, Meta(ge=0)]
"""Number of an edge: edge i runs from corner i to corner i + 1."""

Side = Literal["grain", "grooved"]
Eye = Literal["standing", "sitting"]
EyeHeight = Annotated[float, Meta(ge=300, le=3000, extra={"length": True}, extra_json_schema=_LENGTH)]
"""Of the eye above what one stands on [mm]: from a child's on the boards to that of someone on a step-ladder (ours)."""
ViewName = Literal["garden", "doorway", "above", "corner"]
JointPattern = Literal["half", "third", "scattered", "none"]
EdgeFinish = Literal["flush", "trim", "step", "fascia"]
Unit = Literal["mm", "cm", "m", "in", "ft"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A door or window in a house wall."""

    wall: Edge
    offset: NotNegative
    width: Positive
    height: Positive
    sill: NotNegative = 0.0
    kind: Literal["folding", "sliding", "door", "window"] = "window"
    leaves: Annotated[int, Meta(ge=1, le=12)] = 1
    frame_colour: Colour = "#3a3f43"


@dataclass(frozen=True, slots=True, kw_only=True)
class House:
    """The building beside the deck."""

    walls: Ring
    height: Positive = 2600.0
    finish: Literal["brick", "render", "stone", "timber"] = "brick"
    brick_colour: Colour = "#8f4a37"
    mortar_colour: Colour = "#b3aa9b"
    bond: Literal["stretcher", "flemish", "english"] = "stretcher"
    head: Literal["soldier", "brick-on-edge"] = "soldier"
    pointing: Literal["bucket-handle", "recessed"] = "bucket-handle"
    openings: tuple[Opening, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Deck:
    """The area to board. `None` stands for a default that the reader works out from the geometry."""

    outline: Ring
    openings: tuple[Ring, ...] = ()
    surface: Positive = 150.0
    house_edges: tuple[Edge, ...] | None = None
    start_edge: Edge | None = None
    direction: float = 0.0
    edge_finish: dict[str, EdgeFinish] = field(default_factory=lambda: {"default": "flush"})


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherDeck(Deck):
    """Another deck on the same site, with a name to tell it by."""

    name: Annotated[str, Meta(min_length=1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A part of the outline with a direction or start edge of its own."""

    name: str
    outline: Ring
    direction: float = 0.0
    start_edge: Edge = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Something that the boards go round or over: an outline, a circle or a rectangle."""

    name: str
    kind: Literal["post", "downpipe", "gully", "cover", "tree", "other"] = "other"
    outline: Ring | None = None
    centre: Point | None = None
    diameter: Positive | None = None
    size: tuple[Positive, Positive] | None = None
    rotation: float = 0.0
    clearance: NotNegative | None = None
    treatment: Literal["cut", "hatch"] = "cut"

    def __post_init__(self) -> None:
        shapes = (self.outline is not None, self.diameter is not None, self.size is not None)
        if sum(shapes) != 1 or (self.outline is None) == (self.centre is None):
            raise ValueError("give one shape: outline, or centre with diameter, or centre with size")


@dataclass(frozen=True, slots=True, kw_only=True)
class Boards:
    """The deck board, from the product table or as the file says."""

    product: str = "plain-140"
    lengths: Annotated[tuple[Positive, ...], Meta(min_length=1)] = (4000.0,)
    width: Positive = 140.0
    thickness: Positive = 22.0
    profile: Literal["hollow", "solid"] = "hollow"
    rip_shares: bool | None = None
    """Whether two rips may be sawn from one stretch of board; by default of a solid board, not of a hollow one."""
    side: Side = "grain"
    colour: Colour = "#7a6a5c"
    expansion: Annotated[float, Meta(ge=0, lt=1e-3, description="linear expansion [1/K]")] = 4e-5
    mass_per_metre: Annotated[float, Meta(gt=0, description="[kg/m]")] = 2.6
    price_per_board: Annotated[float, Meta(ge=0, description="price of one board of the longest length")] = 30.0
    colours: dict[str, Colour] = field(default_factory=dict)
    """Colours that it is sold in, by name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeBoards:
    """The board of borders, nosings, dividers and fascias where it is another than the deck's, as wide and as thick.

    What is left out is as the product table says.
    """

    product: str
    lengths: Annotated[tuple[Positive, ...], Meta(min_length=1)] | None = None
    profile: Literal["hollow", "solid"] | None = None
    rip_shares: bool | None = None
    mass_per_metre: Annotated[float, Meta(gt=0, description="[kg/m]")] | None = None
    price_per_board: Annotated[float, Meta(ge=0, description="price of one board of the longest length")] | None = None
    breaks: tuple[Break, ...] | None = None
    """Price of one board of the longest length, from so many boards on, of all lengths together."""

    def __post_init__(self) -> None:
        check_breaks(self.price_per_board, self.breaks or ())


@dataclass(frozen=True, slots=True, kw_only=True)
class Gaps:
    """Gaps at laying, as the fixing system keeps them."""

    course: NotNegative = 5.0
    butt: NotNegative = 8.0
    wall: NotNegative = 8.0
    obstacle: NotNegative = 8.0
    laid_at: Annotated[float, Meta(ge=-20, le=50, description="temperature of the boards at laying [°C]")] = 15.0
    hottest: Annotated[float, Meta(ge=0, le=100, description="hottest that their surface gets [°C]")] = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Border:
    """Border boards round the field."""

    courses: Annotated[int, Meta(ge=0, le=4)] = 0
    edges: tuple[Edge, ...] = ()
    corners: Literal["mitre", "butt"] = "mitre"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """How boards are jointed, ripped and cut."""

    joints: JointPattern = "half"
    min_piece_bays: Annotated[int, Meta(ge=1, le=10)] = 2
    min_rip: NotNegative = 40.0
    oversail: NotNegative = 20.0
    kerf: NotNegative = 3.0
    square_up: NotNegative = 0.0
    """Taken off each end of a board before it is used."""
    kept_offcuts: Annotated[int, Meta(ge=0, le=1000)] = 12
    """Offcuts, of which later pieces are still to be cut, that may lie about at once."""
    seam: Literal["mitre", "divider"] = "mitre"
    """How zones meet: their boards mitred along the seam, or ending at a single board laid along it."""
    border: Border = Border()


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """The timber frame under the boards."""

    state: Literal["new", "existing"] = "new"
    section: tuple[Positive, Positive] = (47.0, 147.0)
    grade: str = "C16"
    max_centres: Positive = 400.0
    centres: Literal["module", "even"] | Positive = "module"
    """How far apart joists stand: so that full boards end on them, evenly from rim to rim, or as far as said."""
    stock_lengths: Annotated[tuple[Positive, ...], Meta(min_length=1)] = (3600.0, 4200.0, 4800.0)
    joists: tuple[tuple[Point, Point], ...] = ()
    doubled: tuple[Annotated[int, Meta(ge=0)], ...] = ()
    imposed_load: Annotated[float, Meta(gt=0, description="[kN/m2]")] = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSurvey:
    """How far the real wall stands from the straight house edge: [distance along, offset outwards]."""

    edge: Edge
    offsets: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the site lies, for the sun."""

    latitude: Annotated[float, Meta(ge=-90, le=90)] = 51.5
    longitude: Annotated[float, Meta(ge=-180, le=180)] = -0.1
    north: float = 0.0
    """Where north lies: degrees from +y, clockwise."""


class View(Struct, frozen=True, kw_only=True, rename={"start": "from", "target": "to"}):
    """A camera of the user's own. A Struct, since its file key `from` is a word of Python's own."""

    start: Point3
    target: Point3
    lens: Annotated[float, Meta(ge=8, le=300, description="focal length [mm] on a 36 mm wide sensor")] = 28.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What only the render needs."""

    place: Place = Place()
    when: str = "2027-06-21T17:00+01:00"
    view: ViewName | View = "garden"
    eye: Annotated[Eye | EyeHeight, Meta(description="how high one sees from, save from above")] = "standing"
    weathered: Annotated[float, Meta(ge=0, le=1, description="0 as new, 1 after two summers")] = 0.0


class Break(Struct, frozen=True, kw_only=True, rename={"start": "from"}):
    """From how many on one costs how much. A Struct, since its file key `from` is a word of Python's own."""

    start: Annotated[float, Meta(gt=0, le=1e6)]
    price: Price


@dataclass(frozen=True, slots=True, kw_only=True)
class FixingProduct:
    """A clip or a screw as it is sold: so many to a pack, at a price a pack."""

    name: Annotated[str, Meta(min_length=1)]
    pack: Annotated[int, Meta(ge=1, le=100_000, description="how many to a pack")] = 1
    price: Annotated[float, Meta(ge=0, description="price of a pack")]
    breaks: tuple[Break, ...] = ()
    """Price of a pack from so many packs on."""
    mass: Annotated[float, Meta(ge=0, description="of one [kg]")] = 0.0
    screws: Annotated[int, Meta(ge=0, le=10, description="that each takes and that its pack does not hold")] = 0

    def __post_init__(self) -> None:
        check_breaks(self.price, self.breaks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixings:
    """Clips and screws as they are bought. `None` means: as the product table says."""

    starter_clip: FixingProduct | None = None
    clip: FixingProduct | None = None
    edge_clip: FixingProduct | None = None
    screw: FixingProduct | None = None
    clip_screw: FixingProduct | None = None
    """The screw of a clip whose pack holds none."""
    edge_screw: FixingProduct | None = None
    """The screw of borders, nosings and fascias, where it is another than `screw`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is ordered beyond what the plan uses."""

    spare: Annotated[float, Meta(ge=0, le=1000, description="below 1 a share of the boards, from 1 on so many")] = 0.0

    def __post_init__(self) -> None:
        if self.spare >= 1 and self.spare != int(self.spare):
            raise ValueError("give a share below 1, such as 0.05, or a whole number of boards")


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """Unit prices without tax. `None` means: as the product table says."""

    currency: Annotated[str, Meta(pattern=CURRENCY_SHAPE)] = "GBP"
    board: Price | None = None
    timber_metre: Price | None = None
    clip: Price | None = None
    starter_clip: Price | None = None
    edge_clip: Price | None = None
    screw: Price | None = None
    board_breaks: tuple[Break, ...] | None = None
    """Price of one board of the longest length, from so many boards on, of all lengths together."""
    timber_breaks: tuple[Break, ...] | None = None
    """Price of a metre of timber, from so many metres on."""
    tax: Annotated[float, Meta(ge=0, le=1, description="share that is added to the whole, as 0.2")] | None = None
    invented: tuple[str, ...] = ()
    """What is priced from the table that comes with the engine; the reader fills it in."""

    def __post_init__(self) -> None:
        for price, breaks in ((self.board, self.board_breaks), (self.timber_metre, self.timber_breaks)):
            check_breaks(price, breaks or ())


def check_breaks(price: float | None, breaks: tuple[Break, ...]) -> None:
    """See that each break asks for more and costs less than the one before it.

    Raises
    ------
    ValueError
        If one does not.
    """
    if any(later.start <= before.start for before, later in pairwise(breaks)):
        raise ValueError("write price breaks in order, each from more than the one before")
    prices = [one.price for one in breaks] if price is None else [price, *(one.price for one in breaks)]
    if any(later >= before for before, later in pairwise(prices)):
        raise ValueError("a price break must be cheaper than the price before it")


@dataclass(frozen=True, slots=True, kw_only=True)
class OnHand:
    """Boards or offcuts that there already are: of the deck's board, or of the timber named as the plan names it."""

    product: str | None = None
    length: Positive
    count: Annotated[int, Meta(ge=1, le=100_000)] = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """One job: the whole site file."""

    schema: Literal[1]
    name: Annotated[str, Meta(min_length=1)]
    units: Unit = "mm"
    house: House | None = None
    deck: Deck
    decks: tuple[FurtherDeck, ...] = ()
    zones: tuple[Zone, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    boards: Boards = Boards()
    edge_boards: EdgeBoards | None = None
    gaps: Gaps = Gaps()
    pattern: Pattern = Pattern()
    frame: Frame = Frame()
    stock: tuple[OnHand, ...] = ()
    order: Order = Order()
    fixings: Fixings = Fixings()
    products: Annotated[str, Meta(min_length=1)] | None = None
    """The user's own product table: a file beside the site's. The reader fills in what it says."""
    wall_survey: WallSurvey | None = None
    look: Look = Look()
    prices: Prices = Prices()

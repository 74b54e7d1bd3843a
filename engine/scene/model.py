"""All that a renderer needs to know of a plan, and nothing of any renderer.

Terminology
-----------
board    one piece of decking, in board coordinates: along, across, up from its top face.
block    a length of timber as a box.
surface  a mesh of flat faces: walls, frames, glass, ground.
material a key; `Material` says what kind it is and which colours it has.

Lengths in mm, in the axes of the site: x right, y up the plan, z up from the ground datum.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..plan import Area, FixingKind, Point3, Role
from ..spec import Side

MaterialKind = Literal[
    "board", "board far", "board end", "timber", "fixing", "screw", "brick", "render", "stone", "cladding",
    "frame", "glass", "interior", "fascia", "gutter", "roof", "lawn", "grass", "soil", "gravel", "hedge",
    "paving", "metal", "sill",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Material:
    """What a surface is made of; `colours` are sRGB #rrggbb, in an order that the kind fixes.

    `weathered` says how far sun and rain have changed it: 0 as new, 1 after two summers.
    """

    key: str
    kind: MaterialKind
    colours: tuple[str, ...]
    weathered: float = 0.0


@dataclass(frozen=True, slots=True)
class BoardShape:
    """A piece of board: `polygon` in board coordinates (along, across) about `origin` on its top face.

    The board runs at `angle` [degrees from +x, anticlockwise]; `stock` is the board it is cut from and
    `from_end` how far along that stock board it begins, so that the grain of two pieces never repeats.
    `width` is that of the whole board and across = 0 its centre line, so that a ripped piece shows which
    arris the saw took off.

    An `upright` board stands on its long edge: across runs up, and its face looks to the right of `angle`.
    `bevel` says how much further along each end lies at the back than at the face, as a mitre of upright boards does;
    an end scribed round a post is drawn straight through.
    `open_sides` says of each side of the outer ring whether it is seen from the garden, or else only down a gap.
    A `hollow` board shows its chambers where such a side cuts across it; down a gap no one sees them.
    """

    id: str
    stock: str
    product: str
    face: Side
    origin: Point3
    angle: float
    polygon: Area
    width: float
    thickness: float
    from_end: float
    upright: bool = False
    bevel: tuple[float, float] = (0.0, 0.0)
    open_sides: tuple[bool, ...] = ()
    hollow: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """A frame member: a box about its centre line, `section` [b, h] wide and deep."""

    id: str
    role: Role
    stock: str
    product: str
    start: Point3
    end: Point3
    section: tuple[float, float]


@dataclass(frozen=True, slots=True)
class FixingShape:
    """What is seen of a clip, as a small box, or of a screw, as a disc: [along, across, up] about a point."""

    kind: FixingKind
    at: Point3
    angle: float
    size: Point3


@dataclass(frozen=True, slots=True)
class Surface:
    """A mesh of flat faces, seen from the side from which its corners run anticlockwise.

    `uv` has one (u, v) [mm] for each corner of each face, in face order; `tags` one triple for each face,
    whose meaning belongs to the material (for what is laid in courses: the tone of a piece, or zeros for its joints).
    `smooth` asks for shading without facets: crowns and hedges.
    """

    id: str
    group: str
    material: str
    vertices: tuple[Point3, ...]
    faces: tuple[tuple[int, ...], ...]
    uv: tuple[tuple[float, float], ...] = ()
    tags: tuple[tuple[float, float, float], ...] = ()
    smooth: bool = False


@dataclass(frozen=True, slots=True)
class Stand:
    """Where something stands, turned anticlockwise by `turn` [degrees] and scaled by `size`."""

    at: Point3
    turn: float
    size: float = 1.0


@dataclass(frozen=True, slots=True)
class Planting:
    """One shape that stands in many places: it is made once, about its own origin."""

    shape: Surface
    stands: tuple[Stand, ...]


@dataclass(frozen=True, slots=True)
class Camera:
    """A camera on a 36 mm wide sensor.

    `heading` runs clockwise from the plan's +y, `pitch` upwards from the horizon [degrees]. With no pitch verticals
    stay straight; how much ground is seen then comes by `shift_y`, a share of the sensor's width.
    """

    name: str
    position: Point3
    heading: float
    pitch: float
    lens: float
    shift_y: float = 0.0


@dataclass(frozen=True, slots=True)
class Sun:
    """Where the sun stands: `azimuth` clockwise from the plan's +y, `elevation` above the horizon [degrees]."""

    azimuth: float
    elevation: float


@dataclass(frozen=True, slots=True)
class SceneModel:
    """The deck beside the building, ready to be turned into meshes."""

    name: str
    boards: tuple[BoardShape, ...]
    blocks: tuple[Block, ...]
    fixings: tuple[FixingShape, ...]
    surfaces: tuple[Surface, ...]
    materials: tuple[Material, ...]
    cameras: tuple[Camera, ...]
    view: str
    sun: Sun
    plantings: tuple[Planting, ...] = ()

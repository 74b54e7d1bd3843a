"""What boards rest on: members' footprints and the bodies of boards over them, with what is asked of both again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.strtree import STRtree

from ..layout.chords import Bools
from ..layout.clip import Box
from ..layout.pieces import LaidPiece

SHARE = 0.5
"""A member bears a board where it lies under this share of the board's width."""
LEAST_SEAT = 200.0
"""A board bears on a member on no less than this [mm2]: half the least bearing of a board end on 20 mm of width."""
ALONG = 15.0
"""A member at less than this angle to the boards lies along them [degrees]."""


@dataclass(frozen=True, slots=True)
class Support:
    """A member's footprint, with what is asked of it again and again."""

    shape: BaseGeometry
    box: Box
    square: bool
    """Whether it is its own box: the member lies along the boards or square to them."""
    along: bool
    """Whether its longer sides run along the boards."""


def support(shape: BaseGeometry) -> Support:
    """Look at a member's footprint once, for all the boards over it."""
    return supports([shape])[0]


def supports(shapes: Sequence[BaseGeometry]) -> list[Support]:
    """Look at the footprints of many members."""
    members: NDArray[np.object_] = np.array(shapes, dtype=object)
    boxes = map(tuple, shapely.bounds(members).reshape(-1, 4).tolist())
    return list(map(Support, shapes, boxes, lie_square(members).tolist(), lie_along(members).tolist()))


def lie_square(members: NDArray[np.object_]) -> Bools:
    """Whether each footprint is its own box: the member lies along the boards or square to them."""
    x0, y0, x1, y1 = shapely.bounds(members).T
    square: Bools = (x1 - x0) * (y1 - y0) - shapely.area(members) < 1.0
    return square


def lie_along(members: NDArray[np.object_]) -> Bools:
    """Whether the longer sides of each footprint run along the boards."""
    corners, owner = shapely.get_coordinates(members, return_index=True)
    first = np.searchsorted(owner, np.arange(len(members)))
    one, other = corners[first + 1] - corners[first], corners[first + 2] - corners[first + 1]
    longer = np.where(((one**2).sum(axis=1) >= (other**2).sum(axis=1))[:, None], one, other)
    along: Bools = np.abs(longer[:, 1]) < np.abs(longer[:, 0]) * math.tan(math.radians(ALONG))
    return along


def members_under(pieces: Sequence[LaidPiece], members: Sequence[Support]) -> list[list[Support]]:
    """For each piece, the members whose bounds meet its own."""
    shapes: NDArray[np.object_] = np.array([piece.polygon for piece in pieces], dtype=object)
    under: list[list[Support]] = [[] for _ in pieces]
    for piece, member in STRtree([member.shape for member in members]).query(shapes).T.tolist():
        under[piece].append(members[member])
    return under


@dataclass(frozen=True, slots=True)
class Body:
    """A piece, or a body of one, in board axes, and the members that may lie under it."""

    polygon: Polygon
    whole: bool
    """Whether the piece is a rectangle."""
    under: Sequence[Support]
    share: float = SHARE
    """Share of the board's width that must lie on members."""
    box: Box = field(init=False)

    def __post_init__(self) -> None:
        """Look the bounds up once; they are asked for again and again."""
        object.__setattr__(self, "box", self.polygon.bounds)

"""What is handed over of a scene: things as triangles, and the outline that was drawn. Lengths in mm, z up."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ThingKind = Literal["post", "downpipe", "gully", "cover", "tree", "other"]
"""Kinds of obstacle, as the site file has them."""
DoorKind = Literal["auto", "folding", "sliding", "door", "window"]
"""Kinds of opening, as the site file has them, or to be told from the width."""


def _none() -> Ints:
    return np.zeros((0, 3), np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """A thing of the scene as a surface of triangles.

    Attributes
    ----------
    name : str
        What the user calls it; told in messages.
    vertices : ndarray
        (n, 3) [mm] in the axes of the site, z above the ground.
    triangles : ndarray
        (m, 3) corners of each, as places in `vertices`; either way round.
    kind : str
        What kind of obstacle it is.
    """

    name: str
    vertices: Floats
    triangles: Ints
    kind: ThingKind = "other"


@dataclass(frozen=True, slots=True, eq=False)
class Doorway:
    """A door or window of the scene; its shape may be anything that fills the opening."""

    name: str
    vertices: Floats
    kind: DoorKind = "auto"


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """The outline of a deck as drawn: faces, or lines that close.

    Attributes
    ----------
    vertices : ndarray
        (n, 3) [mm].
    lines : ndarray
        (k, 2) edges that belong to no face.
    triangles : ndarray
        (m, 3) of its faces; where there are any, their common outer line is the outline, and lines are not read.
    """

    name: str
    vertices: Floats
    lines: Ints
    triangles: Ints = field(default_factory=_none)

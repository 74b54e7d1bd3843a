"""What a file for a phone is made of.

Terminology
-----------
mesh     flat faces of one skin.
skin     what a viewer needs to know to shade a mesh: colour, gloss and, where it has them, baked pictures.
atlas    one picture with strips of many boards on it, from which every board takes a part.
tile     a picture that repeats without a seam, up and along a wall or roof.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ..plan import Point2
from ..scene.model import Material, Surface
from .atlas import Atlas

Array = npt.NDArray[np.float64]
Colour = tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Meshed:
    """Flat, convex faces of one skin.

    Attributes
    ----------
    name : str
    skin : str
        Key of its skin.
    corners : ndarray
        (n, 3) [mm] in site axes about the model's centre: each face's own, one face after the other.
    sizes : ndarray
        (faces,) how many corners each face has.
    uv : ndarray
        (n, 2) places on the skin's picture, 1 its whole width and height; v runs up.
    """

    name: str
    skin: str
    corners: Array
    sizes: npt.NDArray[np.int32]
    uv: Array


@dataclass(frozen=True, slots=True)
class Tile:
    """What a repeating picture is taken of: surfaces that face +z, and how much of them repeats, from the origin [mm].

    To the right of that rectangle they go on by at least `tiles.OVERLAP`.
    """

    surfaces: tuple[Surface, ...]
    size: tuple[float, float]


@dataclass(frozen=True, slots=True)
class PhoneModel:
    """The deck beside the building in few faces.

    Attributes
    ----------
    name : str
    meshes : tuple of Meshed
    materials : mapping
        What each skin shows, by its key; that of the boards is `atlas.SKIN` and shows the whole atlas.
    atlas : Atlas
    tiles : mapping
        The repeating pictures to be made, by the key of their skin; a skin in neither is of one colour.
    centre : tuple
        The place in the site that is the model's own origin [mm].
    colours : mapping
        Linear colours of skins that are no material of ours, by their key.
    """

    name: str
    meshes: tuple[Meshed, ...]
    materials: Mapping[str, Material]
    atlas: Atlas
    tiles: Mapping[str, Tile]
    centre: Point2
    colours: Mapping[str, Colour]


@dataclass(frozen=True, slots=True)
class Picture:
    """JPEG files: colour, and normals of relief in the surface's own axes (x along u, y along v)."""

    colour: bytes
    normal: bytes


@dataclass(frozen=True, slots=True)
class Skin:
    """How a viewer shades a mesh.

    `colour` is linear, what comes from within, and stands for the picture where there is none; `gloss` is what the
    surface reflects square on (0 to 1).
    """

    colour: Colour
    roughness: float
    gloss: float
    metallic: float = 0.0
    picture: Picture | None = None

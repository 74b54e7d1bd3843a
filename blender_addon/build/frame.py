"""The timber frame and the fixings, each as one joined mesh of boxes."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import bpy
import numpy as np

from ..engine.scene.boxes import BOX_FACES, box_uv, fixing_boxes, member_boxes
from ..engine.scene.model import Block, FixingShape
from .collection import place
from .marks import mark
from .meshes import new_mesh, set_attribute, set_uv
from .scale import MM

MEMBERS, FIXINGS = "members", "fixings"


def add_members(
    collection: bpy.types.Collection, blocks: Sequence[Block], material: Callable[[str], bpy.types.Material]
) -> None:
    """Build the frame, marked with `member`, `role`, `timber` (the stock length it is cut from) and `product`."""
    if not blocks:
        return
    thing = _boxes(collection, "Frame", MEMBERS, *member_boxes(blocks), material("timber"))
    faces = _part_of_face(len(blocks))
    mark(thing, "member", [block.id for block in blocks], faces)
    mark(thing, "role", [block.role for block in blocks], faces)
    mark(thing, "timber", [block.stock for block in blocks], faces)
    mark(thing, "product", [block.product for block in blocks], faces)


def add_fixings(
    collection: bpy.types.Collection, fixings: Sequence[FixingShape], material: Callable[[str], bpy.types.Material]
) -> None:
    """Build the fixings, marked with `fixing` (its number in the plan) and `kind`."""
    if not fixings:
        return
    thing = _boxes(collection, "Fixings", FIXINGS, *fixing_boxes(fixings), material("fixing"))
    faces = _part_of_face(len(fixings))
    mark(thing, "fixing", [str(number) for number in range(len(fixings))], faces)
    mark(thing, "kind", [fixing.kind for fixing in fixings], faces)


def _boxes(
    collection: bpy.types.Collection,
    name: str,
    part: str,
    corners: np.ndarray,
    local: np.ndarray,
    material: bpy.types.Material,
) -> bpy.types.Object:
    count = len(corners)
    indices = BOX_FACES[None] + 8 * np.arange(count)[:, None, None]
    mesh = new_mesh(name, corners.reshape(-1, 3), indices.ravel(), np.full(6 * count, 4))
    set_attribute(mesh, "board_co", "FLOAT_VECTOR", "POINT", local.reshape(-1, 3) * MM)
    set_uv(mesh, box_uv(local).reshape(-1, 2))
    mesh.materials.append(material)
    return place(collection, name, mesh, part)


def _part_of_face(count: int) -> np.ndarray:
    return np.repeat(np.arange(count), 6)

"""The timber frame, the clips and the screws, each as one joined mesh."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import bpy
import numpy as np

from ..engine.scene.boxes import BOX_FACES, HEAD_FACES, box_uv, fixing_boxes, member_boxes, screw_heads
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
    faces = _part_of_face(len(blocks), len(BOX_FACES))
    mark(thing, "member", [block.id for block in blocks], faces)
    mark(thing, "role", [block.role for block in blocks], faces)
    mark(thing, "timber", [block.stock for block in blocks], faces)
    mark(thing, "product", [block.product for block in blocks], faces)


def add_fixings(
    collection: bpy.types.Collection, fixings: Sequence[FixingShape], material: Callable[[str], bpy.types.Material]
) -> None:
    """Build clips and screws, marked with `fixing` (its number in the plan) and `kind`."""
    clips = {str(number): fixing for number, fixing in enumerate(fixings) if fixing.kind != "screw"}
    screws = {str(number): fixing for number, fixing in enumerate(fixings) if fixing.kind == "screw"}
    if clips:
        shapes = fixing_boxes(list(clips.values()))
        _mark_fixings(_boxes(collection, "Clips", FIXINGS, *shapes, material("fixing")), clips, len(BOX_FACES))
    if screws:
        corners = screw_heads(list(screws.values()))
        _mark_fixings(_heads(collection, corners, material("screw")), screws, len(HEAD_FACES))


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


def _heads(collection: bpy.types.Collection, corners: np.ndarray, material: bpy.types.Material) -> bpy.types.Object:
    count, of_one = corners.shape[:2]
    indices = np.concatenate(HEAD_FACES)[None] + of_one * np.arange(count)[:, None]
    counts = np.tile([len(face) for face in HEAD_FACES], count)
    mesh = new_mesh("Screws", corners.reshape(-1, 3), indices.ravel(), counts)
    mesh.materials.append(material)
    return place(collection, "Screws", mesh, FIXINGS)


def _mark_fixings(thing: bpy.types.Object, fixings: Mapping[str, FixingShape], faces_of_one: int) -> None:
    faces = _part_of_face(len(fixings), faces_of_one)
    mark(thing, "fixing", list(fixings), faces)
    mark(thing, "kind", [fixing.kind for fixing in fixings.values()], faces)


def _part_of_face(count: int, faces_of_one: int) -> np.ndarray:
    return np.repeat(np.arange(count), faces_of_one)

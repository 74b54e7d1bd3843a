"""House, openings, obstacles and garden: one object for each surface of the model."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import chain

import bpy
import numpy as np

from ..engine.scene.model import Surface
from .collection import part_collection, place
from .meshes import new_mesh, set_attribute, set_uv

PART = "surface"


def add_surfaces(
    deck: bpy.types.Collection, surfaces: Sequence[Surface], material: Callable[[str], bpy.types.Material]
) -> None:
    """Build every surface, in a collection for each of their groups.

    Meshes carry the UV map [m] and, where the model has them, the face attribute `tags`.
    """
    for surface in surfaces:
        if not surface.faces:
            continue
        place(part_collection(deck, surface.group), surface.id, mesh_of(surface, material), PART)


def mesh_of(surface: Surface, material: Callable[[str], bpy.types.Material]) -> bpy.types.Mesh:
    """Make the mesh of a surface."""
    counts = np.fromiter(map(len, surface.faces), np.int32, len(surface.faces))
    corners = np.fromiter(chain.from_iterable(surface.faces), np.int32, int(counts.sum()))
    mesh = new_mesh(surface.id, np.array(surface.vertices), corners, counts)
    if surface.uv:
        set_uv(mesh, np.array(surface.uv))
    if surface.tags:
        set_attribute(mesh, "tags", "FLOAT_VECTOR", "FACE", np.array(surface.tags))
    if surface.smooth:
        set_attribute(mesh, "sharp_face", "BOOLEAN", "FACE", np.zeros(len(counts), np.bool_))
    mesh.materials.append(material(surface.material))
    return mesh

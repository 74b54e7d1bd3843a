"""Plants: one mesh for each shape, shown in many places."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import radians

import bpy

from ..engine.scene.model import Planting
from .collection import part_collection, place
from .scale import MM
from .surfaces import mesh_of

PART = "plant"


def add_plantings(
    deck: bpy.types.Collection, plantings: Sequence[Planting], material: Callable[[str], bpy.types.Material]
) -> None:
    """Build every shape once, and an object of it at each of its stands."""
    for planting in plantings:
        shape = planting.shape
        if not shape.faces:
            continue
        mesh = mesh_of(shape, material)
        collection = part_collection(deck, shape.group)
        for stand in planting.stands:
            thing = place(collection, shape.id, mesh, PART)
            thing.location = [value * MM for value in stand.at]
            thing.rotation_euler.z = radians(stand.turn)
            thing.scale = (stand.size,) * 3

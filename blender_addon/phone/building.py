"""The user's own building for the model for a phone: its faces as they stand, each material in one plain colour."""

from __future__ import annotations

from collections.abc import Iterable

import bpy
import numpy as np

from ..build.scale import mm_per_unit
from ..engine.phone.model import Colour, Meshed

GREY: Colour = (0.6, 0.6, 0.6)
"""What has no material [linear] (ours)."""


def own_building(things: Iterable[bpy.types.Object], scene: bpy.types.Scene) -> list[tuple[Meshed, Colour]]:
    """Take in objects with their modifiers, in the axes of the site [mm], one mesh for each of their materials."""
    graph = bpy.context.evaluated_depsgraph_get()
    found = []
    for thing in things:
        seen = thing.evaluated_get(graph)
        mesh = seen.to_mesh()
        if mesh is None:
            continue
        mesh.calc_loop_triangles()
        corners = np.empty(3 * len(mesh.vertices))
        mesh.vertices.foreach_get("co", corners)
        indices = np.empty(3 * len(mesh.loop_triangles), np.int32)
        mesh.loop_triangles.foreach_get("vertices", indices)
        slots = np.empty(len(mesh.loop_triangles), np.int32)
        mesh.loop_triangles.foreach_get("material_index", slots)
        matrix = np.array(seen.matrix_world) * mm_per_unit(scene)
        placed = corners.reshape(-1, 3) @ matrix[:3, :3].T + matrix[:3, 3]
        faces = placed[indices].reshape(-1, 3, 3)
        if np.linalg.det(matrix[:3, :3]) < 0:  # mirrored: what looked out would look in
            faces = faces[:, ::-1]
        for slot in np.unique(slots):
            chosen = faces[slots == slot].reshape(-1, 3)
            name = f"{thing.name} {slot}"
            sizes = np.full(len(chosen) // 3, 3, np.int32)
            material = thing.material_slots[slot].material if slot < len(thing.material_slots) else None
            found.append((Meshed(name, f"own {name}", chosen, sizes, np.zeros((len(chosen), 2))), _colour(material)))
        seen.to_mesh_clear()
    return found


def _colour(material: bpy.types.Material | None) -> Colour:
    """Give a material's base colour where it is plain, else the one that the solid view shows."""
    if material is None:
        return GREY
    nodes = material.node_tree.nodes if material.node_tree else ()
    shader = next((node for node in nodes if node.type == "BSDF_PRINCIPLED"), None)
    plain = shader is not None and not shader.inputs["Base Color"].is_linked
    red, green, blue, _ = shader.inputs["Base Color"].default_value if plain else material.diffuse_color
    return red, green, blue

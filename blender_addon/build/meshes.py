"""Arrays into Blender meshes, without a loop over corners."""

from __future__ import annotations

import bpy
import numpy as np

from .scale import MM

_FIELDS = {"FLOAT_VECTOR": "vector", "INT": "value", "BOOLEAN": "value"}
_TYPES = {"FLOAT_VECTOR": np.float32, "INT": np.int32, "BOOLEAN": np.bool_}


def new_mesh(name: str, vertices: np.ndarray, corners: np.ndarray, counts: np.ndarray) -> bpy.types.Mesh:
    """Make a mesh of flat-shaded faces.

    Parameters
    ----------
    name : str
    vertices : ndarray
        (n, 3) [mm]
    corners : ndarray
        (sum of counts,) indices of vertices, face after face.
    counts : ndarray
        (faces,) how many corners each face has.
    """
    mesh = bpy.data.meshes.new(name)
    mesh.vertices.add(len(vertices))
    # As attributes they are copied whole; by the older names Blender asks for each one.
    set_attribute(mesh, "position", "FLOAT_VECTOR", "POINT", np.asarray(vertices) * MM)
    mesh.loops.add(len(corners))
    set_attribute(mesh, ".corner_vert", "INT", "CORNER", np.asarray(corners))
    mesh.polygons.add(len(counts))
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]]) if len(counts) else np.zeros(0)
    mesh.polygons.foreach_set("loop_start", starts.astype(np.int32))
    # Raw arrays make smooth shading, which smears the light of a board's end along the whole board.
    set_attribute(mesh, "sharp_face", "BOOLEAN", "FACE", np.ones(len(counts), np.bool_))
    mesh.update(calc_edges=True)
    return mesh


def set_attribute(mesh: bpy.types.Mesh, name: str, kind: str, domain: str, values: np.ndarray) -> None:
    """Write an attribute of a mesh; vectors are (n, 3)."""
    attribute = mesh.attributes.get(name) or mesh.attributes.new(name, kind, domain)
    attribute.data.foreach_set(_FIELDS[kind], np.ascontiguousarray(values, _TYPES[kind]).ravel())


def read_attribute(mesh: bpy.types.Mesh, name: str) -> np.ndarray:
    """Read a whole-number attribute of a mesh."""
    data = mesh.attributes[name].data
    values = np.empty(len(data), np.int32)
    data.foreach_get("value", values)
    return values


def set_uv(mesh: bpy.types.Mesh, uv: np.ndarray) -> None:
    """Write the UV map, (corners, 2) [mm], in metres."""
    layer = mesh.uv_layers.new(name="UVMap")
    layer.data.foreach_set("uv", (np.asarray(uv) * MM).astype(np.float32).ravel())

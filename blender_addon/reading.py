"""Objects of the scene read into arrays in mm, for the engine to make out what they are."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import bpy
import numpy as np
from mathutils import Matrix
from numpy.typing import NDArray

from .build.scale import mm_per_unit
from .engine import CourselineError
from .engine.takein import Doorway, Drawing, Solid
from .engine.takein.model import DoorKind, Floats, Ints, ThingKind

SURFACES = {"MESH", "CURVE", "SURFACE", "FONT", "META", "EMPTY"}
"""Types of object that can stand for something; an empty where it shows a collection."""


def solid(thing: bpy.types.Object, scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph, kind: ThingKind) -> Solid:
    """Read an object as a thing.

    Raises
    ------
    CourselineError
        If it has no surface.
    """
    vertices, triangles, _ = _arrays(thing, scene, depsgraph)
    if not len(triangles):
        raise CourselineError(f"'{thing.name}' has no surface: pick an object with faces")
    return Solid(thing.name, vertices, triangles, kind)


def doorway(thing: bpy.types.Object, scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph, kind: DoorKind) -> Doorway:
    """Read an object as a door or window.

    Raises
    ------
    CourselineError
        If it has no shape.
    """
    vertices, _, _ = _arrays(thing, scene, depsgraph)
    if not len(vertices):
        raise CourselineError(f"'{thing.name}' has no shape: pick an object that fills the opening")
    return Doorway(thing.name, vertices, kind)


def drawing(thing: bpy.types.Object, scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> Drawing:
    """Read an object as the outline of a deck.

    Raises
    ------
    CourselineError
        If nothing is drawn in it.
    """
    vertices, triangles, lines = _arrays(thing, scene, depsgraph)
    if not len(vertices):
        raise CourselineError(f"'{thing.name}' is empty: draw the outline of the deck in it")
    return Drawing(thing.name, vertices, lines, triangles)


def _arrays(
    thing: bpy.types.Object, scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph
) -> tuple[Floats, Ints, Ints]:
    """Vertices [mm], triangles, and edges, as the object is seen: with its modifiers and its place in the world."""
    if thing.mode == "EDIT":
        thing.update_from_editmode()
    vertices: list[Floats] = []
    triangles: list[Ints] = []
    lines: list[Ints] = []
    count = 0
    for shown, matrix in _shown(thing, depsgraph):
        with _mesh_of(shown) as mesh:
            points = _read(mesh.vertices, "co", 3, np.float32)
            placed = np.c_[points, np.ones(len(points))] @ np.array(matrix, float).T
            vertices.append(placed[:, :3] * mm_per_unit(scene))
            mesh.calc_loop_triangles()
            triangles.append(_read(mesh.loop_triangles, "vertices", 3, np.int32) + count)
            lines.append(_read(mesh.edges, "vertices", 2, np.int32) + count)
        count += len(points)
    if not vertices:
        return np.zeros((0, 3)), np.zeros((0, 3), np.int64), np.zeros((0, 2), np.int64)
    return np.concatenate(vertices), np.concatenate(triangles), np.concatenate(lines)


def _shown(thing: bpy.types.Object, depsgraph: bpy.types.Depsgraph) -> Iterator[tuple[bpy.types.Object, Matrix]]:
    """The object as evaluated, or all that an empty shows of a collection, each with its place in the world."""
    if thing.type != "EMPTY":
        shown = thing.evaluated_get(depsgraph)
        yield shown, shown.matrix_world
        return
    for instance in depsgraph.object_instances:
        if instance.is_instance and instance.parent and instance.parent.original == thing:
            yield instance.object, instance.matrix_world.copy()


@contextmanager
def _mesh_of(shown: bpy.types.Object) -> Iterator[bpy.types.Mesh]:
    """What an evaluated object looks like; a light or a camera is refused as having no shape."""
    try:
        mesh = shown.to_mesh()
    except RuntimeError as fault:
        raise CourselineError(f"'{shown.name}' has no shape") from fault
    try:
        yield mesh
    finally:
        shown.to_mesh_clear()


def _read(parts: Any, name: str, size: int, kind: type) -> NDArray[Any]:
    values: NDArray[Any] = np.empty(len(parts) * size, kind)
    parts.foreach_get(name, values)
    return values.reshape(-1, size).astype(np.float64 if kind is np.float32 else np.int64)

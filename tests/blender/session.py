"""A Blender session as its user has it: things modelled, selected and picked, through operators alone."""

from __future__ import annotations

from collections.abc import Sequence

import bpy
from courseline.engine.takein import Solid

METRE = 0.001


def start() -> None:
    """An empty file."""
    bpy.ops.wm.read_factory_settings(use_empty=True)


def mesh(
    name: str, points: Sequence[Sequence[float]], faces: Sequence[Sequence[int]], edges: Sequence[Sequence[int]] = ()
) -> bpy.types.Object:
    """An object of the user's own, points in the scene's units."""
    data = bpy.data.meshes.new(name)
    data.from_pydata([tuple(p) for p in points], [tuple(e) for e in edges], [tuple(f) for f in faces])
    thing = bpy.data.objects.new(name, data)
    bpy.context.scene.collection.objects.link(thing)
    bpy.context.view_layer.update()
    return thing


def box(name: str, low: Sequence[float], high: Sequence[float]) -> bpy.types.Object:
    """A block from one corner to the other."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    points = [(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (z0, z1)]
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    return mesh(name, points, faces)


def face(name: str, ring: Sequence[Sequence[float]], height: float) -> bpy.types.Object:
    """A flat face."""
    return mesh(name, [(x, y, height) for x, y in ring], [range(len(ring))])


def of_solid(solid: Solid, unit: float = METRE) -> bpy.types.Object:
    """A thing of the engine's tests as an object."""
    return mesh(solid.name, solid.vertices * unit, solid.triangles)


def select(*things: bpy.types.Object) -> None:
    """Select these and nothing else."""
    for other in bpy.context.view_layer.objects:
        other.select_set(other in things)
    bpy.context.view_layer.objects.active = things[0] if things else None


def pick(role: str, *things: bpy.types.Object) -> None:
    """Select things and press the button."""
    select(*things)
    assert bpy.ops.courseline.pick(role=role) == {"FINISHED"}


def house_and_deck() -> dict[str, bpy.types.Object]:
    """A house of two blocks, a door, a post and the outline of a deck round its inner corner, picked."""
    things = {
        "house": box("House", (0, 0, 0), (7, 5, 2.6)),
        "wing": box("Kitchen wing", (7, -2, 0), (10, 5, 2.6)),
        "post": box("Sail post", (2, -2.4, -0.5), (2.1, -2.3, 2.5)),
        "door": box("Garden doors", (3, -0.02, 0.15), (5.4, 0.06, 2.25)),
        "outline": face("Deck outline", [(1, 0), (1, -3.6), (7, -3.6), (7, 0)], 0.15),
    }
    pick("house", things["house"], things["wing"])
    pick("obstacle", things["post"])
    pick("door", things["door"])
    pick("outline", things["outline"])
    return things

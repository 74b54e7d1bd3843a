"""Procedural materials for everything that a scene model names, in the colours it gives."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache

import bpy

from ..engine.scene.model import Material
from .boards import sawn_end
from .boards_far import grooved_far
from .boards_grain import grain
from .boards_grooved import grooved
from .brick import brick
from .garden import grass, gravel, hedge, lawn, soil
from .glass import glass
from .masonry import paving, roof, stone
from .nodes import clear_tree, linear
from .plain import DAYLIGHT, FINISHES, LAMP, interior, plain
from .timber import cladding, timber

_MAKERS: dict[str, Callable[..., None]] = {
    "timber": timber,
    "cladding": cladding,
    "brick": brick,
    "stone": stone,
    "roof": roof,
    "lawn": lawn,
    "grass": grass,
    "soil": soil,
    "gravel": gravel,
    "hedge": hedge,
    "paving": paving,
}


def material_for(material: Material) -> bpy.types.Material:
    """Get or make the Blender material of a scene material.

    The name is made of key, kind and colours, so that what is equal is made once and stays when a scene is
    built again. Kinds read these colours: brick its brick and its mortar, glass none, every other kind one.
    """
    aged = (f"weathered {material.weathered:g}",) if material.weathered else ()
    name = " ".join((material.key, f"({material.kind})", *material.colours, *aged))[:63]  # Blender cuts at 63 bytes
    made = bpy.data.materials.get(name)
    if made is None:
        made = bpy.data.materials.new(name)
        _fill(made, material)
        if material.colours:
            made.diffuse_color = (*linear(material.colours[0]), 1.0)  # what the solid view shows
    return made


def finder(materials: Iterable[Material]) -> Callable[[str], bpy.types.Material]:
    """Give what finds the Blender material of a key among scene materials, each made once it is asked for."""
    known = {material.key: material for material in materials}
    return cache(lambda key: material_for(known[key]))


def _fill(made: bpy.types.Material, material: Material) -> None:
    graph, kind, colours = clear_tree(made), material.kind, material.colours
    if kind == "board":
        (grooved if "grooved" in material.key else grain)(graph, *colours, material.weathered)
    elif kind == "board far":
        grooved_far(graph, *colours, material.weathered)
    elif kind == "board end":
        sawn_end(graph, *colours, material.weathered)
    elif kind == "glass":
        glass(graph)
    elif kind == "interior":
        interior(graph, *colours, glow=LAMP if "lamp" in material.key else DAYLIGHT)
        # By day neither a faint glow all over nor a shade behind glass is worth aiming rays at.
        made.cycles.emission_sampling = "NONE"
    elif kind in FINISHES:
        plain(graph, *colours, FINISHES[kind])
    else:
        _MAKERS[kind](graph, *colours)
        made.cycles.emission_sampling = "NONE"  # nor are leaves, for the glow of the air before them

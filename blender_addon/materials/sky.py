"""The sky: Blender's own model of a clear day with the sun where the plan has it, and thin cloud."""

from __future__ import annotations

from math import radians

import bpy

from ..engine.scene.model import Sun
from .nodes import Graph, Socket, clear_tree

WORLD = "Courseline sky"
CARD = "white card"
"""Name of the node whose factors make a white card in this light come out white (see `render.calibrate`)."""
SUN_SIZE = 0.8
"""Diameter of the sun's disc [degrees]: a little over the true 0.53, for the softness that haze gives."""

HAZE = 1.3
"""Haze as a share of Blender's clear day: a whiter horizon and softer shade, as over a town (by eye, no source)."""
VEIL = 0.08
"""Thinnest cloud anywhere, as a share of the thickest."""
_RENAMED = bpy.app.version >= (5, 0, 0)  # Blender 5.0 renamed the physical sky and its haze


def sky_for(sun: Sun) -> bpy.types.World:
    """Get or make the world with the sun at its place; its light is not calibrated yet."""
    world = bpy.data.worlds.get(WORLD) or bpy.data.worlds.new(WORLD)
    graph = clear_tree(world)
    sky = graph.add("ShaderNodeTexSky", sky_type="MULTIPLE_SCATTERING" if _RENAMED else "NISHITA")
    sky.sun_elevation = radians(max(sun.elevation, 1.0))
    sky.sun_rotation = radians(sun.azimuth)
    sky.sun_size = radians(SUN_SIZE)
    setattr(sky, "aerosol_density" if _RENAMED else "dust_density", HAZE)
    card = graph.add("ShaderNodeVectorMath", operation="MULTIPLY", name=CARD, label=CARD)
    graph.feed(card.inputs[0], _clouded(graph, sky.outputs[0]))
    graph.feed(card.inputs[1], (1.0, 1.0, 1.0))
    background = graph.add("ShaderNodeBackground")
    graph.feed(background.inputs["Color"], card.outputs[0])
    graph.feed(graph.add("ShaderNodeOutputWorld").inputs["Surface"], background.outputs[0])
    return world


def _clouded(graph: Graph, clear: Socket) -> Socket:
    """Draw thin cloud over the sky on a flat layer high up, so that it crowds towards the horizon."""
    direction = graph.add("ShaderNodeTexCoord").outputs["Generated"]
    x, y, z = graph.split(direction)
    depth = graph.math("MAXIMUM", z, 0.03) + 0.14
    at = graph.vector(x / depth, y / depth, 0.0)
    cover = graph.noise(at, 1.15, 7.0, 0.55).step(0.45, 0.76, VEIL, 0.80) * z.step(0.0, 0.14)
    brightness = graph.dot(clear, (0.2126, 0.7152, 0.0722))
    # The disc itself is thousands of times brighter than the sky; cloud may not hide it, or there is no sun.
    open_sky = 1 - brightness.above(60.0)
    white = graph.math("MINIMUM", brightness * 2.8, 40.0)
    return graph.mix(cover * open_sky, clear, graph.vector(white, white, white * 1.02))

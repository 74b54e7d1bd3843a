"""Light and sky of a fair afternoon: sun and sky light in a measured share, and a sky as a photograph shows it.

Terminology
-----------
sky light   what the sky gives to the scene: Blender's clear sky, half of it spread evenly by thin high cloud.
seen sky    what the camera and sharp mirrors, such as glass, see: as bright as the sky light, but with its blue and
            with clouds.

The two differ in colour only. A sky as blue as a lens sees it would leave every shade blue, since the picture's white
is set in the sun; a photographer takes that blue out of the shade, and so does the thin cloud that is assumed here.
Radiance is counted in shares of what a white card in the open has; `render.calibrate` sets the strengths so.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import bpy

from ..engine.scene.model import Sun
from .nodes import SUN_AT, Colour, Graph, Signal, Socket, clear_tree

WORLD = "Courseline sky"
SUN, CLEAR, VEIL = "sun strength", "clear sky strength", "cloud veil strength"
"""Names of the nodes that hold the strengths of the three parts of the light."""
SKY = "Blender's sky"
SKY_SHARE = 0.30
"""Sky light's share of all the light that falls on level ground. A fair sunny day at a clearness index of 0.67 has a
diffuse share of 0.30 by the correlation of Erbs, Klein and Duffie (Solar Energy 28(4), 1982, 293-302), which has 0.17
for the clearest days. Half the sky and what the garden throws back make open shade a quarter to a third of the sun."""
SUN_SHARE = 1 - SKY_SHARE
VEIL_SHARE = 0.5
"""The cloud veil's share of the sky light (ours)."""
SUN_SIZE = 0.8
"""Diameter of the sun's disc [degrees]: a little over the true 0.53, for the softness that haze gives."""
LOWEST = 2.0
"""A sun lower than this is drawn here [degrees]: no one photographs a deck at night (ours)."""
DISC = 60.0
"""Radiance above which Blender's sky is the sun's disc, which is thousands of times brighter than the sky beside it."""
SKY_TINT: Colour = (0.976, 1.002, 1.052)
"""Colour of the sky light, luminance 1: white with a touch of blue, as under thin high cloud (ours)."""
GROUND = 0.5
"""Light from below the horizon as a share of the cloud veil's: land far off (ours)."""

HIGH, MIDDLE, HORIZON = (0.115, 0.26, 0.56), (0.27, 0.46, 0.74), (0.66, 0.755, 0.84)
"""The seen sky straight up, a third of the way up, and where it meets the land, white card in the sun 1 (by eye)."""
CLOUD_LIT, CLOUD_BASE = (0.99, 0.985, 0.97), (0.66, 0.70, 0.76)
"""A cloud in the sun and its underside (by eye)."""
_RENAMED = bpy.app.version >= (5, 0, 0)  # Blender 5.0 renamed the sky that 4.2 to 4.5 have too; it is the same model


@dataclass(frozen=True, slots=True)
class Strengths:
    """Where the strengths of the parts of a world's light are set, and how high its sun stands [rad]."""

    sun: bpy.types.NodeSocket
    clear: bpy.types.NodeSocket
    veil: bpy.types.NodeSocket
    elevation: float


def sky_for(sun: Sun) -> bpy.types.World:
    """Get or make the world with the sun at its place; its light is not calibrated yet."""
    world = bpy.data.worlds.get(WORLD) or bpy.data.worlds.new(WORLD)
    graph = clear_tree(world)
    elevation = max(sun.elevation, LOWEST)
    sky = graph.add("ShaderNodeTexSky", name=SKY, sky_type="SINGLE_SCATTERING" if _RENAMED else "NISHITA")
    sky.sun_elevation, sky.sun_rotation, sky.sun_size = radians(elevation), radians(sun.azimuth), radians(SUN_SIZE)
    high, about = radians(elevation), radians(sun.azimuth)
    world[SUN_AT] = (sin(about) * cos(high), cos(about) * cos(high), sin(high))
    path = graph.add("ShaderNodeLightPath")
    camera, glossy, sharp = (
        Signal(graph, path.outputs[f"Is {name} Ray"]) for name in ("Camera", "Glossy", "Singular")
    )
    # Rough gloss is lit by the sky light: the blue of the seen sky would tint what is dark in the shade.
    seen = graph.math("MAXIMUM", camera, glossy * sharp)
    mix = graph.add("ShaderNodeMixShader")
    graph.feed(mix.inputs[0], seen)
    graph.feed(mix.inputs[1], _background(graph, _light(graph, sky.outputs[0])))
    graph.feed(mix.inputs[2], _background(graph, _seen(graph, sun.azimuth, elevation)))
    graph.feed(graph.add("ShaderNodeOutputWorld").inputs["Surface"], mix.outputs[0])
    world.cycles.sampling_method, world.cycles.sample_map_resolution = "MANUAL", 256  # the sky light is smooth
    return world


def strengths_of(world: bpy.types.World | None) -> Strengths:
    """Find the strengths of a world's light.

    Raises
    ------
    ValueError
        If the world is not one of `sky_for`.
    """
    nodes = world.node_tree.nodes if world and world.node_tree else {}
    found = [nodes.get(name) for name in (SUN, CLEAR, VEIL, SKY)]
    if None in found:
        raise ValueError("the scene has no sky of ours to calibrate: set its world by sky_for() first")
    *parts, sky = found
    return Strengths(*(node.outputs[0] for node in parts), elevation=sky.sun_elevation)


def _background(graph: Graph, colour: Socket) -> Socket:
    node = graph.add("ShaderNodeBackground")
    graph.feed(node.inputs["Color"], colour)
    return node.outputs[0]


def _light(graph: Graph, sky: Socket) -> Socket:
    """Put sun, clear sky and cloud veil together; the sun has what colour the sky's tint lacks (see `render`)."""
    strength = [
        Signal(graph, graph.add("ShaderNodeValue", name=name, label=name).outputs[0]) for name in (SUN, CLEAR, VEIL)
    ]
    for each in strength:
        each.socket.default_value = 1.0
    sun, clear, veil = strength
    brightness = graph.dot(sky, (0.2126, 0.7152, 0.0722))
    disc = brightness.above(DISC)
    _, _, z = graph.split(_direction(graph))
    even = veil * z.step(-0.02, 0.02, GROUND, 1.0)
    soft = graph.times(SKY_TINT, brightness * (1 - disc) * clear + even)
    share = (1 - SUN_SHARE) / SUN_SHARE
    hard = graph.times(tuple(1 + share * (1 - part) for part in SKY_TINT), disc * sun)
    return graph.combine("ADD", soft, hard)


def _seen(graph: Graph, azimuth: float, elevation: float) -> Socket:
    """Draw the sky that a lens sees: blue above, pale at the horizon, a glow about the sun, clouds of fair weather."""
    direction = _direction(graph)
    x, y, z = graph.split(direction)
    blue = graph.mix(z.step(0.0, 0.32), HORIZON, graph.mix(z.step(0.16, 0.9), MIDDLE, HIGH))
    level = cos(radians(elevation))
    towards = (level * sin(radians(azimuth)), level * cos(radians(azimuth)), sin(radians(elevation)))
    glow = graph.math("POWER", graph.math("MAXIMUM", graph.dot(direction, towards), 0.0), 6.0)
    clear = graph.combine("ADD", blue, graph.times((1.0, 0.95, 0.86), glow * 0.22))
    return _clouded(graph, clear, (x, y, z), towards)


def _clouded(graph: Graph, clear: Socket, at: tuple[Signal, Signal, Signal], towards: Colour) -> Socket:
    """Lay two kinds of cloud over the sky: wisps high up, and heaps with lit heads and grey feet lower down."""
    x, y, z = at
    depth = graph.math("MAXIMUM", z, 0.0) + 0.16
    streaks = graph.vector(x / depth * 0.9, y / depth * 2.1, 0.0)
    wisps = graph.noise(streaks, 1.0, 6.0, 0.62).step(0.45, 0.80, 0.05, 0.55)
    thin = graph.mix(wisps * z.step(0.02, 0.25), clear, (0.93, 0.94, 0.95))
    # Further off, heaps are seen smaller and flatter: closer together up the sky as well.
    size = graph.math("MAXIMUM", z, 0.0) * 1.2 + 0.42
    low = graph.vector(x / size, y / size, z * 4.6 / size)
    ahead = graph.combine("ADD", low, tuple(0.10 * part for part in (towards[0], towards[1], 1.0)))
    heap = graph.noise(low, 1.7, 7.0, 0.56)
    beyond = graph.noise(ahead, 1.7, 3.0, 0.56)
    cover = heap.step(0.53, 0.64) * z.step(0.02, 0.10) * z.step(0.30, 0.75, 1.0, 0.0)
    lit = (heap - beyond).step(-0.05, 0.09)
    return graph.mix(cover * 0.92, thin, graph.mix(lit, CLOUD_BASE, CLOUD_LIT))


def _direction(graph: Graph) -> Socket:
    return graph.add("ShaderNodeTexCoord").outputs["Generated"]

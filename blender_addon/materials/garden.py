"""The garden: lawn, leaves, soil and gravel, all paler with distance as air makes them."""

from __future__ import annotations

from math import log

from .nodes import Colour, Graph, Signal, Socket, linear, surface

HAZE: Colour = (0.60, 0.70, 0.80)
"""Colour of the air far off: the sky's at the horizon, a little darker (by eye)."""
HALF_HAZE = 420.0
"""Distance at which half of what is seen is air [m]: a summer's afternoon, made thicker than true so that trees
behind a garden stand back (by eye)."""
MOWN = 0.55
"""Width of a mower's stripe [m] (common practice, no source)."""


def lawn(graph: Graph, colour: str) -> None:
    """Make the ground under grass, and grass far off: in the tone that standing blades have."""
    tone, green = _grass_tone(graph, colour)
    at = graph.position()
    blades = graph.noise(at, 150.0, 3.0, 0.7)
    tufts = graph.noise(at, 22.0, 4.0, 0.7)
    fine = 1 + 0.9 * (blades - 0.5) + 0.8 * (tufts - 0.5)
    shader = surface(
        graph,
        graph.times(green, tone * fine * 0.95),
        roughness=0.9,
        specular=0.08,
        normal=graph.bump(blades + 1.5 * tufts, 0.015, 0.8),
    )
    _finish(graph, shader.outputs[0])


def grass(graph: Graph, colour: str) -> None:
    """Make a blade: lit as the lawn is as a whole, each in a shade of its own, paler at the tip."""
    tone, green = _grass_tone(graph, colour)
    chance, _, _ = graph.split(graph.attribute("tags"))
    # Blades face every way; lit one by one they would glitter, so they lean towards the sky as the sward does.
    normal = graph.combine("NORMALIZE", graph.combine("ADD", graph.times(_facing(graph), 0.55), (0.0, 0.0, 1.0)))
    own = chance.scale(0.0, 1.0, 0.72, 1.34)
    straw = chance.above(0.93) * 0.55
    tint = graph.mix(straw, green, _drier(_drier(linear(colour))))
    _leafy(graph, graph.times(tint, tone * own * 1.4), normal, through=0.30, roughness=0.55)


def hedge(graph: Graph, colour: str) -> None:
    """Make leaves: each in a shade of its own, darker deep inside; a share of the light shines through."""
    chance, depth, _ = graph.split(graph.attribute("tags"))
    own = chance.scale(0.0, 1.0, 0.70, 1.30) * depth.scale(0.0, 1.0, 0.35, 1.12)
    red, green, blue = linear(colour)
    sprig = graph.mix(chance.fraction(), (red * 0.86, green * 0.95, blue), (red * 1.25, green * 1.08, blue * 0.92))
    _leafy(graph, graph.times(sprig, own), _facing(graph), through=0.34, roughness=0.45)


def soil(graph: Graph, colour: str) -> None:
    """Make dug earth in a bed."""
    crumbs = graph.noise(graph.position(), 45.0, 6.0, 0.7)
    surface(
        graph,
        graph.times(linear(colour), 1 + 1.1 * (crumbs - 0.5)),
        roughness=0.95,
        specular=0.1,
        normal=graph.bump(crumbs, 0.02),
    )


def gravel(graph: Graph, colour: str) -> None:
    """Make pebbles: rounded cells, each in a shade of its own, dark between them."""
    pebble = graph.add("ShaderNodeTexVoronoi")
    graph.feed(pebble.inputs["Vector"], graph.position())
    graph.feed(pebble.inputs["Scale"], 62.0)
    middle = Signal(graph, pebble.outputs["Distance"])
    chance, warmth, _ = graph.split(pebble.outputs["Color"])
    red, green, blue = linear(colour)
    stone = graph.mix(warmth, (red * 0.95, green, blue * 1.08), (red * 1.12, green, blue * 0.84))
    gap = middle.step(0.34, 0.70, 1.25, 0.45)
    surface(
        graph,
        graph.times(stone, gap * chance.scale(0.0, 1.0, 0.62, 1.30)),
        roughness=0.8,
        specular=0.25,
        normal=graph.bump(middle.step(0.0, 0.62, 1.0, 0.0), 0.010),
    )


def _grass_tone(graph: Graph, colour: str) -> tuple[Signal, Socket]:
    """Give what a lawn's brightness and colour are at a place: mown in stripes, lusher here and drier there."""
    at = graph.position()
    x, y, _ = graph.split(at)
    patches = graph.noise(at, 0.7, 5.0, 0.62)
    wander = graph.noise(at, 0.5, 1.0, 0.5) * 0.25
    stripe = ((x * 0.35 + y) / (2 * MOWN) + wander).fraction()
    mown = stripe.step(0.40, 0.60, 0.955, 1.045) + stripe.step(0.90, 1.0, 0.0, -0.09)
    green = graph.mix(patches.step(0.30, 0.75, 0.0, 0.75), linear(colour), _drier(linear(colour)))
    return mown, green


def _leafy(graph: Graph, colour: Socket, normal: Socket, *, through: float, roughness: float) -> None:
    """End a material in thin leaf: matt on both sides, a sheen, and light that comes through yellower."""
    matt = graph.add("ShaderNodeBsdfDiffuse")
    graph.feed(matt.inputs["Color"], colour)
    graph.feed(matt.inputs["Normal"], normal)
    glow = graph.add("ShaderNodeBsdfTranslucent")
    graph.feed(glow.inputs["Color"], graph.combine("MULTIPLY", colour, (1.45, 1.30, 0.55)))
    graph.feed(glow.inputs["Normal"], normal)
    sheen = graph.add("ShaderNodeBsdfGlossy")
    graph.feed(sheen.inputs["Color"], (1.0, 1.0, 1.0))
    graph.feed(sheen.inputs["Roughness"], roughness)
    leaf = _mixed(graph, through, matt.outputs[0], glow.outputs[0])
    _finish(graph, _mixed(graph, 0.035, leaf, sheen.outputs[0]))


def _finish(graph: Graph, shader: Socket) -> None:
    """End a material, the air before it laid over."""
    view = graph.add("ShaderNodeCameraData")
    clear = graph.math("EXPONENT", Signal(graph, view.outputs["View Distance"]) * (-log(2) / HALF_HAZE))
    air = graph.add("ShaderNodeEmission")
    graph.feed(air.inputs["Color"], HAZE)
    mix = _mixed(graph, 1 - clear, shader, air.outputs[0])
    output = next((node for node in graph.tree.nodes if node.type == "OUTPUT_MATERIAL"), None)
    graph.feed((output or graph.add("ShaderNodeOutputMaterial")).inputs["Surface"], mix)


def _mixed(graph: Graph, share: Signal | float, first: Socket, second: Socket) -> Socket:
    mix = graph.add("ShaderNodeMixShader")
    graph.feed(mix.inputs[0], share)
    graph.feed(mix.inputs[1], first)
    graph.feed(mix.inputs[2], second)
    return mix.outputs[0]


def _drier(colour: Colour) -> Colour:
    return colour[0] * 1.35, colour[1] * 1.10, colour[2] * 1.05


def _facing(graph: Graph) -> Socket:
    return graph.add("ShaderNodeNewGeometry").outputs["Normal"]

"""The garden: lawn, leaves and soil."""

from __future__ import annotations

from .nodes import Colour, Graph, linear, surface


def lawn(graph: Graph, colour: str) -> None:
    """Mown grass: blades close to, patches of lusher and drier growth further off."""
    at = graph.position()
    x, y, _ = graph.split(at)
    blades = graph.noise(at, 170.0, 3.0, 0.7)
    tufts = graph.noise(at, 14.0, 4.0, 0.7)
    patches = graph.noise(at, 0.9, 5.0, 0.65)
    mown = ((x * 0.35 + y) / 1.1).fraction().step(0.46, 0.54, 0.97, 1.03)  # two widths of a mower
    tone = (1 + 1.1 * (blades - 0.5) + 1.3 * (tufts - 0.5)) * mown
    green = graph.mix(patches.step(0.25, 0.80, 0.0, 0.8), linear(colour), _drier(linear(colour)))
    surface(
        graph,
        graph.times(green, tone),
        roughness=0.8,
        specular=0.12,
        normal=graph.bump(blades + 1.5 * tufts, 0.02, 0.9),
    )


def hedge(graph: Graph, colour: str) -> None:
    """Leaves: cells turned every way, some in the light and some deep inside; a share of the light shines through."""
    at = graph.position()
    leaf = graph.add("ShaderNodeTexVoronoi")
    graph.feed(leaf.inputs["Vector"], at)
    graph.feed(leaf.inputs["Scale"], 30.0)
    own, tint, _ = graph.split(leaf.outputs["Color"])
    depth = graph.noise(at, 5.0, 5.0, 0.7).step(0.36, 0.62, 0.28, 1.1)
    red, green, blue = linear(colour)
    leaves = graph.mix(tint, (red * 0.8, green * 0.92, blue), (red * 1.35, green * 1.15, blue * 0.9))
    normal = graph.combine("NORMALIZE", graph.combine("ADD", _facing(graph), _turned(graph, leaf.outputs["Color"])))
    shader = surface(graph, graph.times(leaves, depth * (0.6 + 0.8 * own)), roughness=0.5, specular=0.3, normal=normal)
    through = graph.add("ShaderNodeBsdfTranslucent")
    graph.feed(through.inputs["Color"], graph.times((red * 1.5, green * 1.4, blue * 0.6), depth))
    mix = graph.add("ShaderNodeMixShader")
    graph.feed(mix.inputs[0], 0.25)
    graph.feed(mix.inputs[1], shader.outputs[0])
    graph.feed(mix.inputs[2], through.outputs[0])
    output = next(node for node in graph.tree.nodes if node.type == "OUTPUT_MATERIAL")
    graph.feed(output.inputs["Surface"], mix.outputs[0])


def soil(graph: Graph, colour: str) -> None:
    """Dug earth in a bed."""
    crumbs = graph.noise(graph.position(), 45.0, 6.0, 0.7)
    surface(
        graph,
        graph.times(linear(colour), 1 + 1.1 * (crumbs - 0.5)),
        roughness=0.95,
        specular=0.1,
        normal=graph.bump(crumbs, 0.02),
    )


def _drier(colour: Colour) -> Colour:
    return colour[0] * 1.35, colour[1] * 1.10, colour[2] * 1.05


def _facing(graph: Graph) -> object:
    return graph.add("ShaderNodeNewGeometry").outputs["Normal"]


def _turned(graph: Graph, chances: object) -> object:
    return graph.times(graph.combine("SUBTRACT", chances, (0.5, 0.5, 0.5)), 1.3)

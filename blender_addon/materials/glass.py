"""Glass: double glazing as one plane, part mirror and part clear."""

from __future__ import annotations

from .nodes import Graph

SQUARE_ON = 0.20
"""Light that two panes reflect square on: four surfaces of 4 % (Fresnel, index 1.5) give 0.15, a heat coating more."""
TINT = (0.60, 0.65, 0.63)
"""What passes of the rest, in and out: coated float glass, slightly green (by eye, no source)."""


def glass(graph: Graph) -> None:
    """Make a pane: Fresnel by Schlick's rule, clear rays that need no refraction, so that light gets in cheaply."""
    geometry = graph.add("ShaderNodeNewGeometry")
    facing = graph.dot(geometry.outputs["Incoming"], geometry.outputs["True Normal"]).abs()
    grazing = graph.math("POWER", 1 - facing, 5.0)
    share = SQUARE_ON + (1 - SQUARE_ON) * grazing
    clear = graph.add("ShaderNodeBsdfTransparent")
    graph.feed(clear.inputs["Color"], TINT)
    mirror = graph.add("ShaderNodeBsdfGlossy")
    graph.feed(mirror.inputs["Roughness"], 0.0)
    graph.feed(mirror.inputs["Color"], (0.97, 1.0, 0.985))
    mix = graph.add("ShaderNodeMixShader")
    graph.feed(mix.inputs[0], share)
    graph.feed(mix.inputs[1], clear.outputs[0])
    graph.feed(mix.inputs[2], mirror.outputs[0])
    graph.feed(graph.add("ShaderNodeOutputMaterial").inputs["Surface"], mix.outputs[0])

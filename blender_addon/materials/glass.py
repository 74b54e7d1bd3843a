"""Glass: one pane of a double unit, part mirror and part clear."""

from __future__ import annotations

from .nodes import Graph

SQUARE_ON = 0.09
"""Light that one pane reflects square on: two surfaces of 4 % (Fresnel, index 1.5), and a share of a heat coating."""
TINT = (0.895, 0.91, 0.895)
"""What passes of the rest: float glass, slightly green (by eye, no source)."""
DISH = 0.0035
"""Slope that a pane gains for every metre from its middle: sealed units belly with the weather (by eye, no source)."""
WAVE = 0.0007
"""Slope of the rollers' waves in toughened glass (by eye, no source)."""


def glass(graph: Graph) -> None:
    """Make a pane: Fresnel by Schlick's rule, clear rays that need no refraction, so that light gets in cheaply.

    `UVMap` runs in metres from the pane's middle, and `tags` are the level direction along it: each pane bellies a
    little, so that what it mirrors is bent as in real units.
    """
    u, v, _ = graph.split(graph.uv())
    wave = graph.fibre(graph.vector(u * 0.8, v * 6.0)) - 0.5
    normal = graph.leaning(graph.attribute("tags"), u * DISH)
    normal = graph.combine("NORMALIZE", graph.combine("ADD", normal, graph.vector(0.0, 0.0, v * DISH + wave * WAVE)))
    geometry = graph.add("ShaderNodeNewGeometry")
    facing = graph.dot(geometry.outputs["Incoming"], geometry.outputs["True Normal"]).abs()
    grazing = graph.math("POWER", 1 - facing, 5.0)
    share = SQUARE_ON + (1 - SQUARE_ON) * grazing
    clear = graph.add("ShaderNodeBsdfTransparent")
    graph.feed(clear.inputs["Color"], TINT)
    mirror = graph.add("ShaderNodeBsdfGlossy")
    graph.feed(mirror.inputs["Roughness"], 0.0)
    graph.feed(mirror.inputs["Color"], (0.97, 1.0, 0.985))
    graph.feed(mirror.inputs["Normal"], normal)
    mix = graph.add("ShaderNodeMixShader")
    graph.feed(mix.inputs[0], share)
    graph.feed(mix.inputs[1], clear.outputs[0])
    graph.feed(mix.inputs[2], mirror.outputs[0])
    graph.feed(graph.add("ShaderNodeOutputMaterial").inputs["Surface"], mix.outputs[0])

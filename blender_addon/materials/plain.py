"""Finishes of one colour: powder coat, plastic, metal, plaster."""

from __future__ import annotations

from dataclasses import dataclass

from .nodes import Graph, linear, split_gloss, surface


@dataclass(frozen=True, slots=True)
class Finish:
    """Gloss, and how much and how finely [1/m] the tone wanders; all by eye, no source."""

    roughness: float
    specular: float
    metallic: float = 0.0
    wander: float = 0.0
    scale: float = 2.0
    relief: float = 0.0


FINISHES = {
    "frame": Finish(roughness=0.40, specular=0.28, wander=0.04),
    "fascia": Finish(roughness=0.45, specular=0.45, wander=0.07),
    "gutter": Finish(roughness=0.34, specular=0.30, wander=0.08, scale=1.0),
    "sill": Finish(roughness=0.60, specular=0.35, wander=0.15, scale=9.0),
    "metal": Finish(roughness=0.34, specular=0.50, metallic=1.0, wander=0.20, scale=6.0),
    "fixing": Finish(roughness=0.40, specular=0.50, metallic=1.0),
    "screw": Finish(roughness=0.55, specular=0.25),
    "render": Finish(roughness=0.92, specular=0.15, wander=0.20, scale=1.2, relief=0.0012),
}

DAYLIGHT, LAMP = 0.10, 0.55
"""Glow of a room's surfaces, lit by windows that the scene leaves out, and of a lamp; a white card outside is 1
(see `render.calibrate`)."""


def plain(graph: Graph, colour: str, finish: Finish) -> None:
    """Make a finish of one colour."""
    base, gloss = linear(colour), finish.specular
    if not finish.metallic:
        base, gloss = split_gloss(base, gloss)
    at = graph.position()
    tone = 1 + finish.wander * (graph.noise(at, finish.scale, 4.0, 0.6) - 0.5)
    normal = graph.bump(graph.noise(at, 420.0, 3.0, 0.6), finish.relief) if finish.relief else None
    surface(
        graph,
        graph.times(base, tone),
        roughness=finish.roughness,
        specular=gloss,
        metallic=finish.metallic,
        normal=normal,
    )


def interior(graph: Graph, colour: str, glow: float = DAYLIGHT) -> None:
    """Make a room behind glass: matt, and glowing a little, as the light of its other windows and lamps would do."""
    base = linear(colour)
    shader = surface(graph, base, roughness=0.9, specular=0.2)
    graph.feed(shader.inputs["Emission Color"], (base[0], base[1] * 0.93, base[2] * 0.82))
    graph.feed(shader.inputs["Emission Strength"], glow)

"""Brick and mortar on a wall whose every brick is a piece of the mesh (see `engine.scene.facework`)."""

from __future__ import annotations

from .nodes import Graph, Signal, Socket, linear, split_gloss, surface

SPECULAR = 0.08
"""Fired clay is nearly matt (by eye, no source)."""
HOTTER, COOLER = (0.74, 0.82, 0.92), (1.26, 1.18, 1.08)
"""Tones within one brick, the mean 1 (by eye, no source)."""
EVEN = 1.05
"""What arrises, relief and gloss take from the colour that was asked for, measured in flat light, and is given back."""
OPEN, BOUNCE = 1.05, 1.86
"""How light falls in a joint of which a share is open: some of that share, and what the bricks beside throw back;
measured in flat light on bucket-handle and recessed joints between dark and pale bricks."""


def brick(graph: Graph, colour: str, mortar: str) -> None:
    """Make brickwork in two colours.

    Each face's `tags` are its brick's tone, which its colour is multiplied by; for mortar two zeros and how open the
    joint is, since shaded mortar is made so much paler that it shows its colour. `UVMap` runs in metres, for each
    brick from a place of its own, so that no two have the same marks.
    """
    at = graph.uv()
    tone = graph.attribute("tags")
    red, _, sky = graph.split(tone)
    fired = red.above(0.001)
    clouds, sand = _marks(graph, at)
    inner, gloss = split_gloss(linear(colour), SPECULAR)
    bounced = graph.times(inner, BOUNCE * sky * (1 - sky))
    lit = graph.times(graph.combine("ADD", bounced, (OPEN, OPEN, OPEN)), sky)
    pointing = graph.combine("DIVIDE", linear(mortar), lit)
    face = graph.combine("MULTIPLY", tone, inner)
    # Kiln marks, cooler where the fire was hotter, and dragged sand on brick; a trowelled, even joint.
    hot = clouds.step(0.30, 0.72)
    marked = graph.combine("MULTIPLY", face, graph.mix(hot, HOTTER, COOLER))
    wander = EVEN + (sand - 0.5) * (0.22 + 0.20 * fired)
    colours = graph.times(graph.mix(fired, pointing, marked), wander)
    relief = graph.bump(sand + clouds * 0.8, 0.0013, graph.pixel().step(0.0015, 0.0080, 1.0, 0.25))
    surface(graph, colours, roughness=0.88, specular=gloss, normal=relief)


def _marks(graph: Graph, at: Socket) -> tuple[Signal, Signal]:
    """Return soft marks some centimetres wide, and the grain of sand, both about 0.5."""
    x, y, _ = graph.split(at)
    clouds = graph.fibre(graph.vector(x * 16.0, y * 26.0), detail=2.0)
    sand = graph.fibre(graph.vector(x * 330.0, y * 380.0), detail=2.0)
    return clouds, sand

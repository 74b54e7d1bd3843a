"""Brick walls at true size, from UVs in metres: every brick its own colour, the mortar set back."""

from __future__ import annotations

from .nodes import Colour, Graph, Signal, linear, surface

LENGTH, HEIGHT, JOINT = 0.215, 0.065, 0.010
"""Work size of a brick and its joint [m]: 215 x 102.5 x 65 mm bricks, 10 mm joints (common UK format)."""
MODULE, COURSE = LENGTH + JOINT, HEIGHT + JOINT
BOND = MODULE / 2


def brick(graph: Graph, colour: str, mortar: str) -> None:
    """Make brickwork in two colours.

    `UVMap` runs in metres from the wall's corner; each face's `tags` are the parity of its first course,
    1 for stretcher bond or 0 for bricks stacked without a shift, and a sign that mirrors a brick's number
    so that a corner brick is the same one on both its faces.
    """
    u, v, _ = graph.split(graph.uv())
    parity, bond, mirror = graph.split(graph.attribute("tags"))
    at = graph.position()

    row = (v / COURSE).floor()
    high = v - row * COURSE
    shifted = u + graph.math("FLOORED_MODULO", row + parity, 2.0) * bond * BOND
    column = (shifted / MODULE).floor()
    wide = shifted - column * MODULE
    chances = graph.dice(graph.vector(column * mirror, row, bond * 3))

    rough = graph.noise(at, 55.0, 3.0, 0.6)
    sand = graph.noise(at, 330.0, 3.0, 0.65)
    edge = graph.smaller(wide, LENGTH - wide, high, HEIGHT - high) + 0.005 * (rough - 0.5)  # hand-worn arrises
    face = edge.step(-0.0010, 0.0014)
    colours = graph.mix(face, _mortar(graph, linear(mortar), edge, sand), _fired(graph, linear(colour), chances, sand))

    _, second, third = graph.split(chances)
    height = edge.step(-0.004, 0.004) + 0.16 * sand + 0.14 * second
    surface(graph, colours, roughness=third.scale(0.0, 1.0, 0.80, 0.95), specular=0.2, normal=graph.bump(height, 0.005))


def _fired(graph: Graph, colour: Colour, chances: object, sand: Signal) -> object:
    """Spread one brick colour over a load of bricks: most near it, a few burnt dark, a few paler and yellower."""
    luck, shade, tint = graph.split(chances)
    red, green, blue = colour
    plum, sand_faced = (red * 0.80, green * 0.92, blue * 1.14), (red * 1.20, green * 1.08, blue * 0.86)
    tinted = graph.mix(tint, plum, sand_faced)
    burnt = luck.step(0.85, 0.90) * 0.40
    own = 1.05 + 0.50 * (shade - 0.5) - burnt
    drift = graph.noise(graph.combine("ADD", graph.position(), graph.times(chances, 9.0)), 13.0, 4.0, 0.65)
    kiln = 1 + 0.55 * (drift - 0.5)
    return graph.times(tinted, own * kiln * (1 + 0.30 * (sand - 0.5)))


def _mortar(graph: Graph, colour: Colour, edge: Signal, sand: Signal) -> object:
    """Mortar: sandy, uneven from batch to batch, and darker where it lies back in the joint."""
    batch = graph.noise(graph.position(), 2.2, 3.0, 0.6)
    return graph.times(
        colour, edge.step(-0.005, -0.0005, 0.80, 0.92) * (1 + 0.5 * (sand - 0.5)) * (0.78 + 0.44 * batch)
    )

"""The grooved face: flat-bottomed grooves routed along the board, and a finely brushed surface between them."""

from __future__ import annotations

from .boards import board, finish
from .nodes import Graph, linear

PITCH = 0.006
"""Groove to groove [m] (common practice, no source)."""
DEPTH = 0.0016
"""Depth of a groove [m] (common practice, no source)."""
GROOVE = 0.46
"""Width of a groove as a share of the pitch, half-way down its sides."""
BOTTOM = 0.52
"""Light that reaches the bottom of a groove and comes out again, as a share of the open face."""
MEAN_TONE = 1 - GROOVE * (1 - BOTTOM)


def grooved(graph: Graph, colour: str) -> None:
    """Make the grooved face in `colour`.

    Grooves too fine for a pixel are shown as their mean, tone and relief alike, before they can
    beat with the pixels.
    """
    place = board(graph)
    fibre = graph.noise(place.stretched(5.0, 420.0), detail=2.0, roughness=0.6)
    cloud = graph.noise(place.stretched(1.1, 9.0), detail=2.0)

    middle = ((place.across / PITCH).fraction() - 0.5).abs() * 2  # 0 midway between grooves, 1 in a groove's middle
    side = 0.09
    groove = middle.step(1 - GROOVE - side, 1 - GROOVE + side)
    pixel = graph.pixel()
    seen = pixel.step(0.55 * PITCH, 1.3 * PITCH, 1.0, 0.0)
    close = pixel.step(0.0012, 0.0035, 1.0, 0.25)

    shade = 1 - (1 - BOTTOM) * (GROOVE + (groove - GROOVE) * seen)
    tone = shade * (1 + (fibre - 0.5) * 0.16 * close + (cloud - 0.5) * 0.12) / MEAN_TONE
    brushed = graph.bump(fibre, 0.00012, close)
    finish(place, linear(colour), tone, fibre.scale(0.3, 0.7, 0.60, 0.74), graph.bump(1 - groove, DEPTH, seen, brushed))

"""The grooved face: a finely brushed surface, with the grooves themselves in the mesh (see `engine.scene.profile`)."""

from __future__ import annotations

from ..engine.scene.profile import GROOVE_DEPTH
from .boards import board, finish
from .nodes import Graph, linear

DIRT = 0.86
"""Tone of a groove's bottom beside that of the face: dust stays there (by eye, no source)."""
SHADED, THROWN_BACK = 0.715, 0.25
"""What grooves leave of the face in flat light, measured: a share that is the same for all colours, and one that
grows with the colour, as light is thrown from side to side. Divided out so that a board's mean is its colour."""


def grooved(graph: Graph, colour: str) -> None:
    """Make the grooved face in `colour`: calmer than grain, since a client is to see the grooves."""
    place = board(graph)
    fibre = graph.noise(place.stretched(5.0, 420.0), detail=2.0, roughness=0.6)
    cloud = graph.noise(place.stretched(1.1, 9.0), detail=2.0)
    seen = graph.pixel().step(0.0015, 0.0045, 1.0, 0.30)
    dirt = place.up.step(-GROOVE_DEPTH / 1000, -GROOVE_DEPTH / 4000, DIRT, 1.0)
    tone = dirt * (1 + (fibre - 0.5) * 0.20 * seen + (cloud - 0.5) * 0.12)
    red, green, blue = (part / (SHADED + THROWN_BACK * part) for part in linear(colour))
    finish(place, (red, green, blue), tone, fibre.scale(0.3, 0.7, 0.60, 0.74), graph.bump(fibre, 0.00015, seen))

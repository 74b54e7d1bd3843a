"""The grain face: embossed composite, with long fine fibre, short open pores and a shallow relief."""

from __future__ import annotations

from .boards import board, finish
from .nodes import Graph, linear

RELIEF = 0.0005
"""Depth of the embossing [m] (by eye on boards as sold, no source)."""
MEAN_TONE = 0.987
"""Mean of the tone below over a large area, measured; divided out so that a board's mean is its colour."""


def grain(graph: Graph, colour: str) -> None:
    """Make the grain face in `colour`.

    Streaks of several widths, so that some can be read at any distance: fibre of a millimetre close to,
    pores and embossed lines at arm's length, bands of one to two centimetres at 3 m and more. All run
    straight; a slow sway of two or three millimetres keeps them from looking ruled.
    """
    place = board(graph)
    sway = 0.012 * (graph.noise(place.stretched(0.9, 4.0), detail=1.0) - 0.5)
    fibre = graph.noise(place.stretched(7.0, 620.0, sway), detail=2.0, roughness=0.6)
    streak = graph.noise(place.stretched(1.8, 130.0, sway), detail=2.0, roughness=0.55)
    band = graph.noise(place.stretched(0.6, 38.0, sway), detail=1.0)
    pore = graph.noise(place.stretched(9.0, 300.0, sway), detail=1.0).step(0.60, 0.72)
    line = (graph.noise(place.stretched(1.1, 85.0, sway), detail=1.0) - 0.5).abs().step(0.0, 0.045, 1.0, 0.0)

    seen = graph.pixel().step(0.0015, 0.0045, 1.0, 0.30)
    fine = (fibre - 0.5) * 0.45 - (pore - 0.06) * 0.26
    broad = (streak - 0.5) * 0.62 + (band - 0.5) * 0.42 - (line - 0.14) * 0.15
    tone = (1 + fine * seen + broad) / MEAN_TONE
    height = 0.5 * fibre + 0.4 * streak - 0.6 * pore - 0.5 * line
    roughness = streak.scale(0.3, 0.7, 0.54, 0.70)
    finish(place, linear(colour), tone, roughness, graph.bump(height, RELIEF, seen))

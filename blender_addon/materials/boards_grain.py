"""The grain face: embossed composite, with long fine fibre, drawn-out pressed lines and a shallow relief."""

from __future__ import annotations

from .boards import DULL, ROUGHEN, ROUGHNESS, SPECULAR, aged, board, finish
from .nodes import Graph, linear, split_gloss

LINE_SHARE = 0.10
"""Mean of the pressed lines below over a large area, measured; taken off so that a board's mean is its colour."""


def grain(graph: Graph, colour: str, weathered: float = 0.0) -> None:
    """Make the grain face in `colour`.

    Fibre under a millimetre wide, drawn out over a hand's breadth; lines pressed some millimetres apart, that lie
    dark and show one lit flank and one shaded; and streaks of one or two centimetres in the colour itself, all that
    is left of it beyond some metres. All run straight: the rollers that emboss a board know no knots.
    """
    place = board(graph)
    fine = graph.pixel().step(0.0006, 0.0030, 1.0, 0.0)
    coarse = graph.pixel().step(0.0020, 0.0070, 1.0, 0.25)
    fibre = graph.fibre(place.stretched(5.0, 560.0), detail=1.0) - 0.5
    sway = fibre * 0.0006
    press = graph.fibre(place.stretched(1.5, 110.0, sway), detail=1.0) - 0.5
    line = press.abs().step(0.0, 0.040, 1.0, 0.0)
    streak = graph.fibre(place.stretched(0.8, 45.0), detail=1.0) - 0.5

    tone = 1 + fibre * fine * 0.50 + (press * 0.24 - (line - LINE_SHARE) * 0.26) * coarse + streak * 0.22
    slope = fibre * fine * 0.60 + press * line * coarse * 8.0
    inner, gloss = split_gloss(aged(linear(colour), weathered), SPECULAR * (1 - DULL * weathered))
    roughness = line * 0.12 + (ROUGHNESS + ROUGHEN * weathered)
    finish(place, inner, tone, roughness, slope, gloss)

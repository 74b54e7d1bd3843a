"""The grooved face: a finely brushed surface, with the grooves themselves in the mesh (see `engine.scene.profile`)."""

from __future__ import annotations

from ..engine.scene.cavity import albedo_for
from ..engine.scene.profile import GROOVE_DEPTH
from ..engine.spec import Boards
from .boards import DULL, ROUGHEN, ROUGHNESS, SPECULAR, aged, board, finish
from .nodes import Colour, Graph, linear, split_gloss

DIRT = 0.72
"""Tone of a groove's bottom beside that of the face: unbrushed, and dust stays there (by eye, no source)."""


def grooved(graph: Graph, colour: str, weathered: float = 0.0) -> None:
    """Make the grooved face in `colour`: calmer than grain, since a client is to see the grooves."""
    place = board(graph)
    fine = graph.pixel().step(0.0006, 0.0030, 1.0, 0.0)
    fibre = graph.fibre(place.stretched(4.0, 700.0), detail=1.0) - 0.5
    cloud = graph.fibre(place.stretched(1.1, 9.0), detail=1.0) - 0.5
    dirt = place.up.scale(-GROOVE_DEPTH / 1000, 0.0, DIRT, 1.0)
    tone = dirt * (1 + fibre * fine * 0.24 + cloud * 0.10)

    asked = aged(linear(colour), weathered)
    _, gloss = split_gloss(asked, SPECULAR * (1 - DULL * weathered))
    finish(place, grooved_albedo(asked, gloss), tone, ROUGHNESS + ROUGHEN * weathered, fibre * fine * 0.3, gloss)


def grooved_albedo(asked: Colour, gloss: float) -> Colour:
    """Give the colour of the material that under its grooves and `gloss` is seen as what was asked for [linear]."""
    red, green, blue = (albedo_for(part, _dirt, Boards().width, 0.08 * gloss) for part in asked)
    return red, green, blue


def _dirt(height: float) -> float:
    """Give the tone at a height [mm] below the face, as the nodes do."""
    return 1 + (1 - DIRT) * height / GROOVE_DEPTH

"""What both faces of a board share: its coordinates, its tone within one production run, its age, its cut ends."""

from __future__ import annotations

from dataclasses import dataclass

import bpy

from .nodes import Colour, Graph, Number, Signal, Socket, linear, split_gloss, surface

SPECULAR, ROUGHNESS = 0.20, 0.55
"""Composite with a brushed or embossed face is nearly matt, with a sheen where one looks along it (by eye)."""
RUN_SPREAD = 1.5
"""How far the lightest and darkest boards of one production run stand from the mean [L*] (by eye, no source)."""
WARMTH_SPREAD = 0.018
"""Most that a board's red may stand above the mean, and its blue below (by eye, no source)."""
BLEACH, FADE, DULL, ROUGHEN = 4.0, 0.30, 0.6, 0.15
"""What two summers do: lighter by so much L*, less of the colour's distance from grey, less gloss, more roughness
(ours, judged by eye)."""
_LUMINANCE = (0.2126, 0.7152, 0.0722)
"""Shares of linear sRGB in luminance (IEC 61966-2-1)."""


@dataclass(frozen=True, slots=True)
class Board:
    """The place on the board: in its own metres, and on an endless board of which no two pieces share a part."""

    graph: Graph
    up: Signal
    far: tuple[Signal, Signal]
    across: Socket
    random: tuple[Signal, Signal, Signal]
    open: Signal

    def stretched(self, along: float, across: float, sway: Number = 0.0) -> Socket:
        """Return a place for noise with so many features to the metre along and across the board."""
        x, y = self.far
        return self.graph.vector(x * along, (y + sway) * across)


def board(graph: Graph) -> Board:
    """Read the board's attributes (see `build.boards`)."""
    along, across, up = graph.split(graph.attribute("board_co"))
    first, second, third = graph.split(graph.attribute("board_random"))
    opened, _, _ = graph.split(graph.attribute("board_open"))
    far = (along + first * 53.0, across + up + second * 31.0)  # m: past any board's length; round its sides as well
    return Board(graph, up, far, graph.attribute("board_across"), (first, second, third), opened)


def aged(colour: Colour, weathered: float) -> Colour:
    """Give a linear colour after a share of two summers: lighter and greyer."""
    grey = _luminance(colour)
    fade = FADE * weathered
    lighter = ((_lightness(grey) + 16 + BLEACH * weathered) / (_lightness(grey) + 16)) ** 3
    red, green, blue = (lighter * (part + fade * (grey - part)) for part in colour)
    return red, green, blue


def finish(
    place: Board, colour: Colour, tone: Signal, roughness: Number, slope: Signal, gloss: Number
) -> bpy.types.Node:
    """Colour the board by its own tone and warmth, darker below the arris in a gap, where dirt and shade sit.

    `colour` is what comes from within and `gloss` the specular level over it (see `nodes.split_gloss`); `slope`
    says how the face rises and falls across the board. Returns the surface's node.
    """
    normal = place.graph.leaning(place.across, slope)
    base = coloured(place, colour, tone)
    return surface(place.graph, base, roughness=roughness, specular=gloss, normal=normal)


def coloured(place: Board, colour: Colour, tone: Signal) -> Socket:
    """Give a board's colour as `finish` has it."""
    graph = place.graph
    first, second, third = place.random
    spread = 3 * RUN_SPREAD / (_lightness(_luminance(colour)) + 16)  # L* follows the cube root of luminance (CIE 15)
    own = 1 + (first + third - 1) * spread
    side = place.up.step(-0.0060, -0.0026, 0.40, 1.0)  # below any groove, so that only sides are meant
    side = side + (1 - side) * place.open
    red, green, blue = colour
    warm = graph.mix(
        second,
        (red * (1 - WARMTH_SPREAD), green, blue * (1 + WARMTH_SPREAD)),
        (red * (1 + WARMTH_SPREAD), green, blue * (1 - WARMTH_SPREAD)),
    )
    return graph.times(warm, tone * own * side)


def sawn_end(graph: Graph, colour: str, weathered: float = 0.0) -> None:
    """Make a cut: the core shows, fibre in plastic, a little paler than the face and quite matt."""
    inner, gloss = split_gloss(aged(linear(colour), weathered), 0.1)
    speck = graph.noise(graph.position(), 900.0, 1.0, 0.6)
    tone = 1.12 + 0.6 * (speck - 0.5)
    surface(graph, graph.times(inner, tone), roughness=0.85, specular=gloss)


def _luminance(colour: Colour) -> float:
    return sum(share * part for share, part in zip(_LUMINANCE, colour, strict=True))


def _lightness(luminance: float) -> float:
    """Give L* (CIE 15), by its cube root alone: no board is so dark that its straight foot counts."""
    return 116 * luminance ** (1 / 3) - 16

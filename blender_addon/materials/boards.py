"""What both faces of a board share: its coordinates, its tone within one production run, its cut ends."""

from __future__ import annotations

from dataclasses import dataclass

from .nodes import Colour, Graph, Number, Signal, Socket, linear, surface, under_gloss

SPECULAR = 0.12
"""Composite with a brushed or embossed face is nearly matt (by eye, no source)."""
TONE_SPREAD = 0.18
"""Lightest to darkest board of one production run, as a share of the colour (by eye, no source)."""
WARMTH_SPREAD = 0.018
"""Most that a board's red may stand above the mean, and its blue below (by eye, no source)."""


@dataclass(frozen=True, slots=True)
class Board:
    """The place on the board: in its own metres, and on an endless board of which no two pieces share a part."""

    graph: Graph
    along: Signal
    across: Signal
    up: Signal
    far: tuple[Signal, Signal, Signal]
    random: tuple[Signal, Signal, Signal]
    open: Signal

    def stretched(self, along: float, across: float, sway: Number = 0.0) -> Socket:
        """Return a place for noise with so many features to the metre along and across the board."""
        x, y, z = self.far
        return self.graph.vector(x * along, (y + sway) * across, z)


def board(graph: Graph) -> Board:
    """Read the board's attributes (see `build.boards`)."""
    along, across, up = graph.split(graph.attribute("board_co"))
    chances = graph.attribute("board_random")
    apart = graph.combine("MULTIPLY", chances, (53.0, 31.0, 17.0))  # m: far past any board's length
    far = graph.split(graph.combine("ADD", graph.attribute("board_co"), apart))
    opened, _, _ = graph.split(graph.attribute("board_open"))
    return Board(graph, along, across, up, far, graph.split(chances), opened)


def finish(place: Board, colour: Colour, tone: Signal, roughness: Number, normal: Socket) -> None:
    """Colour the board by its own tone and warmth, darker below the arris in a gap, where dirt and shade sit."""
    graph = place.graph
    first, second, _ = place.random
    own = 1 + (first - 0.5) * TONE_SPREAD
    side = place.up.step(-0.0060, -0.0026, 0.40, 1.0)  # below any groove, so that only sides are meant
    side = side + (1 - side) * place.open
    red, green, blue = under_gloss(colour, SPECULAR)
    warm = graph.mix(
        second,
        (red * (1 - WARMTH_SPREAD), green, blue * (1 + WARMTH_SPREAD)),
        (red * (1 + WARMTH_SPREAD), green, blue * (1 - WARMTH_SPREAD)),
    )
    surface(graph, graph.times(warm, tone * own * side), roughness=roughness, specular=SPECULAR, normal=normal)


def sawn_end(graph: Graph, colour: str) -> None:
    """Make a cut end: the core shows, fibre in plastic, a little paler than the face and quite matt."""
    at = graph.position()
    speck = graph.noise(at, 900.0, 2.0, 0.6)
    tone = 1.08 + 0.5 * (speck - 0.5)
    surface(
        graph,
        graph.times(under_gloss(linear(colour), 0.1), tone),
        roughness=0.85,
        specular=0.1,
        normal=graph.bump(speck, 0.0004, 0.6),
    )

"""Stone walls, roof slates and paving: coursed pieces of mineral colour."""

from __future__ import annotations

from ..engine.scene.roof import SLATE_WIDTH as SLATE_WIDTH_MM
from .nodes import Graph, Signal, linear, surface

SLATE_WIDTH = SLATE_WIDTH_MM / 1000


def stone(graph: Graph, colour: str) -> None:
    """Make squared rubble, every stone a piece of the mesh: hammer-dressed faces in pale lime mortar.

    Each face's `tags` are its stone's tone, or zeros for mortar.
    """
    tone = graph.attribute("tags")
    red, _, _ = graph.split(tone)
    x, y, _ = graph.split(graph.uv())
    dressed = graph.fibre(graph.vector(x * 14.0, y * 14.0), detail=4.0)
    grit = graph.fibre(graph.vector(x * 240.0, y * 240.0), detail=1.0)
    r, g, b = linear(colour)
    face = graph.combine("MULTIPLY", tone, (r, g, b))
    # Beds of the quarry: warm iron stain and grey drift within a stone.
    drift = graph.mix(dressed.step(0.30, 0.70), (0.84, 0.83, 0.80), (1.16, 1.17, 1.20))
    mortar = (min(r * 1.25, 0.8), min(g * 1.25, 0.8), min(b * 1.20, 0.8))
    laid = graph.mix(red.above(0.001), mortar, graph.combine("MULTIPLY", face, drift))
    normal = graph.bump(dressed + 0.10 * grit, 0.012)
    surface(graph, graph.times(laid, 1 + 0.30 * (grit - 0.5)), roughness=0.9, specular=0.12, normal=normal)


def paving(graph: Graph, colour: str) -> None:
    """Paving slabs of 600 x 600 mm with 5 mm joints (common practice, no source), by the ground's own axes."""
    x, y, _ = graph.split(graph.position())
    _courses(graph, colour, x, y, (0.6, 0.6), joint=0.005, pale=0.55)


def _courses(
    graph: Graph, colour: str, u: Signal, v: Signal, size: tuple[float, float], *, joint: float, pale: float
) -> None:
    long, tall = size
    row = (v / tall).floor()
    high = v - row * tall
    slide, _, _ = graph.split(graph.dice(graph.vector(row, 7.0, 0.0)))
    run = u + slide * long
    column = (run / long).floor()
    wide = run - column * long
    own, tint, _ = graph.split(graph.dice(graph.vector(column, row, 2.0)))
    at = graph.position()
    wear = graph.noise(at, 18.0, 5.0, 0.65)
    edge = graph.smaller(wide, long - wide, high, tall - high) + 0.008 * (wear - 0.5)
    face = edge.step(joint * 0.4, joint * 0.8)
    red, green, blue = linear(colour)
    tinted = graph.mix(tint, (red * 0.95, green * 0.97, blue * 1.04), (red * 1.06, green * 1.01, blue * 0.92))
    body = graph.times(tinted, (0.84 + 0.32 * own) * (1 + 0.7 * (wear - 0.5)))
    colours = graph.mix(face, (red * pale, green * pale, blue * pale * 0.96), body)
    normal = graph.bump(edge.step(0.0, joint * 1.6) + 0.5 * wear, joint * 0.6)
    surface(graph, colours, roughness=0.88, specular=0.2, normal=normal)


def roof(graph: Graph, colour: str) -> None:
    """Make slates of 250 mm, every course a band of the mesh: thin slits half a slate over in each next course.

    Each face's `tags` begin with the number of its course; `UVMap` runs along the eaves in metres.
    """
    row, _, _ = graph.split(graph.attribute("tags"))
    u, v, _ = graph.split(graph.uv())
    run = u / SLATE_WIDTH + row * 0.5
    across = run.fraction()
    own, tint, tilt = graph.split(graph.dice(graph.vector(run.floor(), row, 4.0)))
    rive = graph.fibre(graph.vector(u * 12.0 + own * 50.0, v * 12.0), detail=3.0)
    red, green, blue = linear(colour)
    tinted = graph.mix(tint, (red * 1.04, green * 0.99, blue * 0.96), (red * 0.95, green * 1.0, blue * 1.06))
    slit = graph.smaller(across, 1 - across).step(0.006, 0.016, 0.30, 1.0)
    tone = (0.78 + 0.44 * own) * (0.80 + 0.40 * rive) * slit
    # No slate lies quite as the next: each takes the light in its own way.
    normal = graph.bump(rive * 0.5 + across * (tilt - 0.5) * 3.0 + own, 0.004)
    surface(graph, graph.times(tinted, tone), roughness=0.62, specular=0.32, normal=normal)

"""Stone walls, roof tiles and paving: coursed pieces of mineral colour."""

from __future__ import annotations

from .nodes import Graph, Signal, linear, surface


def stone(graph: Graph, colour: str) -> None:
    """Coursed walling stone: 150 mm courses, lengths that differ from course to course, pale lime mortar."""
    u, v, _ = graph.split(graph.uv())
    at = graph.position()
    wobble = graph.noise(at, 6.0, 3.0, 0.6)
    _courses(graph, colour, u + 0.02 * (wobble - 0.5), v + 0.02 * (wobble - 0.5), (0.42, 0.15), joint=0.010, pale=1.25)


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
    """Plain tiles or slates: 300 mm wide, 190 mm of each showing (common practice, no source), from UVs in metres."""
    u, v, _ = graph.split(graph.uv())
    row = (v / 0.19).floor()
    up = (v / 0.19).fraction()
    run = u / 0.3 + row * 0.5
    across = run.fraction()
    own, tint, _ = graph.split(graph.dice(graph.vector(run.floor(), row, 4.0)))
    lichen = graph.noise(graph.position(), 9.0, 4.0, 0.65)
    red, green, blue = linear(colour)
    tinted = graph.mix(tint, (red, green * 0.97, blue * 0.95), (red * 0.97, green, blue * 1.05))
    tail = up.step(0.0, 0.07, 0.35, 1.0)
    slit = graph.smaller(across, 1 - across).step(0.004, 0.016, 0.5, 1.0)
    tone = (0.82 + 0.36 * own) * (1 + 0.5 * (lichen - 0.5)) * tail * slit
    surface(
        graph,
        graph.times(tinted, tone),
        roughness=0.75,
        specular=0.3,
        normal=graph.bump((1 - up) + 0.1 * lichen + 0.1 * own, 0.012),
    )

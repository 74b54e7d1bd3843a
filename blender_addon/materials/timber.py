"""Sawn timber: pressure-treated frame members, and boarded walls."""

from __future__ import annotations

from .nodes import Graph, linear, surface


def timber(graph: Graph, colour: str) -> None:
    """Make sawn, treated softwood: greenish brown, with knots too few to matter under a deck."""
    at = graph.add("ShaderNodeTexCoord").outputs["Object"]
    fibre = graph.noise(at, 160.0, 3.0, 0.6)
    patch = graph.noise(at, 3.0, 3.0, 0.6)
    tone = 1 + 0.5 * (fibre - 0.5) + 0.5 * (patch - 0.5)
    surface(
        graph,
        graph.times(linear(colour), tone),
        roughness=0.85,
        specular=0.2,
        normal=graph.bump(fibre, 0.0008, 0.7),
    )


def cladding(graph: Graph, colour: str) -> None:
    """Make horizontal boards of 145 mm with shadow gaps of 8 mm (common practice, no source), from UVs in metres."""
    u, v, _ = graph.split(graph.uv())
    row = (v / 0.145).floor()
    high = v - row * 0.145
    own, slide, _ = graph.split(graph.dice(graph.vector(row, (u / 4.2).floor(), 1.0)))
    grain = graph.noise(graph.vector(u * 2.5 + slide * 40, v * 160, row), detail=3.0, roughness=0.6)
    gap = graph.smaller(high, 0.145 - high).step(0.002, 0.005)
    tone = (0.88 + 0.24 * own) * (1 + 0.6 * (grain - 0.5)) * (0.25 + 0.75 * gap)
    surface(
        graph,
        graph.times(linear(colour), tone),
        roughness=0.7,
        specular=0.3,
        normal=graph.bump(gap + 0.06 * grain, 0.008),
    )

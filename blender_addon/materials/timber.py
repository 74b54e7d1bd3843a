"""Sawn timber: pressure-treated frame members, and boarded walls."""

from __future__ import annotations

from .nodes import Graph, linear, surface

MEMBRANE = (0.012, 0.012, 0.013)
"""Black breather membrane behind open joints [linear] (by eye)."""


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
    """Make cladding boards, every one a piece of the mesh, with membrane in the dark gaps between them.

    Each face's `tags` are its board's tone, or zeros for the membrane; `UVMap` runs along and up the board in metres.
    """
    tone = graph.attribute("tags")
    red, _, _ = graph.split(tone)
    u, v, _ = graph.split(graph.uv())
    sway = graph.fibre(graph.vector(u * 0.7, v * 2.0)) - 0.5
    ring = graph.fibre(graph.vector(u * 1.1, v * 70.0 + sway * 10.0), detail=2.0) - 0.5
    fibre = graph.fibre(graph.vector(u * 6.0, v * 420.0), detail=1.0) - 0.5
    board = graph.times(graph.combine("MULTIPLY", tone, linear(colour)), 1 + 0.55 * ring + 0.30 * fibre)
    laid = graph.mix(red.above(0.001), MEMBRANE, board)
    surface(graph, laid, roughness=0.7, specular=0.2, normal=graph.bump(fibre + ring, 0.0009))

"""The grooved face where a picture cannot hold its grooves: flat, with the light that the grooves would send.

What one sees of a groove from aslant is the wall that looks this way, and the part of the bottom beside it; what the
sun lights of it is the wall that looks towards the sun, and the part of the bottom beside that. So the stand-in is of
two surfaces at once, one level and one upright, by the share of each in what is seen.
"""

from __future__ import annotations

from dataclasses import dataclass

import bpy

from ..engine.scene.profile import GROOVE_BOTTOM, GROOVE_DEPTH, GROOVE_PITCH, GROOVE_TOP, groove_count
from ..engine.spec import Boards
from .boards import DULL, ROUGHEN, ROUGHNESS, SPECULAR, Board, aged, board, coloured, finish
from .boards_grooved import DIRT, grooved_albedo
from .nodes import Graph, Signal, Socket, let_through, linear, split_gloss
from .sky import SKY_SHARE

TOLD_APART = (1.5, 2.1)
"""Pixels from groove to groove below which a picture shows none of them, and above which it shows all (ours)."""
DEEP = 2 * GROOVE_DEPTH / (GROOVE_TOP + GROOVE_BOTTOM)
"""Depth of a groove over its mean width."""
LEAN = (GROOVE_TOP - GROOVE_BOTTOM) / 2 / GROOVE_DEPTH
"""How far a wall of a groove leans back over its height."""
WALL, WALL_LIT = 0.82, 1.05
"""Tone of what is seen of a wall away from the sun and towards it, with its dirt, with what the wall across keeps from
it and with what light that throws on it (ours, fitted to renders of the grooves themselves)."""
FLAT_SUN = 1e-3
"""Least height over the face that the light may come from, as a share of its way (ours)."""


@dataclass(frozen=True, slots=True)
class _Seen:
    """Shares of the opening of a groove, 0 to 1: what is in sight of its lit bottom, of its bottom, and of a wall.

    `sun` is 1 where there is a sun over the face, `towards` 1 where the wall in sight looks to the sun, and `side`
    tells by its sign which way across the board that wall looks.
    """

    lit: Signal
    bottom: Signal
    wall: Signal
    sun: Signal
    towards: Signal
    side: Signal


def grooved_far(graph: Graph, colour: str, weathered: float = 0.0) -> None:
    """Make the stand-in in `colour`, let through where grooves can be told apart."""
    place = board(graph)
    up = graph.add("ShaderNodeNewGeometry").outputs["Normal"]
    seen = _seen(place, up)
    asked = aged(linear(colour), weathered)
    _, gloss = split_gloss(asked, SPECULAR * (1 - DULL * weathered))
    albedo = grooved_albedo(asked, gloss)
    width = Boards().width
    grooves = groove_count(width) * GROOVE_TOP / width
    lands = 1 - grooves
    # What the sky alone leaves of a bottom seen from above, as the albedo was found.
    shine = 0.08 * gloss
    shaded = ((asked[1] - shine) / (albedo[1] * (1 - shine)) - lands) / grooves
    sunny = seen.sun * (1 - SKY_SHARE)
    level = (seen.lit * sunny * DIRT + seen.bottom * (1 - sunny) * shaded) * grooves + lands
    walled = seen.towards * (WALL_LIT - WALL) + WALL
    cloud = 1 + (graph.fibre(place.stretched(1.1, 9.0), detail=1.0) - 0.5) * 0.10
    glossy = (seen.bottom * grooves + lands) * gloss
    flat = finish(place, albedo, level * cloud, ROUGHNESS + ROUGHEN * weathered, place.up * 0.0, glossy)
    wall = _upright(place, up, seen.side)
    graph.feed(wall.inputs["Color"], coloured(place, albedo, seen.wall * walled * grooves * cloud))
    both = graph.add("ShaderNodeAddShader")
    graph.feed(both.inputs[0], flat.outputs[0])
    graph.feed(both.inputs[1], wall.outputs[0])
    along = graph.combine("CROSS_PRODUCT", place.across, up)
    let_through(graph, both, graph.lines_seen(along, GROOVE_PITCH / 1000).step(*TOLD_APART))


def _upright(place: Board, up: Socket, side: Signal) -> bpy.types.Node:
    """Make a matt surface that looks across the board to a side, leaning back as a groove's wall does."""
    graph = place.graph
    shader = graph.add("ShaderNodeBsdfDiffuse")
    leaning = graph.combine("ADD", graph.times(place.across, side), graph.times(up, LEAN))
    graph.feed(shader.inputs["Normal"], graph.combine("NORMALIZE", leaning))
    return shader


def _seen(place: Board, up: Socket) -> _Seen:
    """Work out what is in sight of a groove and what of that the sun reaches, in the plane across the board."""
    graph = place.graph
    eye = graph.add("ShaderNodeNewGeometry").outputs["Incoming"]
    sun = graph.sun()
    across, sunward = graph.dot(place.across, eye), graph.dot(place.across, sun)
    slope = across.abs() / graph.math("MAXIMUM", graph.dot(up, eye), FLAT_SUN)
    fall = sunward.abs() / graph.math("MAXIMUM", graph.dot(up, sun), FLAT_SUN)
    bottom, reached = (graph.math("MAXIMUM", 1 - each * DEEP, 0.0) for each in (slope, fall))
    same = (across * sunward).above(0.0)
    apart = graph.math("MAXIMUM", bottom + reached - 1.0, 0.0)
    lit = same * graph.smaller(bottom, reached) + (1 - same) * apart
    return _Seen(lit, bottom, 1 - bottom, graph.dot(up, sun).above(0.0), same, graph.math("SIGN", across))

"""Marks drawn over the 3D view: where boards are butted, and what is to be seen to, with the reason.

What is drawn is worked out apart from drawing it, so that it can be looked at without a window.
"""

from __future__ import annotations

import json
import textwrap
from dataclasses import dataclass
from typing import Any

import bpy

from . import bridge, build
from .build.scale import MM, units_per_metre
from .properties import of_scene

JOINT, FAILED, EDGE = (0.15, 0.55, 1.0, 0.9), (1.0, 0.62, 0.1, 1.0), (1.0, 1.0, 1.0, 1.0)
"""Colours: joints blue, what is to be seen to amber, edge numbers white."""
BACKDROP = (0.05, 0.05, 0.05, 0.72)
OVER = 6.0
"""How far above the boards a mark is drawn [mm], so that none is half hidden by them."""
FEW = 6
"""More reasons than this are written in the panel alone, and their numbers in the view (ours)."""
LINE = 46
"""Characters to a line of a reason."""
TEXT_SIZE = 12
"""Of a reason at scale 1 [pt]."""

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Marks:
    """What is to be drawn in a scene, places in its own units."""

    joints: tuple[Point, ...] = ()
    failed: tuple[tuple[Point, str], ...] = ()
    edges: tuple[tuple[Point, str], ...] = ()


def marks_of(scene: bpy.types.Scene) -> Marks:
    """Return the marks that a scene asks for; none where its deck is gone."""
    settings = of_scene(scene)
    built = bridge.is_built(settings) and build.find_deck(scene, bridge.built_site(settings).name) is not None
    factor = MM * units_per_metre(scene)

    def place(at: Point) -> Point:
        return at[0] * factor, at[1] * factor, (at[2] + OVER) * factor

    joints: tuple[Point, ...] = ()
    failed: tuple[tuple[Point, str], ...] = ()
    if built and settings.show_joints and settings.joint_places:
        joints = tuple(map(place, bridge.places_in(settings.joint_places).tolist()))
    # While a choice is made, what was planned before no longer holds.
    if built and settings.show_failed and not settings.is_draft:
        rows = [(number, row.name, json.loads(row.places or "[]")) for number, row in enumerate(settings.failed, 1)]
        # Many reasons would hide the deck and each other: then numbers stand for them, as in the panel.
        few = sum(len(places) for _, _, places in rows) <= FEW
        failed = tuple(
            (place(at), f"{number}. {reason}" if few else f"{number}")
            for number, reason, places in rows
            for at in places
        )
    edges: tuple[tuple[Point, str], ...] = ()
    if settings.show_edges and settings.site_json:
        deck = bridge.site_in_hand(settings).deck
        ring = deck.outline
        ends = zip(ring, (*ring[1:], ring[0]), strict=True)
        edges = tuple(
            (place(((x0 + x1) / 2, (y0 + y1) / 2, deck.surface)), f"{number}")
            for number, ((x0, y0), (x1, y1)) in enumerate(ends)
        )
    return Marks(joints, failed, edges)


_handles: list[Any] = []


def start() -> None:
    """Begin to draw; without a window there is nothing to draw on."""
    if bpy.app.background:
        return
    view = bpy.types.SpaceView3D
    _handles.append(view.draw_handler_add(_draw_points, (), "WINDOW", "POST_VIEW"))
    _handles.append(view.draw_handler_add(_draw_texts, (), "WINDOW", "POST_PIXEL"))


def stop() -> None:
    """Draw no more."""
    while _handles:
        bpy.types.SpaceView3D.draw_handler_remove(_handles.pop(), "WINDOW")


def _overlays_shown() -> bool:
    space = bpy.context.space_data
    return isinstance(space, bpy.types.SpaceView3D) and space.overlay.show_overlays


def _draw_points() -> None:
    """Draw joints and places to see to as round points."""
    import gpu
    from gpu_extras.batch import batch_for_shader

    if not _overlays_shown():
        return
    marks = marks_of(bpy.context.scene)
    shader = gpu.shader.from_builtin("UNIFORM_COLOR")
    gpu.state.blend_set("ALPHA")
    gpu.state.depth_test_set("LESS_EQUAL")
    scale = bpy.context.preferences.system.ui_scale
    for places, colour, size in (
        (marks.joints, JOINT, 5.0),
        (tuple(at for at, _ in marks.failed), FAILED, 11.0),
    ):
        if places:
            gpu.state.point_size_set(size * scale)
            shader.bind()
            shader.uniform_float("color", colour)
            batch_for_shader(shader, "POINTS", {"pos": places}).draw(shader)
    gpu.state.point_size_set(1.0)
    gpu.state.depth_test_set("NONE")
    gpu.state.blend_set("NONE")


def _draw_texts() -> None:
    """Write the reason beside each place to see to, and the number beside each edge."""
    import blf
    from bpy_extras.view3d_utils import location_3d_to_region_2d

    if not _overlays_shown():
        return
    marks, region = marks_of(bpy.context.scene), bpy.context.region
    size = TEXT_SIZE * bpy.context.preferences.system.ui_scale
    blf.size(0, size)
    blf.enable(0, blf.SHADOW)
    blf.shadow(0, 5, 0.0, 0.0, 0.0, 0.9)
    texts = [(at, text, FAILED) for at, text in marks.failed] + [(at, text, EDGE) for at, text in marks.edges]
    end = _sidebar_at(bpy.context.area)
    taken: list[Box] = []
    for at, text, colour in texts:
        pixel = location_3d_to_region_2d(region, bpy.context.region_data, at)
        if pixel is None:
            continue
        lines = textwrap.wrap(text, LINE)
        width = max(blf.dimensions(0, line)[0] for line in lines)
        # Beside its place, on the side where there is room for it.
        left = pixel.x + size if pixel.x + size + width < end else max(pixel.x - size - width, 0.0)
        box = _free_place(left, pixel.y, width, 1.25 * size * len(lines), taken)
        taken.append(box)
        _draw_backdrop(box)
        blf.color(0, *colour)
        for number, line in enumerate(lines):
            blf.position(0, box[0], box[3] - 1.25 * size * (number + 1), 0)
            blf.draw(0, line)
    blf.disable(0, blf.SHADOW)


def _draw_backdrop(box: Box) -> None:
    """Darken the view behind a text, which else cannot be read over a light wall."""
    import gpu
    from gpu_extras.batch import batch_for_shader

    x0, y0, x1, y1 = box[0] - 4, box[1] - 6, box[2] + 4, box[3] + 2
    shader = gpu.shader.from_builtin("UNIFORM_COLOR")
    gpu.state.blend_set("ALPHA")
    shader.bind()
    shader.uniform_float("color", BACKDROP)
    corners = ((x0, y0), (x1, y0), (x0, y1), (x1, y1))
    batch_for_shader(shader, "TRI_STRIP", {"pos": corners}).draw(shader)
    gpu.state.blend_set("NONE")


def _sidebar_at(area: bpy.types.Area) -> float:
    """Where along a view its sidebar begins, which lies over it [px]."""
    window = next(region for region in area.regions if region.type == "WINDOW")
    sidebar = next(region for region in area.regions if region.type == "UI")
    return sidebar.x - window.x if sidebar.width > 1 else window.width


Box = tuple[float, float, float, float]


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _free_place(x: float, y: float, width: float, height: float, taken: list[Box]) -> Box:
    """Put a text beside its place, and further down where another text stands there already: x0, y0, x1, y1."""
    top = y + height / 2
    while True:
        box = (x, top - height, x + width, top)
        over = [each for each in taken if _overlap(box, each)]
        if not over:
            return box
        top = min(other[1] for other in over) - 4.0

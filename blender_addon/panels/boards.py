"""The boards: which board, which face is up, which way they run, where they meet, and how they end."""

from __future__ import annotations

from typing import ClassVar

import bpy

from .. import bridge, ids, properties
from .base import SidebarPanel


def _ready(layout: bpy.types.UILayout, context: bpy.types.Context) -> properties.DeckSettings:
    """Lay a panel of choices out; it is greyed until there is a site."""
    settings = properties.of(context)
    layout.use_property_split = True
    layout.use_property_decorate = False
    layout.enabled = bool(settings.site_json)
    return settings


class BoardsPanel(SidebarPanel, bpy.types.Panel):
    """The choices that the client makes."""

    bl_idname = ids.BOARDS_PANEL
    bl_label = "Boards"

    def draw_header_preset(self, context: bpy.types.Context) -> None:
        """Draw the menu of kept choices, and what keeps and removes them."""
        row = self.layout.row(align=True)
        row.enabled = bool(properties.of(context).site_json)
        row.menu(ids.PRESET_MENU, text="", icon="PRESET")
        row.operator(ids.BOARD_PRESET, text="", icon="ADD")
        row.operator(ids.BOARD_PRESET, text="", icon="REMOVE").remove_active = True

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        layout = self.layout
        settings = _ready(layout, context)
        if settings.site_json:
            product = bridge.site_in_hand(settings).boards.product
            split = layout.split(factor=0.4)
            split.alignment = "RIGHT"
            split.label(text="Board")
            split.operator_menu_enum(ids.CHOOSE_BOARD, "board", text=product)
        layout.row().prop(settings, "side", expand=True)
        layout.prop(settings, "run")
        if settings.run == "other":
            layout.prop(settings, "angle")
        if settings.run in ("site", "walls"):
            layout.prop(settings, "seam")
        layout.prop(settings, "joints")
        row = layout.row(align=True)
        row.prop(settings, "colour")
        row.operator_menu_enum(ids.CHOOSE_COLOUR, "colour", text="", icon="DOWNARROW_HLT")
        layout.prop(settings, "weathered", slider=True)


class GapsPanel(SidebarPanel, bpy.types.Panel):
    """The gaps that the fixings keep."""

    bl_idname = ids.GAPS_PANEL
    bl_parent_id = ids.BOARDS_PANEL
    bl_label = "Gaps in mm"
    bl_options: ClassVar[set[str]] = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings = _ready(self.layout, context)
        for name in ("course_gap", "butt_gap", "wall_gap"):
            self.layout.prop(settings, name)


class EdgesPanel(SidebarPanel, bpy.types.Panel):
    """Border, steps and fascias."""

    bl_idname = ids.EDGES_PANEL
    bl_parent_id = ids.BOARDS_PANEL
    bl_label = "Border, steps and edges"
    bl_options: ClassVar[set[str]] = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        layout = self.layout
        settings = _ready(layout, context)
        layout.prop(settings, "border")
        if settings.border:
            layout.prop(settings, "corners")
        layout.prop(settings, "show_edges")
        column = layout.column(align=True)
        for edge in settings.edges:
            if not edge.at_wall:
                column.prop(edge, "finish", text=edge.name)


class FramePanel(SidebarPanel, bpy.types.Panel):
    """What carries the boards."""

    bl_idname = ids.FRAME_PANEL
    bl_label = "Frame"
    bl_options: ClassVar[set[str]] = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings = _ready(self.layout, context)
        self.layout.prop(settings, "centres")

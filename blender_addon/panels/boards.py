"""The boards: which face is up, which way they run, where they meet."""

from __future__ import annotations

import bpy

from .. import ids, properties
from .base import SidebarPanel


class BoardsPanel(SidebarPanel, bpy.types.Panel):
    """The choices that the client makes."""

    bl_idname = ids.BOARDS_PANEL
    bl_label = "Boards"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings = properties.of(context)
        layout = self.layout
        layout.use_property_split = True
        layout.use_property_decorate = False
        layout.enabled = bool(settings.site_json)
        layout.row().prop(settings, "side", expand=True)
        layout.prop(settings, "run")
        if settings.run == "other":
            layout.prop(settings, "angle")
        layout.prop(settings, "joints")
        layout.prop(settings, "colour")
        layout.prop(settings, "weathered", slider=True)

"""Showing the deck: the view and the picture."""

from __future__ import annotations

import bpy

from .. import ids, properties
from .base import SidebarPanel


class ShowPanel(SidebarPanel, bpy.types.Panel):
    """Chooses a view, looks through it and takes the picture."""

    bl_idname = ids.SHOW_PANEL
    bl_label = "Show"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings = properties.of(context)
        layout = self.layout
        layout.use_property_split = True
        layout.use_property_decorate = False
        layout.prop(settings, "view")
        layout.operator(ids.LOOK_THROUGH, icon="CAMERA_DATA")
        layout.prop(settings, "quality")
        layout.operator(ids.RENDER_PICTURE, icon="RENDER_STILL")

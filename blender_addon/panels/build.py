"""Building the deck."""

from __future__ import annotations

import bpy

from .. import bridge, ids, properties
from .base import SidebarPanel, write_lines


class BuildPanel(SidebarPanel, bpy.types.Panel):
    """Builds the deck, and says when it no longer matches the choices."""

    bl_idname = ids.BUILD_PANEL
    bl_label = "Build"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings = properties.of(context)
        row = self.layout.row()
        row.scale_y = 1.4
        row.operator(ids.BUILD_DECK, icon="MOD_BUILD")
        if bridge.is_built(settings) and bridge.is_stale(settings):
            write_lines(self.layout, context, "The choices have changed: build again to see them.", icon="INFO")

"""Building the deck."""

from __future__ import annotations

import bpy

from .. import bridge, ids, properties
from ..operators.outline_as_line import outlines_with_faces
from .base import SidebarPanel, write_lines


class BuildPanel(SidebarPanel, bpy.types.Panel):
    """Builds the deck, and says when it no longer matches the choices."""

    bl_idname = ids.BUILD_PANEL
    bl_label = "Build"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings, layout = properties.of(context), self.layout
        row = layout.row()
        row.scale_y = 1.4
        row.operator(ids.BUILD_DECK, icon="MOD_BUILD")
        column = layout.column()
        column.use_property_split, column.use_property_decorate = True, False
        column.prop(settings, "around")
        if bridge.is_built(settings) and outlines_with_faces(settings):
            layout.operator(ids.OUTLINE_AS_LINE, icon="MESH_PLANE")
        marks = layout.row(heading="Mark", align=True)
        marks.prop(settings, "show_joints", toggle=True)
        marks.prop(settings, "show_failed", toggle=True)
        if settings.fault:
            write_lines(layout, context, f"This cannot be built: {settings.fault}. The last deck stays.", icon="ERROR")
        elif bridge.is_built(settings) and not settings.is_draft and bridge.is_stale(settings):
            write_lines(layout, context, "The choices have changed: build again to see them.", icon="INFO")

"""Comparing: choices side by side, in place and in pictures."""

from __future__ import annotations

import bpy

from .. import bridge, comparison_settings, ids, properties
from ..build.choices import choices_of, shown_choice
from ..operators.background import current
from .base import SidebarPanel, write_lines


class ComparePanel(SidebarPanel, bpy.types.Panel):
    """Shows choices side by side, switches between them, and pictures them all."""

    bl_idname = ids.COMPARE_PANEL
    bl_label = "Compare"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings, comparison = properties.of(context), comparison_settings.of(context)
        layout = self.layout
        layout.enabled = bridge.is_built(settings)
        body = layout.column()
        body.use_property_split = True
        body.use_property_decorate = False
        body.prop(comparison, "vary")
        layout.operator(ids.SHOW_CHOICES, icon="MOD_ARRAY")
        laid = choices_of(context.scene)
        if laid:
            column = layout.column(align=True)
            column.label(text="Show in the deck's place:")
            shown = shown_choice(context.scene, context.view_layer)
            for key, label in (("", "As built"), *laid):
                column.operator(ids.LAY_CHOICE, text=label, depress=key == shown).key = key
            layout.operator(ids.REMOVE_CHOICES, icon="TRASH")
        layout.label(text="Further pictures:")
        views = layout.grid_flow(columns=2, align=True)
        views.prop(comparison, "views")
        layout.operator(ids.PICTURE_CHOICES, icon="RENDER_STILL")
        draw_progress(layout, context)


def draw_progress(layout: bpy.types.UILayout, context: bpy.types.Context) -> None:
    """Show how far the work in the background has come, if there is any."""
    job = current()
    if job is not None:
        layout.progress(factor=job.share, text=f"{job.share:.0%}")
        write_lines(layout, context, f"{job.note}. Esc stops it.")

"""Handing over: the files that others work from."""

from __future__ import annotations

import bpy

from .. import ids
from .base import SidebarPanel


class HandOverPanel(SidebarPanel, bpy.types.Panel):
    """Writes the plan and the takeoff, and the model for a phone."""

    bl_idname = ids.HAND_OVER_PANEL
    bl_label = "Hand over"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        self.layout.operator(ids.WRITE_PLAN, icon="FILE_TICK")
        self.layout.operator(ids.WRITE_PHONE_MODEL, icon="WORLD")

"""What all our panels share: their place, and text that keeps within the sidebar."""

from __future__ import annotations

import textwrap
from typing import Any

import bpy

from .. import ids

CHARACTER_WIDTH = 7
"""Mean width of a character of Blender's interface font at scale 1 [px]."""
MARGIN = 50
"""Room for the panel's edges and an icon at scale 1 [px]."""


class SidebarPanel:
    """A panel in our tab of the 3D view's sidebar."""

    bl_space_type = "VIEW_3D"
    bl_region_type = "UI"
    bl_category = ids.TAB


def write_lines(layout: bpy.types.UILayout, context: bpy.types.Context, text: str, icon: Any = "NONE") -> None:
    """Write text over as many lines as the sidebar's width needs; Blender would cut it short."""
    scale = context.preferences.system.ui_scale
    room = int((context.region.width / scale - MARGIN) / CHARACTER_WIDTH)
    column = layout.column(align=True)
    column.scale_y = 0.8
    for i, line in enumerate(textwrap.wrap(text, max(room, 12))):
        column.label(text=line, icon=icon if i == 0 else ("BLANK1" if icon != "NONE" else "NONE"))

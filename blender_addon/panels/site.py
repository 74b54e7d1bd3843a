"""The site: which job this is, from a file or from what is modelled in the scene."""

from __future__ import annotations

from typing import Any, ClassVar

import bpy

from .. import ids, properties
from .base import SidebarPanel, write_lines

ICONS: dict[str, Any] = {"outline": "MESH_PLANE", "house": "HOME", "obstacle": "MESH_CYLINDER", "door": "MOD_BUILD"}
TITLES = {"outline": "Deck outline", "house": "House", "obstacle": "In the way", "door": "Doors and windows"}


class SitePanel(SidebarPanel, bpy.types.Panel):
    """Shows which job is in hand; opens and saves site files."""

    bl_idname = ids.SITE_PANEL
    bl_label = "Site"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings = properties.of(context)
        row = self.layout.row(align=True)
        row.operator(ids.OPEN_SITE, text="Open", icon="FILE_FOLDER")
        row.operator(ids.SAVE_SITE, text="Save", icon="FILE_TICK")
        if settings.site_json:
            write_lines(self.layout, context, settings.site_name, icon="HOME")
        else:
            hint = "Open a site file, or select parts of your model and say below what they are."
            write_lines(self.layout, context, hint, icon="INFO")


class ModelPanel(SidebarPanel, bpy.types.Panel):
    """Picks the site from the scene."""

    bl_idname = ids.MODEL_PANEL
    bl_parent_id = ids.SITE_PANEL
    bl_label = "From my model"
    bl_options: ClassVar[set[str]] = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings, layout = properties.of(context), self.layout
        for role, _, _ in properties.ROLES:
            self._draw_role(context, settings, role)
        column = layout.column()
        column.use_property_split, column.use_property_decorate = True, False
        column.prop(settings, "job")
        column.prop(settings, "height")
        if not any(each.role == "house" for each in settings.picked) and settings.edges:
            free = layout.column(align=True)
            write_lines(free, context, "No house picked: tick the edges at the house, then take in again.")
            flow = free.grid_flow(columns=2, align=True)
            for edge in settings.edges:
                flow.prop(edge, "at_house", text=edge.name, toggle=True)
        row = layout.row()
        row.scale_y = 1.3
        row.operator(ids.TAKE_IN, icon="IMPORT")

    def _draw_role(self, context: bpy.types.Context, settings: properties.DeckSettings, role: str) -> None:
        box = self.layout.box().column(align=True)
        box.label(text=TITLES[role], icon=ICONS[role])
        for number, each in enumerate(settings.picked):
            if each.role != role:
                continue
            row = box.row(align=True)
            here = each.thing is not None and context.scene.objects.get(each.thing.name) == each.thing
            row.label(text=each.thing.name if here else "No longer there", icon="NONE" if here else "ERROR")
            if role == "obstacle":
                row.prop(each, "kind", text="")
            if role == "door":
                row.prop(each, "door", text="")
            row.operator(ids.UNPICK, text="", icon="X").number = number
        if role == "outline":
            row = box.row(align=True)
            row.operator(ids.DRAW_OUTLINE, text="Draw", icon="GREASEPENCIL")
            row.operator(ids.OUTLINE_FROM_FACES, text="From Faces", icon="FACESEL")
        box.operator(ids.PICK, icon="EYEDROPPER").role = role

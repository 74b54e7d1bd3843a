"""The site: which job this is."""

from __future__ import annotations

import bpy

from .. import ids, properties
from .base import SidebarPanel, write_lines


class SitePanel(SidebarPanel, bpy.types.Panel):
    """Opens a site file and shows which job is in hand."""

    bl_idname = ids.SITE_PANEL
    bl_label = "Site"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings = properties.of(context)
        self.layout.operator(ids.OPEN_SITE, icon="FILE_FOLDER")
        if settings.site_json:
            write_lines(self.layout, context, settings.site_name, icon="HOME")
        else:
            write_lines(self.layout, context, "Open a site file to begin.", icon="INFO")

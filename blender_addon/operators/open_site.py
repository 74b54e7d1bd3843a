"""Opens a site file."""

from __future__ import annotations

from typing import ClassVar

import bpy
from bpy_extras.io_utils import ImportHelper

from .. import bridge, ids, properties
from ..engine import CourselineError, read_site
from .polls import is_own_scene


class OpenSite(bpy.types.Operator, ImportHelper):
    """Read a site file: the house, the outline of the deck and what stands in its way."""

    bl_idname = ids.OPEN_SITE
    bl_label = "Open Site File"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    filename_ext = ".toml"
    filter_glob: bpy.props.StringProperty(default="*.toml", options={"HIDDEN"})

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a scene that may be changed."""
        return is_own_scene(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Read the file; a faulty one leaves the site in hand as it was."""
        try:
            site = read_site(bpy.path.abspath(self.properties.filepath))
        except CourselineError as fault:
            self.report({"ERROR"}, str(fault))
            return {"CANCELLED"}
        settings = properties.of(context)
        bridge.remember_site(settings, site)
        settings.around = "all"
        self.report({"INFO"}, f"Opened {site.name}")
        return {"FINISHED"}

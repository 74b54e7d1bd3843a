"""Saves the site as a file."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import bpy
from bpy_extras.io_utils import ExportHelper

from .. import bridge, ids, properties
from ..engine import CourselineError
from ..engine.sitefile import write_site
from .polls import has_site


class SaveSite(bpy.types.Operator, ExportHelper):
    """Write the site with the choices made as a site file, which the command line plans the same."""

    bl_idname = ids.SAVE_SITE
    bl_label = "Save Site File"
    bl_options: ClassVar[set[str]] = {"REGISTER"}

    filename_ext = ".toml"
    filter_glob: bpy.props.StringProperty(default="*.toml", options={"HIDDEN"})

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a site."""
        return has_site(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Write the file, whole or not at all."""
        try:
            site = bridge.chosen_site(properties.of(context))
            path = write_site(site, Path(bpy.path.abspath(self.properties.filepath)))
        except CourselineError as fault:
            self.report({"ERROR"}, str(fault))
            return {"CANCELLED"}
        self.report({"INFO"}, f"Saved {path.name}")
        return {"FINISHED"}

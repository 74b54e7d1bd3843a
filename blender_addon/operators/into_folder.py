"""Buttons that write into a folder of the user's choice."""

from __future__ import annotations

import bpy


class IntoFolder:
    """Mixed into an operator that asks for its folder first."""

    directory: bpy.props.StringProperty(name="Folder", description="Folder to write into", subtype="DIR_PATH")
    filter_folder: bpy.props.BoolProperty(default=True, options={"HIDDEN"})

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        """Ask for the folder."""
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

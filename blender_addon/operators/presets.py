"""The boards as chosen kept under a name, by Blender's own presets."""

from __future__ import annotations

from typing import ClassVar

import bpy
from bl_operators.presets import AddPresetBase

from .. import ids

FOLDER = "courseline/boards"
"""Where Blender keeps them, under its own folder of presets."""


class BoardPreset(AddPresetBase, bpy.types.Operator):
    """Keep the boards as chosen under a name, for this and other jobs, or remove one that was kept."""

    bl_idname = ids.BOARD_PRESET
    bl_label = "Keep These Choices"
    preset_menu = ids.PRESET_MENU
    preset_subdir = FOLDER
    preset_defines: ClassVar[list[str]] = [f"settings = bpy.context.scene.{ids.SETTINGS}"]
    preset_values: ClassVar[list[str]] = [
        f"settings.{name}"
        for name in (
            "side",
            "run",
            "angle",
            "joints",
            "seam",
            "border",
            "corners",
            "colour",
            "weathered",
            "course_gap",
            "butt_gap",
            "wall_gap",
        )
    ]


class PresetMenu(bpy.types.Menu):
    """Choices kept before."""

    bl_idname = ids.PRESET_MENU
    bl_label = "Kept choices"
    preset_subdir = FOLDER
    preset_operator = "script.execute_preset"
    draw = bpy.types.Menu.draw_preset

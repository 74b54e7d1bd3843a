"""Looks through the camera of a view."""

from __future__ import annotations

from typing import ClassVar

import bpy

from .. import ids, properties
from .polls import has_deck
from .views import use_view


class LookThrough(bpy.types.Operator):
    """Look at the deck from the chosen view."""

    bl_idname = ids.LOOK_THROUGH
    bl_label = "Look Through"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a deck."""
        return has_deck(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Make the view's camera the scene's own, and look through it where there is a 3D view."""
        missing = use_view(context.scene, properties.of(context))
        if missing:
            self.report({"ERROR"}, missing)
            return {"CANCELLED"}
        if context.region_data:
            context.region_data.view_perspective = "CAMERA"
        return {"FINISHED"}

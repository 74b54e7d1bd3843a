"""Shows a picked outline as a line, once a deck lies in its place."""

from __future__ import annotations

from typing import ClassVar

import bpy

from .. import ids, properties


def outlines_with_faces(settings: properties.DeckSettings) -> list[bpy.types.Object]:
    """Find the picked outlines whose faces lie level with the boards, for all to see."""
    picked = [each.thing for each in settings.picked if each.role == "outline" and each.thing is not None]
    return [
        thing
        for thing in picked
        if thing.type == "MESH"
        and thing.data.polygons
        and thing.library is None
        and not (thing.display_type in ("WIRE", "BOUNDS") and thing.hide_render)
    ]


class OutlineAsLine(bpy.types.Operator):
    """Show the outline as a line, and not at all in pictures: its face lies level with the boards and hides them."""

    bl_idname = ids.OUTLINE_AS_LINE
    bl_label = "Outline as a Line"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs an outline with a face."""
        if outlines_with_faces(properties.of(context)):
            return True
        cls.poll_message_set("No outline with a face is shown")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Change how the outline is shown; its shape stays."""
        for thing in outlines_with_faces(properties.of(context)):
            thing.display_type, thing.hide_render = "WIRE", True
        return {"FINISHED"}

"""Builds the deck in the scene."""

from __future__ import annotations

from typing import ClassVar

import bpy

from .. import bridge, ids, live, properties, update
from ..engine import CourselineError
from .polls import has_site
from .views import views_kept


class BuildDeck(bpy.types.Operator):
    """Lay the boards and set out the frame as chosen; the deck built before is replaced, all else is left alone."""

    bl_idname = ids.BUILD_DECK
    bl_label = "Build Deck"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a site."""
        return has_site(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Build; what cannot be planned leaves the last good deck alone."""
        settings = properties.of(context)
        try:
            with views_kept(context):
                update.build_as_chosen(context.scene)
        except CourselineError as fault:
            self.report({"ERROR"}, bridge.in_words(fault))
            return {"CANCELLED"}
        live.redraw()
        count = len(settings.failed)
        if count:
            self.report({"WARNING"}, f"Deck built; {count} check{'' if count == 1 else 's'} to see to under Quantities")
        return {"FINISHED"}

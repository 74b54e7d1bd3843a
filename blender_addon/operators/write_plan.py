"""Writes the plan and the takeoff of the deck as built."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import bpy

from .. import bridge, build, ids, order, properties
from ..build.boarding import change_boarding
from ..engine import CourselineError, design, write_plan
from ..engine.effort import FOR_AN_ORDER
from ..engine.refresh import boarding_of
from .into_folder import IntoFolder
from .polls import has_deck


class WritePlan(IntoFolder, bpy.types.Operator):
    """Write the plan and the takeoff of the deck as built into a folder of your choice."""

    bl_idname = ids.WRITE_PLAN
    bl_label = "Write Plan and Takeoff"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a deck."""
        return has_deck(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Write the files: the same bytes as the command line's. The deck then is the one that they tell of."""
        folder = Path(bpy.path.abspath(self.directory))
        settings = properties.of(context)
        try:
            plan = design(bridge.built_site(settings), FOR_AN_ORDER)
            files = write_plan(plan, folder)
        except CourselineError as fault:
            self.report({"ERROR"}, str(fault))
            return {"CANCELLED"}
        deck = build.find_deck(context.scene, plan.name)
        if deck is not None:
            change_boarding(deck, boarding_of(plan), context.scene)
            built_from = settings.built_from
            bridge.remember_plan(settings, plan, is_estimate=False)
            settings.built_from = built_from  # the choices of then, not of now
            order.remember(settings, plan)
        self.report({"INFO"}, f"Wrote {' and '.join(file.name for file in files)} to {folder}")
        return {"FINISHED"}

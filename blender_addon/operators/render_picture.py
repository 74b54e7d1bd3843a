"""Takes the picture, as one of Blender's own render jobs."""

from __future__ import annotations

from typing import ClassVar

import bpy

from .. import bridge, ids, properties, render
from ..engine.scene.sun import sun_over
from ..materials.sky import sky_for
from .polls import has_deck
from .views import use_view


class RenderPicture(bpy.types.Operator):
    """Take the picture from the chosen view, in the light of the site's place and time; Esc stops it."""

    bl_idname = ids.RENDER_PICTURE
    bl_label = "Render Picture"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a deck."""
        return has_deck(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Set camera, sky and quality, then hand over to Blender."""
        scene, settings = context.scene, properties.of(context)
        missing = use_view(scene, settings)
        if missing:
            self.report({"ERROR"}, missing)
            return {"CANCELLED"}
        look = bridge.built_site(settings).look
        sky = sky_for(sun_over(look.place, look.when))
        if scene.world != sky:
            settings.world_before = scene.world  # or Blender would drop it on saving, being used no more
            scene.world = sky
        render.calibrate(scene)
        render.set_up(scene, render.QUALITIES[settings.quality])
        return bpy.ops.render.render("EXEC_DEFAULT" if bpy.app.background else "INVOKE_DEFAULT")

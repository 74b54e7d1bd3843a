"""Writes deck and building for a phone."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import bpy

from .. import bridge, ids, properties
from ..engine.decode import encode
from .background import Background, is_free
from .into_folder import IntoFolder
from .polls import has_deck

FORMATS = (
    ("glb", "For browsers and Android", "One file (glTF) that browsers and Android phones show"),
    ("usdz", "For iPhone", "One file (USDZ) that iPhones and iPads show"),
)


class WritePhoneModel(IntoFolder, Background, bpy.types.Operator):
    """Write deck and building at true size as one file to be looked at on a phone; this file stays as it is."""

    bl_idname = ids.WRITE_PHONE_MODEL
    bl_label = "Write Model for a Phone"
    bl_options: ClassVar[set[str]] = {"REGISTER"}

    format: bpy.props.EnumProperty(name="Kind", description="Which phones are to show it", items=FORMATS)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a deck, and no other job."""
        return has_deck(cls, context) and is_free(cls)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Write the file: that of the command line."""
        settings = properties.of(context)
        site = bridge.built_site(settings)
        own = None  # else the house is in the scene, as the user made it
        if settings.around == "deck":
            own = [each.thing.name for each in settings.picked if each.role == "house" and each.thing]
        asked = {
            "site": encode(site),
            "name": f"{bpy.path.clean_name(site.name)}.{self.format}",
            "own": own,
            "scene": context.scene.name,
        }
        folder = Path(bpy.path.abspath(self.directory))
        return self.begin(context, "phone model", asked, folder, save_copy=own is not None)

"""Choices side by side in the scene, in place of the deck, and in pictures."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import ClassVar

import bpy

from .. import bridge, build, comparison_settings, ids, properties, render
from ..build.choices import choices_of, lay_choice, remove_choices, show_choices
from ..comparing import OWN_CAMERA
from ..engine import CourselineError
from ..engine.comparison import compare_choices
from ..engine.decode import encode
from .background import Background, is_free
from .into_folder import IntoFolder
from .polls import has_deck

GONE = "The deck is no longer in this scene: build it again"


class ShowChoices(bpy.types.Operator):
    """Lay every choice beside the same building, in a row to the right of the garden."""

    bl_idname = ids.SHOW_CHOICES
    bl_label = "Show Side by Side"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a deck."""
        return has_deck(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Plan all choices first and touch the scene last."""
        settings = properties.of(context)
        site = bridge.built_site(settings)
        deck = build.find_deck(context.scene, site.name)
        if deck is None:
            self.report({"ERROR"}, GONE)
            return {"CANCELLED"}
        try:
            made = compare_choices(site, comparison_settings.of(context).vary)
        except CourselineError as fault:
            self.report({"ERROR"}, str(fault))
            return {"CANCELLED"}
        house = [each.thing for each in settings.picked if each.role == "house" and each.thing]
        show_choices(made, deck, context.scene, house if settings.around == "deck" else ())
        lay_choice(deck, context.scene, context.view_layer, "")
        return {"FINISHED"}


class LayChoice(bpy.types.Operator):
    """Show this choice in the place of the deck."""

    bl_idname = ids.LAY_CHOICE
    bl_label = "Show Here"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    key: bpy.props.StringProperty(description="Which choice; none for the deck as it was built")

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs choices in the scene."""
        if choices_of(context.scene):
            return True
        cls.poll_message_set("Show the choices side by side first")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Change what is seen; nothing is built."""
        deck = build.find_deck(context.scene, bridge.built_site(properties.of(context)).name)
        if deck is None:
            self.report({"ERROR"}, GONE)
            return {"CANCELLED"}
        lay_choice(deck, context.scene, context.view_layer, self.key)
        return {"FINISHED"}


class RemoveChoices(bpy.types.Operator):
    """Remove the choices from the scene; the deck as it was built stays."""

    bl_idname = ids.REMOVE_CHOICES
    bl_label = "Remove Choices"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs choices in the scene."""
        return LayChoice.poll.__func__(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Show the deck again, and remove the rest."""
        settings = properties.of(context)
        deck = build.find_deck(context.scene, bridge.built_site(settings).name) if bridge.is_built(settings) else None
        if deck is not None:
            lay_choice(deck, context.scene, context.view_layer, "")
        remove_choices(context.scene)
        return {"FINISHED"}


class PictureChoices(IntoFolder, Background, bpy.types.Operator):
    """Picture every choice from the same places and write one sheet to sign on; Esc stops it, and you can work on."""

    bl_idname = ids.PICTURE_CHOICES
    bl_label = "Compare in Pictures"
    bl_options: ClassVar[set[str]] = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a deck, and no other job."""
        return has_deck(cls, context) and is_free(cls)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Hand a copy of this file, as it now is, to a Blender in the background."""
        settings, comparison = properties.of(context), comparison_settings.of(context)
        site = bridge.built_site(settings)
        deck = build.find_deck(context.scene, site.name)
        if deck is None:
            self.report({"ERROR"}, GONE)
            return {"CANCELLED"}
        views = [view for view in _offered(deck) if view in comparison.views]
        asked = {
            "site": encode(site),
            "vary": comparison.vary,
            "stem": bpy.path.clean_name(site.name),
            "views": views,
            "quality": asdict(render.QUALITIES[settings.quality]),
            "scene": context.scene.name,
        }
        return self.begin(context, "comparison", asked, Path(bpy.path.abspath(self.directory)), save_copy=True)


def _offered(deck: bpy.types.Collection) -> list[str]:
    """Name the views that the deck has cameras for, and the user's own."""
    found = [thing[build.cameras.VIEW] for thing in deck.all_objects if build.cameras.VIEW in thing]
    return [*sorted(found), OWN_CAMERA]

"""Picks objects of the scene for what they are to the deck."""

from __future__ import annotations

from typing import ClassVar

import bpy

from .. import build, ids, properties
from ..properties import DeckSettings
from ..reading import SURFACES
from .polls import is_own_scene


def pick(settings: DeckSettings, thing: bpy.types.Object, role: str) -> None:
    """Remember an object by what it is, once."""
    for number, each in enumerate(settings.picked):
        if each.thing == thing:
            if each.role == role:
                return
            settings.picked.remove(number)
            break
    added = settings.picked.add()
    added.thing, added.role = thing, role
    words = thing.name.lower()
    # What is called by its kind is that kind; anything else the user says in the panel.
    for kind, _, _ in properties.KINDS:
        if kind in words:
            added.kind = kind
    for kind, _, _ in properties.DOORS[2:]:
        if kind in words:
            added.door = kind


class Pick(bpy.types.Operator):
    """Pick the selected objects for what they are to the deck."""

    bl_idname = ids.PICK
    bl_label = "Pick Selected"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    role: bpy.props.EnumProperty(name="As", description="What the objects are", items=properties.ROLES)

    @classmethod
    def description(cls, context: bpy.types.Context, values: bpy.types.OperatorProperties) -> str:
        """Say what picking means for this kind of thing."""
        what = {name: text for name, _, text in properties.ROLES}[values.role]
        return f"Pick the selected objects. {what}"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a selection."""
        if not is_own_scene(cls, context):
            return False
        if context.selected_objects:
            return True
        cls.poll_message_set("Select objects in the scene first")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Remember them; what we built ourselves, and what has no shape, is not picked."""
        good = [each for each in context.selected_objects if each.type in SURFACES and not build.is_ours(each)]
        if not good:
            self.report({"ERROR"}, "Nothing selected has a shape of its own: select objects with faces or lines")
            return {"CANCELLED"}
        for thing in good:
            pick(properties.of(context), thing, self.role)
        return {"FINISHED"}


class Unpick(bpy.types.Operator):
    """Take an object off the list; the object itself stays."""

    bl_idname = ids.UNPICK
    bl_label = "Take Off the List"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    number: bpy.props.IntProperty(name="Number", description="Its place in the list", min=0)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Forget it."""
        picked = properties.of(context).picked
        if self.number >= len(picked):
            self.report({"ERROR"}, "There is no such object on the list")
            return {"CANCELLED"}
        picked.remove(self.number)
        return {"FINISHED"}

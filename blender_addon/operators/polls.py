"""When a button can be pressed, and what it says when it cannot."""

from __future__ import annotations

import bpy

from .. import bridge, properties


def is_own_scene(operator: type[bpy.types.Operator], context: bpy.types.Context) -> bool:
    """Tell whether the scene is this file's own, and so may be changed."""
    if context.scene.library is None:
        return True
    operator.poll_message_set("This scene is linked from another file: open that file, or append the scene")
    return False


def has_site(operator: type[bpy.types.Operator], context: bpy.types.Context) -> bool:
    """Tell whether there is a site."""
    if not is_own_scene(operator, context):
        return False
    if properties.of(context).site_json:
        return True
    operator.poll_message_set("Take the site in, or open a site file, first")
    return False


def has_deck(operator: type[bpy.types.Operator], context: bpy.types.Context) -> bool:
    """Tell whether a deck has been built."""
    if not is_own_scene(operator, context):
        return False
    if bridge.is_built(properties.of(context)):
        return True
    operator.poll_message_set("Build the deck first")
    return False


def picked_any(operator: type[bpy.types.Operator], context: bpy.types.Context) -> bool:
    """Tell whether the outline of a deck has been picked."""
    if not is_own_scene(operator, context):
        return False
    if any(each.role == "outline" for each in properties.of(context).picked):
        return True
    operator.poll_message_set("Draw or pick the outline of the deck first")
    return False

"""What a scene remembers of its comparison."""

from __future__ import annotations

import bpy
from bpy.props import EnumProperty

from . import ids
from .comparing import OWN_CAMERA

VARIED = (
    ("side", "Face up", "Compare the faces of the boards"),
    ("direction", "Direction", "Compare ways for the boards to run"),
    ("colour", "Colour", "Compare colours of the same board"),
    ("pattern", "Joints", "Compare where boards are joined"),
    ("border", "Border", "Compare no border with one or two boards round the edge"),
)
VIEWS = (
    ("garden", "Garden", "From the garden", 1),
    ("doorway", "Doorway", "From the doorway", 2),
    ("above", "Above", "From above", 4),
    ("corner", "Corner", "At a corner of the house, where it has one on the deck", 16),
    (OWN_CAMERA, "My camera", "Through the camera that is yours in this scene", 8),
)


class ComparisonSettings(bpy.types.PropertyGroup):
    """What is compared, and from where."""

    vary: EnumProperty(name="Compare", description="What the choices differ in", items=VARIED)
    views: EnumProperty(
        name="Views",
        description="Where further pictures of each choice are taken from",
        items=VIEWS,
        options={"ENUM_FLAG"},
        default={"garden"},
    )


def of(context: bpy.types.Context) -> ComparisonSettings:
    """Return what the scene in hand remembers of its comparison."""
    return getattr(context.scene, ids.COMPARISON)

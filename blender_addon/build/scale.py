"""Millimetres of the engine to metres of Blender: the one place where lengths change their unit, either way."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import bpy

MM = 0.001
"""What is built is built in metres; `fitted` then brings it to the unit of its scene."""


def mm_per_unit(scene: bpy.types.Scene) -> float:
    """How many millimetres one of a scene's own units is."""
    return 1000.0 * scene.unit_settings.scale_length


def units_per_metre(scene: bpy.types.Scene) -> float:
    """How many of a scene's own units a metre is."""
    return 1000.0 / mm_per_unit(scene)

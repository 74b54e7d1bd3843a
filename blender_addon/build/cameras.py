"""The model's cameras as Blender's."""

from __future__ import annotations

from collections.abc import Sequence
from math import radians

import bpy

from ..engine.scene.model import Camera
from ..engine.scene.outlook import SENSOR
from .collection import place
from .scale import MM

PART = "camera"
VIEW = "courseline_view"
"""Custom property of a camera of ours: the name of its view."""
NEAR, FAR = 0.05, 500.0
"""What a camera clips [m]."""


def add_cameras(collection: bpy.types.Collection, cameras: Sequence[Camera]) -> None:
    """Build every camera."""
    for camera in cameras:
        data = bpy.data.cameras.new(f"View: {camera.name}")
        data.sensor_fit = "HORIZONTAL"
        data.sensor_width = SENSOR
        data.lens = camera.lens
        data.shift_y = camera.shift_y
        data.clip_start, data.clip_end = NEAR, FAR
        thing = place(collection, data.name, data, PART)
        thing[VIEW] = camera.name
        thing.location = [value * MM for value in camera.position]
        thing.rotation_euler = (radians(90.0 + camera.pitch), 0.0, -radians(camera.heading))


def look_through(scene: bpy.types.Scene, deck: bpy.types.Collection, view: str) -> bpy.types.Object:
    """Make the camera of a view the scene's own.

    Raises
    ------
    KeyError
        If the deck has no such view.
    """
    for thing in deck.all_objects:
        if thing.get(VIEW) == view:
            scene.camera = thing
            return thing
    raise KeyError(f"the deck has no view {view!r}")

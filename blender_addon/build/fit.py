"""What was built in metres, brought to the unit of its scene."""

from __future__ import annotations

from collections.abc import Iterable

import bpy

from .cameras import FAR, NEAR
from .scale import units_per_metre


def fit(things: Iterable[bpy.types.Object], scene: bpy.types.Scene) -> None:
    """Scale objects of ours, just built, to a scene whose unit is another than the metre; cameras see as far."""
    factor = units_per_metre(scene)
    if abs(factor - 1.0) < 1e-6:
        return
    for thing in things:
        thing.location *= factor
        if thing.type == "CAMERA":
            thing.data.clip_start, thing.data.clip_end = NEAR * factor, FAR * factor
        else:
            thing.scale *= factor

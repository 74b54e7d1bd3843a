"""Cameras and 3D views, as several operators handle them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import bpy

from .. import bridge, build
from ..properties import DeckSettings, of


def use_view(scene: bpy.types.Scene, settings: DeckSettings) -> str:
    """Make the camera of the chosen view the scene's own; return what is missing, in words, if anything is."""
    deck = build.find_deck(scene, bridge.built_site(settings).name)
    if deck is None:
        return "The deck is no longer in this scene: build it again"
    try:
        build.look_through(scene, deck, settings.view)
    except KeyError:
        return "The deck has no such view: choose another, or build it again"
    return ""


@contextmanager
def views_kept(context: bpy.types.Context) -> Iterator[None]:
    """Keep the user's own camera the scene's, and who looks through a camera looking through one."""
    scene, settings = context.scene, of(context)
    before = scene.camera
    users_own = before is not None and not build.is_ours(before)
    through = [view for view in _views(context) if view.view_perspective == "CAMERA"]
    yield
    if users_own:
        scene.camera = before
    else:
        use_view(scene, settings)
    for view in through:
        view.view_perspective = "CAMERA"


def _views(context: bpy.types.Context) -> list[bpy.types.RegionView3D]:
    windows = context.window_manager.windows if context.window_manager else ()
    areas = (area for window in windows if window.scene == context.scene for area in window.screen.areas)
    spaces = (area.spaces.active for area in areas)
    return [space.region_3d for space in spaces if isinstance(space, bpy.types.SpaceView3D)]

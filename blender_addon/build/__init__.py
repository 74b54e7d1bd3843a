"""From the engine's scene model to Blender objects."""

from __future__ import annotations

import bpy

from ..engine.scene.model import SceneModel
from ..materials import material_for
from .boards import add_boards
from .cameras import add_cameras, look_through
from .collection import clear_deck, deck_collection, find_deck, is_ours, part_collection, remove_deck
from .count import Count, count_back
from .frame import add_fixings, add_members
from .surfaces import add_surfaces

__all__ = ["Count", "build_deck", "count_back", "find_deck", "is_ours", "look_through", "remove_deck"]


def build_deck(model: SceneModel, scene: bpy.types.Scene) -> bpy.types.Collection:
    """Build a deck in a scene, in place of what was built of it before.

    Parameters
    ----------
    model : SceneModel
    scene : Scene
        Gets one collection of ours; its camera becomes the model's view. Nothing else in it is touched.

    Returns
    -------
    Collection
        Named for the deck and marked as ours.
    """
    materials = {material.key: material for material in model.materials}
    made: dict[str, bpy.types.Material] = {}

    def material(key: str) -> bpy.types.Material:
        if key not in made:
            made[key] = material_for(materials[key])
        return made[key]

    deck = deck_collection(scene, model.name)
    clear_deck(deck)
    add_boards(part_collection(deck, "Boards"), model.boards, material)
    add_members(part_collection(deck, "Frame"), model.blocks, material)
    add_fixings(part_collection(deck, "Fixings"), model.fixings, material)
    add_surfaces(deck, model.surfaces, material)
    add_cameras(part_collection(deck, "Cameras"), model.cameras)
    look_through(scene, deck, model.view)
    return deck

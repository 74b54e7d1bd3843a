"""From the engine's scene model to Blender objects."""

from __future__ import annotations

import bpy

from ..engine.refresh import Boarding
from ..engine.scene.model import SceneModel
from ..materials import finder
from .boarding import PARTS, change_boarding, fresh_part, lay_boarding
from .cameras import add_cameras, look_through
from .collection import clear_deck, deck_collection, find_deck, is_ours, part_collection, remove_deck
from .count import Count, count_back
from .fit import fit
from .plantings import add_plantings
from .surfaces import add_surfaces

__all__ = ["Count", "build_deck", "change_boards", "count_back", "find_deck", "is_ours", "look_through", "remove_deck"]


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
    deck = deck_collection(scene, model.name)
    clear_deck(deck)
    material = finder(model.materials)
    boards, frame, fixings, cameras = (part_collection(deck, part) for part in (*PARTS, "Cameras"))
    lay_boarding(boards, frame, fixings, _boarding_of(model))
    add_cameras(cameras, model.cameras)
    add_surfaces(deck, model.surfaces, material)
    add_plantings(deck, model.plantings, material)
    look_through(scene, deck, model.view)
    return deck


def change_boards(deck: bpy.types.Collection, model: SceneModel, scene: bpy.types.Scene) -> None:
    """Put the boards, frame, fixings and cameras of another model in place of a deck's own; house and garden stay.

    Parameters
    ----------
    deck : Collection
        Built of a model with the same surfaces.
    model : SceneModel
    scene : Scene
        Its camera becomes the model's view.
    """
    change_boarding(deck, _boarding_of(model), scene)
    cameras = fresh_part(deck, "Cameras")
    add_cameras(cameras, model.cameras)
    fit(cameras.objects, scene)
    look_through(scene, deck, model.view)


def _boarding_of(model: SceneModel) -> Boarding:
    return Boarding(model.boards, model.blocks, model.fixings, model.materials)

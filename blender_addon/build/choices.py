"""Choices that a client compares, in one scene: each laid in place of the deck, and all of them side by side.

Side by side, house and choices are shown once more by instances: no mesh is made twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import bpy
from mathutils import Vector

from ..engine.comparison import Comparison
from ..engine.papers.sheet import LETTERS
from ..engine.refresh import boarding_of
from .boarding import PARTS, lay_boarding
from .collection import PART
from .fit import fit

CHOICES = "courseline_choices"
"""Custom property of the collection that holds all choices: the name of their deck."""
CHOICE = "courseline_choice"
"""Custom property of a choice's collection: its key."""
BUILDING = ("House", "Openings", "Interior", "Obstacles")
"""Parts of a deck that stand beside every choice; there is one garden only."""
APART = 0.25
"""Room between two houses side by side, as a share of their width (ours)."""


def show_choices(
    made: Comparison, deck: bpy.types.Collection, scene: bpy.types.Scene, house: Sequence[bpy.types.Object] = ()
) -> bpy.types.Collection:
    """Build every choice in a scene, in place of those built before.

    Parameters
    ----------
    made : Comparison
    deck : Collection
        The deck that they are choices of; it stays as it is.
    scene : Scene
    house : sequence of Object
        The user's own building, which is shown beside each choice.

    Returns
    -------
    Collection
        Holds a collection for each choice, not shown in place yet, and the row of them all.
    """
    remove_choices(scene)
    root = bpy.data.collections.new(f"Courseline choices: {made.site.name}")
    root[CHOICES] = made.site.name
    scene.collection.children.link(root)
    building = [child for child in deck.children if child.get(PART) in BUILDING]
    row = bpy.data.collections.new("Side by side")
    row[PART] = "row"
    root.children.link(row)
    standing = [*(thing for part in (*building, *_boarding(deck)) for thing in part.all_objects), *house]
    start, step = _spacing(standing, deck.all_objects)
    for number, (choice, plan) in enumerate(zip(made.choices, made.plans, strict=True)):
        laid = bpy.data.collections.new(f"{LETTERS[number]}  {choice.label}")
        laid[PART], laid[CHOICE] = "choice", choice.key
        root.children.link(laid)
        lay_boarding(laid, laid, laid, boarding_of(plan))
        fit(laid.objects, scene)
        shift = Vector((start + number * step, 0.0, 0.0))
        for each in (laid, *building):
            _instance(row, each, shift)
        for thing in house:
            _copy(row, thing, shift)
    return root


def choices_of(scene: bpy.types.Scene) -> list[tuple[str, str]]:
    """Give key and label of each choice that a scene holds."""
    return [(each[CHOICE], each.name) for each in _laid(scene)]


def lay_choice(deck: bpy.types.Collection, scene: bpy.types.Scene, layer: bpy.types.ViewLayer, key: str) -> None:
    """Show a choice in place of the deck's own boards, or these again if `key` names none."""
    chosen = _laid(scene)
    laid = any(each[CHOICE] == key for each in chosen)
    out = {each: each[CHOICE] != key for each in chosen} | dict.fromkeys(_boarding(deck), laid)
    for found in _layers(layer.layer_collection):
        if found.collection in out:
            found.exclude = out[found.collection]


def shown_choice(scene: bpy.types.Scene, layer: bpy.types.ViewLayer) -> str:
    """Give the key of the choice that is shown in place of the deck's own boards, or nothing."""
    keys = {each: each[CHOICE] for each in _laid(scene)}
    seen = (each.collection for each in _layers(layer.layer_collection) if not each.exclude)
    return next((keys[each] for each in seen if each in keys), "")


def remove_choices(scene: bpy.types.Scene) -> None:
    """Remove all choices from a scene; what a user put among them stays."""
    root = _root(scene)
    if root is None:
        return
    ours = [thing for thing in root.all_objects if PART in thing]
    data = {thing.data for thing in ours if thing.data is not None and PART in thing.data}
    bpy.data.batch_remove(ours)
    bpy.data.batch_remove([each for each in data if each.users == 0])
    for each in (*root.children, root):
        if (PART in each or each == root) and not each.objects and not each.children:
            bpy.data.collections.remove(each)


def _laid(scene: bpy.types.Scene) -> list[bpy.types.Collection]:
    """Give the collection of each choice that a scene holds."""
    root = _root(scene)
    return [each for each in root.children if CHOICE in each] if root else []


def _root(scene: bpy.types.Scene) -> bpy.types.Collection | None:
    return next((each for each in scene.collection.children_recursive if CHOICES in each), None)


def _boarding(deck: bpy.types.Collection) -> list[bpy.types.Collection]:
    return [child for child in deck.children if child.get(PART) in PARTS]


def _layers(layer: bpy.types.LayerCollection) -> Iterator[bpy.types.LayerCollection]:
    yield layer
    for child in layer.children:
        yield from _layers(child)


def _spacing(standing: Iterable[bpy.types.Object], everything: Iterable[bpy.types.Object]) -> tuple[float, float]:
    """Say how far the first of the row stands to the right of the deck, clear of its garden, and each from the next."""
    left, right = _span(standing)
    _, end = _span(thing for thing in everything if thing.type == "MESH" and not thing.name.startswith("land"))
    step = (right - left) * (1 + APART)
    return end - left + (right - left) * APART, step


def _span(things: Iterable[bpy.types.Object]) -> tuple[float, float]:
    places = [
        (thing.matrix_world @ Vector(corner)).x
        for thing in things
        if thing.type == "MESH"
        for corner in thing.bound_box
    ]
    return (min(places), max(places)) if places else (0.0, 0.0)


def _instance(row: bpy.types.Collection, shown: bpy.types.Collection, shift: Vector) -> None:
    thing = bpy.data.objects.new(shown.name, None)
    thing.instance_type, thing.instance_collection = "COLLECTION", shown
    thing.location, thing.empty_display_size = shift, 0.1
    thing[PART] = "row"
    row.objects.link(thing)


def _copy(row: bpy.types.Collection, thing: bpy.types.Object, shift: Vector) -> None:
    """Show an object of the user's once more, by the same mesh."""
    copy = thing.copy()
    copy.parent = None
    copy.matrix_world = thing.matrix_world.copy()
    copy.matrix_world.translation += shift
    copy[PART] = "row"
    row.objects.link(copy)

"""The collection tree that holds a deck, and the care not to touch anything else."""

from __future__ import annotations

import bpy

DECK = "courseline_deck"
"""Custom property of our root collection: the name of the deck that it holds."""
PART = "courseline_part"
"""Custom property of every object, collection and data-block that we made: which part of the deck it is."""


def deck_collection(scene: bpy.types.Scene, name: str) -> bpy.types.Collection:
    """Get or make the collection of a deck in a scene."""
    found = find_deck(scene, name)
    if found is None:
        found = bpy.data.collections.new(f"Courseline deck: {name}")
        found[DECK] = name
        scene.collection.children.link(found)
    return found


def find_deck(scene: bpy.types.Scene, name: str | None = None) -> bpy.types.Collection | None:
    """Find the collection of a deck, or with no name that of any deck; one linked from another file is not ours."""
    for collection in scene.collection.children_recursive:
        if DECK in collection and collection.library is None and name in (None, collection[DECK]):
            return collection
    return None


def part_collection(deck: bpy.types.Collection, part: str) -> bpy.types.Collection:
    """Get or make the collection of one part of a deck."""
    for child in deck.children:
        if child.get(PART) == part:
            return child
    child = bpy.data.collections.new(part)
    child[PART] = part
    deck.children.link(child)
    return child


def place(collection: bpy.types.Collection, name: str, data: bpy.types.ID, part: str) -> bpy.types.Object:
    """Make an object of ours in a collection."""
    thing = bpy.data.objects.new(name, data)
    thing[PART] = part
    data[PART] = part
    collection.objects.link(thing)
    return thing


def is_ours(thing: bpy.types.ID) -> bool:
    """Tell whether we made a thing."""
    return PART in thing


def clear_deck(deck: bpy.types.Collection) -> None:
    """Remove what we built in a deck's collection, and its data; whatever a user put there stays."""
    ours = [thing for thing in deck.all_objects if PART in thing]
    data = {thing.data for thing in ours if thing.data is not None and PART in thing.data}
    bpy.data.batch_remove(ours)
    bpy.data.batch_remove([each for each in data if each.users == 0])
    for child in list(deck.children):
        if PART in child and not child.all_objects:
            bpy.data.collections.remove(child)


def remove_deck(scene: bpy.types.Scene, name: str) -> None:
    """Remove a deck from a scene, with its collections if nothing of the user's is in them."""
    deck = find_deck(scene, name)
    if deck is None:
        return
    clear_deck(deck)
    if not deck.all_objects and not deck.children:
        bpy.data.collections.remove(deck)

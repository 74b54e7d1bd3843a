"""Boards, frame and fixings of a deck put in place of those that it has; house, garden and cameras stay."""

from __future__ import annotations

import bpy

from ..engine.preview import FlatBoards
from ..engine.refresh import Boarding
from ..engine.scene.palette import palette
from ..engine.spec import Site
from ..materials import finder, material_for
from ..materials.nodes import linear
from . import boards as board_part
from .boards import add_boards
from .collection import PART, clear_deck, part_collection, place
from .fit import fit
from .frame import add_fixings, add_members
from .meshes import new_mesh

PARTS = ("Boards", "Frame", "Fixings")
DRAFT = "Courseline boards while choosing"
"""The material of boards while a choice is made: of the chosen colour, and quickly changed."""

FACES = ("board grain (", "board grooved (")
"""How the names begin of materials that tell which face is up."""


def change_boarding(deck: bpy.types.Collection, boarding: Boarding, scene: bpy.types.Scene) -> None:
    """Put another boarding in place of a deck's own.

    Parameters
    ----------
    deck : Collection
        Built of a plan with the same house and ground.
    boarding : Boarding
    scene : Scene
        Whose unit the deck is fitted to.
    """
    boards, frame, fixings = (fresh_part(deck, part) for part in PARTS)
    lay_boarding(boards, frame, fixings, boarding)
    fit([thing for part in (boards, frame, fixings) for thing in part.objects], scene)


def lay_boarding(
    boards: bpy.types.Collection, frame: bpy.types.Collection, fixings: bpy.types.Collection, boarding: Boarding
) -> None:
    """Build boards, frame and fixings, each in a collection."""
    material = finder(boarding.materials)
    add_boards(boards, boarding.boards, material)
    add_members(frame, boarding.blocks, material)
    add_fixings(fixings, boarding.fixings, material)


def fresh_part(deck: bpy.types.Collection, part: str) -> bpy.types.Collection:
    """Make the collection of a part anew, empty.

    Undo keeps collections that hold the same collections as before, with a list of their objects that is not brought
    up to date (seen to crash Blender 4.5): so what a deck holds is always changed together with its objects.
    """
    before = part_collection(deck, part)
    clear_deck(before)
    if before.all_objects:  # what a user put there stays there, and the collection is theirs from now on
        del before[PART]
    else:
        bpy.data.collections.remove(before)
    return part_collection(deck, part)


def turn_over(deck: bpy.types.Collection, site: Site) -> bool:
    """Show the boards of a deck with the face up that a site asks for, if they are those planned.

    Grooves that are there or lacking in their shape follow with the plan.

    Returns
    -------
    bool
        Whether they are: boards shown while a choice is made have no faces.
    """
    thing = _boards_of(deck)
    if thing is None or thing.data.materials.get(DRAFT) is not None:
        return False
    known = {material.key: material for material in palette(site)}
    for slot, material in enumerate(thing.data.materials):
        if material is not None and material.name.startswith(FACES):
            thing.data.materials[slot] = material_for(known[f"board {site.boards.side}"])
    return True


def _boards_of(deck: bpy.types.Collection) -> bpy.types.Object | None:
    parts = part_collection(deck, "Boards").objects
    return next((each for each in parts if each.get(PART) == board_part.PART and each.type == "MESH"), None)


def draw_slabs(
    deck: bpy.types.Collection, slabs: FlatBoards, colour: tuple[float, float, float], scene: bpy.types.Scene
) -> None:
    """Draw boards as plain slabs in place of the deck's own: a new mesh on the same object."""
    mesh = new_mesh("Boards", slabs.vertices, slabs.corners, slabs.counts)
    mesh.materials.append(_draft_material(colour))
    mesh[PART] = board_part.PART
    thing = _boards_of(deck)
    if thing is None:
        thing = place(part_collection(deck, "Boards"), "Boards", mesh, board_part.PART)
        fit([thing], scene)
        return
    if thing.mode != "OBJECT":  # the user is editing it
        bpy.data.meshes.remove(mesh)
        return
    before = thing.data
    thing.data = mesh
    if isinstance(before, bpy.types.Mesh) and before.users == 0:
        bpy.data.meshes.remove(before)


def _draft_material(colour: tuple[float, float, float]) -> bpy.types.Material:
    made: bpy.types.Material | None = bpy.data.materials.get(DRAFT)
    if made is None or PART not in made:
        made = bpy.data.materials.new(DRAFT)
        made[PART] = board_part.PART
        if made.node_tree is None:  # from Blender 5 on every material has one
            made.use_nodes = True
    light = (*(linear("#" + bytes(round(255 * part) for part in colour).hex())), 1.0)
    made.diffuse_color = light
    shader = next((node for node in made.node_tree.nodes if node.type == "BSDF_PRINCIPLED"), None)
    if shader is not None:
        shader.inputs["Base Color"].default_value = light
        shader.inputs["Roughness"].default_value = 0.55
    return made

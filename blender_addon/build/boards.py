"""All boards as one joined mesh, with the ids of the plan on it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import bpy
import numpy as np

from ..engine.scene.board_mesh import JoinedBoards, join_boards
from ..engine.scene.far_tops import far_tops
from ..engine.scene.model import BoardShape
from .collection import place
from .marks import mark
from .meshes import new_mesh, set_attribute, set_uv
from .scale import MM

PART = "boards"
FAR = "boards from afar"


def add_boards(
    collection: bpy.types.Collection, boards: Sequence[BoardShape], material: Callable[[str], bpy.types.Material]
) -> None:
    """Build the boards.

    Besides the UV map the mesh has the attributes `board_co` (points: along the stock board, across, up [m]),
    `board_random` (faces: three numbers that belong to the stock board), `board_across` (faces: which way across
    is), `board_open` (faces: whether it is a side that is seen from the garden), and the marks `piece`, `stock` and
    `product`. Grooved boards also get an object for what is too far off to show grooves (see `engine.scene.far_tops`).

    Parameters
    ----------
    collection : Collection
    boards : sequence of BoardShape
    material : callable
        Gives the material of a key.
    """
    if not boards:
        return
    joined = join_boards(boards)
    mesh = _mesh_of("Boards", joined)
    faces = sorted({board.face for board in boards})
    for face in faces:
        mesh.materials.append(material(f"board {face}"))
    mesh.materials.append(material("board end"))
    slots = np.array([faces.index(board.face) for board in boards], np.int32)[joined.piece]
    mesh.polygons.foreach_set("material_index", np.where(joined.is_end, len(faces), slots).astype(np.int32))
    thing = place(collection, "Boards", mesh, PART)
    mark(thing, "piece", [board.id for board in boards], joined.piece)
    mark(thing, "stock", [board.stock for board in boards], joined.piece)
    mark(thing, "product", [board.product for board in boards], joined.piece)
    _add_far_tops(collection, boards, material)


def _add_far_tops(
    collection: bpy.types.Collection, boards: Sequence[BoardShape], material: Callable[[str], bpy.types.Material]
) -> None:
    """Build what stands in for grooves that are too fine for a picture: seen by its camera, and by nothing else."""
    joined = far_tops(boards)
    if not len(joined.corners):
        return
    mesh = _mesh_of("Boards from afar", joined)
    mesh.materials.append(material("board grooved far"))
    thing = place(collection, "Boards from afar", mesh, FAR)
    thing.hide_viewport = thing.hide_select = True
    for ray in ("diffuse", "glossy", "transmission", "volume_scatter", "shadow"):
        setattr(thing, f"visible_{ray}", False)


def _mesh_of(name: str, joined: JoinedBoards) -> bpy.types.Mesh:
    mesh = new_mesh(name, joined.vertices, np.arange(len(joined.vertices)), joined.corners)
    set_attribute(mesh, "board_co", "FLOAT_VECTOR", "POINT", joined.board_co * MM)
    set_attribute(mesh, "board_random", "FLOAT_VECTOR", "FACE", joined.randoms[joined.piece])
    set_attribute(mesh, "board_across", "FLOAT_VECTOR", "FACE", joined.across[joined.piece])
    set_attribute(mesh, "board_open", "BOOLEAN", "FACE", joined.is_open)
    set_uv(mesh, joined.board_co[:, :2])
    return mesh

"""All boards as one joined mesh, with the ids of the plan on it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import bpy
import numpy as np

from ..engine.scene.board_mesh import join_boards
from ..engine.scene.model import BoardShape
from .collection import place
from .marks import mark
from .meshes import new_mesh, set_attribute, set_uv
from .scale import MM

PART = "boards"


def add_boards(
    collection: bpy.types.Collection, boards: Sequence[BoardShape], material: Callable[[str], bpy.types.Material]
) -> None:
    """Build the boards.

    Besides the UV map the mesh has the attributes `board_co` (points: along the stock board, across, up [m]),
    `board_random` (faces: three numbers that belong to the stock board), `board_across` (faces: which way across
    is), `board_open` (faces: whether it is a side that is seen from the garden), and the marks `piece`, `stock` and
    `product`.

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
    mesh = new_mesh("Boards", joined.vertices, np.arange(len(joined.vertices)), joined.corners)
    set_attribute(mesh, "board_co", "FLOAT_VECTOR", "POINT", joined.board_co * MM)
    set_attribute(mesh, "board_random", "FLOAT_VECTOR", "FACE", joined.randoms[joined.piece])
    set_attribute(mesh, "board_across", "FLOAT_VECTOR", "FACE", joined.across[joined.piece])
    set_attribute(mesh, "board_open", "BOOLEAN", "FACE", joined.is_open)
    set_uv(mesh, joined.board_co[:, :2])
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

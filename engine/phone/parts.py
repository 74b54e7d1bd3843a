"""From a plan to the few faces that a phone shows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import chain

import numpy as np

from ..layout.decks import decks_of
from ..plan import Plan, Point2
from ..scene import build_scene
from ..scene.board_mesh import join_boards
from ..scene.boxes import BOX_FACES, member_boxes
from ..scene.levels import doors_on_decks, levels_of
from ..scene.model import Block, BoardShape, Material, SceneModel, Surface
from ..scene.profile import flat_profile
from ..scene.walls import shell, walls_of
from .atlas import SKIN, Atlas, atlas_for, board_uv
from .model import Array, Colour, Meshed, PhoneModel, Tile
from .tiles import LAID, roof_tile, wall_tile

OBSTACLES = ("Obstacles",)
SHOWN = ("House", "Openings", *OBSTACLES)
"""Groups of surfaces that belong to the building or stand in the deck; garden and rooms stay at home."""
FRAME_SKIN = "timber"


def phone_model(plan: Plan, building: Sequence[tuple[Meshed, Colour]] | None = None) -> PhoneModel:
    """Turn a plan into the model of its deck and building that a phone shows.

    Parameters
    ----------
    plan : Plan
    building : sequence of (Meshed, colour), optional
        What stands in place of the house that the site describes, in the site's axes, in plain linear colours.

    Returns
    -------
    PhoneModel
        At true size, about the middle of its decks, z from the ground datum. Its deck is one mesh of every piece of
        board, its frame one of every member; the house is plain walls under pictures.

    Raises
    ------
    ValueError
        As `build_scene`.
    """
    scene = build_scene(plan)
    laid = plan.site.house is not None and plan.site.house.finish in LAID
    groups = SHOWN if building is None else OBSTACLES
    surfaces = [each for each in scene.surfaces if each.group in groups and not (laid and each.material == "wall")]
    if laid and building is None:
        surfaces += _plain_walls(plan, scene.blocks)
    tiles = _tiles(plan, surfaces)
    centre = _centre(plan)
    boards, atlas = _deck(scene.boards)
    meshes = [boards, *_frame(scene.blocks), *_building(surfaces, tiles)]
    own = list(building or ())
    return PhoneModel(
        name=plan.name,
        meshes=tuple(_moved(mesh, centre) for mesh in (*meshes, *(mesh for mesh, _ in own))),
        materials=_materials(scene, meshes),
        atlas=atlas,
        tiles=tiles,
        centre=centre,
        colours={mesh.skin: colour for mesh, colour in own},
    )


def _deck(boards: Sequence[BoardShape]) -> tuple[Meshed, Atlas]:
    boards = [replace(board, hollow=False) for board in boards]  # chambers weigh more than they show
    joined = join_boards(boards, flat_profile)
    atlas = atlas_for(boards, joined)
    return Meshed("Deck", SKIN, joined.vertices, joined.corners, board_uv(atlas, boards, joined)), atlas


def _frame(blocks: Sequence[Block]) -> list[Meshed]:
    if not blocks:
        return []
    boxes, _ = member_boxes(blocks)
    corners = boxes[:, BOX_FACES].reshape(-1, 3)
    sizes = np.full(len(blocks) * len(BOX_FACES), 4, np.int32)
    return [Meshed("Frame", FRAME_SKIN, corners, sizes, np.zeros((len(corners), 2)))]


def _plain_walls(plan: Plan, blocks: Sequence[Block]) -> list[Surface]:
    """Give every wall one face between its openings, down to the foot of the frame."""
    house = plan.site.house
    if house is None:
        return []
    levels = levels_of(plan.site, blocks)
    feet = [min(block.start[2], block.end[2]) - block.section[1] / 2 for block in blocks]
    return [
        shell(wall, min(0.0, *feet), house.height).surface(f"wall {wall.number}", "House", "wall")
        for wall in walls_of(doors_on_decks(house, levels), 0.0)
    ]


def _tiles(plan: Plan, surfaces: Iterable[Surface]) -> dict[str, Tile]:
    house, shown = plan.site.house, {surface.material for surface in surfaces}
    tiles = {}
    if house is not None and house.finish in LAID and "wall" in shown:
        tiles["wall"] = wall_tile(house)
    if "roof" in shown:
        tiles["roof"] = roof_tile()
    return tiles


def _building(surfaces: Iterable[Surface], tiles: dict[str, Tile]) -> list[Meshed]:
    """Join the surfaces of each material."""
    by_material: dict[str, list[Surface]] = {}
    for surface in surfaces:
        if surface.faces:
            by_material.setdefault(surface.material, []).append(surface)
    return [_joined(material, parts, _sharer(tiles.get(material))) for material, parts in sorted(by_material.items())]


def _joined(material: str, surfaces: Sequence[Surface], share: Callable[[Array], Array]) -> Meshed:
    corners, sizes, uv = [], [], []
    for surface in surfaces:
        order = np.fromiter(chain.from_iterable(surface.faces), np.int64)
        corners.append(np.array(surface.vertices, float)[order])
        sizes.append(np.fromiter(map(len, surface.faces), np.int32, len(surface.faces)))
        uv.append(np.array(surface.uv, float) if surface.uv else np.zeros((len(order), 2)))
    return Meshed(
        material[0].upper() + material[1:],
        material,
        np.concatenate(corners),
        np.concatenate(sizes),
        share(np.concatenate(uv)),
    )


def _sharer(tile: Tile | None) -> Callable[[Array], Array]:
    """Say how millimetres on a surface become shares of its picture; without one they are of no use."""
    if tile is None:
        return np.zeros_like
    size = np.array(tile.size)
    return lambda uv: uv / size


def _materials(scene: SceneModel, meshes: Iterable[Meshed]) -> dict[str, Material]:
    known = {material.key: material for material in scene.materials}
    wanted = {mesh.skin for mesh in meshes if mesh.skin != SKIN}
    wanted |= {"board end", *(f"board {board.face}" for board in scene.boards)}
    return {key: known[key] for key in sorted(wanted)}


def _centre(plan: Plan) -> Point2:
    """Give the middle of all decks, to the millimetre."""
    corners = np.array([point for deck in decks_of(plan.site) for point in deck.outline])
    x, y = np.round((corners.min(axis=0) + corners.max(axis=0)) / 2)
    return float(x), float(y)


def _moved(mesh: Meshed, centre: Point2) -> Meshed:
    return Meshed(mesh.name, mesh.skin, mesh.corners - (*centre, 0.0), mesh.sizes, mesh.uv)

"""The materials of a scene, named by key: colours from the site file, or of ours where it gives none."""

from __future__ import annotations

from ..spec import Site
from .model import Material, MaterialKind

FRAME_TIMBER, METAL, CLIP = "#7d7257", "#8d9196", "#2b2d2f"
FASCIA, GUTTER, TILE, SILL, PAVING, BARK = "#e8e6e0", "#3c4146", "#4b4d52", "#8c8984", "#a49c90", "#5d5146"
PLASTER, OAK, CEILING, CLOTH, WALNUT, LAMPLIGHT = "#e4ded2", "#a3875f", "#f0eeea", "#8b9094", "#6b4f39", "#ffd9a0"
FENCE, LAWN, SOIL, LEAVES = "#8a7353", "#7f9648", "#4a3d32", "#627f3a"
DARK_LEAVES, GREY_LEAVES, GRAVEL, BLUE, WHITE = "#3f5c2e", "#8a9a82", "#aca294", "#8f82c4", "#efede6"
RUBBER, RIDGE, WOOL, PRINT = "#222324", "#46474b", "#a8775c", "#c9c2b0"
"""All judged by eye."""
SCREW_SHADE = 0.72
"""Coated screws match the board, but their heads sit in a ring of shade (by eye)."""
WALL_COLOURS = {"render": ("#ddd8cc",), "stone": ("#a59a85",), "timber": ("#8a6f52",)}
WALL_KINDS: dict[str, MaterialKind] = {"brick": "brick", "render": "render", "stone": "stone", "timber": "cladding"}


def palette(site: Site) -> tuple[Material, ...]:
    """List every material that a site's scene may use."""
    board, weathered = (site.boards.colour,), site.look.weathered
    materials = [
        Material("board grain", "board", board, weathered),
        Material("board grooved", "board", board, weathered),
        Material("board grooved far", "board far", board, weathered),
        Material("board end", "board end", board, weathered),
        Material("timber", "timber", (FRAME_TIMBER,)),
        Material("fixing", "fixing", (CLIP,)),
        Material("screw", "screw", (_darker(site.boards.colour),)),
        Material("metal", "metal", (METAL,)),
        Material("post", "timber", (FENCE,)),
        Material("bark", "timber", (BARK,)),
        Material("gutter", "gutter", (GUTTER,)),
        Material("lawn", "lawn", (LAWN,)),
        Material("grass", "grass", (LAWN,)),
        Material("soil", "soil", (SOIL,)),
        Material("gravel", "gravel", (GRAVEL,)),
        Material("foliage", "hedge", (LEAVES,)),
        Material("foliage dark", "hedge", (DARK_LEAVES,)),
        Material("foliage grey", "hedge", (GREY_LEAVES,)),
        Material("flower blue", "hedge", (BLUE,)),
        Material("flower white", "hedge", (WHITE,)),
        Material("paving", "paving", (PAVING,)),
    ]
    house = site.house
    if house is not None:
        walls = (house.brick_colour, house.mortar_colour) if house.finish == "brick" else WALL_COLOURS[house.finish]
        materials += [
            Material("wall", WALL_KINDS[house.finish], walls),
            Material("fascia", "fascia", (FASCIA,)),
            Material("roof", "roof", (TILE,)),
            Material("ridge", "sill", (RIDGE,)),
            Material("sill", "sill", (SILL,)),
            Material("glass", "glass", ()),
            Material("gasket", "frame", (RUBBER,)),
            Material("interior wall", "interior", (PLASTER,)),
            Material("interior floor", "interior", (OAK,)),
            Material("interior ceiling", "interior", (CEILING,)),
            Material("interior fabric", "interior", (CLOTH,)),
            Material("interior furniture", "interior", (WALNUT,)),
            Material("interior cushion", "interior", (WOOL,)),
            Material("interior picture", "interior", (PRINT,)),
            Material("interior lamp", "interior", (LAMPLIGHT,)),
        ]
        frames = sorted({opening.frame_colour.lower() for opening in house.openings})
        materials += [Material(f"frame {colour}", "frame", (colour,)) for colour in frames]
    return tuple(materials)


def _darker(colour: str) -> str:
    return "#" + "".join(f"{round(int(colour[i : i + 2], 16) * SCREW_SHADE):02x}" for i in (1, 3, 5))

"""What of a scene has to be made again when the deck is planned anew."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import blake2b

import shapely

from .plan import Plan
from .scene.assemble import blocks_of
from .scene.boards import board_shapes, fixing_shapes
from .scene.levels import levels_of
from .scene.model import Block, BoardShape, FixingShape, Material
from .scene.palette import palette


@dataclass(frozen=True, slots=True)
class Boarding:
    """What a plan decides of a scene: boards, frame and fixings, and the materials that they may name."""

    boards: tuple[BoardShape, ...]
    blocks: tuple[Block, ...]
    fixings: tuple[FixingShape, ...]
    materials: tuple[Material, ...]


def boarding_of(plan: Plan) -> Boarding:
    """The boarding of a plan, as `build_scene` has it, without house and garden."""
    boards = board_shapes(plan)
    return Boarding(boards, blocks_of(plan), fixing_shapes(plan, boards), palette(plan.site))


def ground_key(plan: Plan) -> str:
    """A text that two plans share when their house, garden and views are the same, so that these may stay."""
    site = plan.site
    look = (site.look.place, site.look.when, site.look.view, site.look.eye)
    seen: list[object] = [site.house, site.obstacles, look]
    for level in levels_of(site, blocks_of(plan)):
        shapes = shapely.normalize([level.area, level.fascias, level.flush])
        seen += [level.surface, round(level.soil, 3), *shapely.to_wkb(shapes, hex=True)]
    return blake2b(repr(seen).encode(), digest_size=16).hexdigest()

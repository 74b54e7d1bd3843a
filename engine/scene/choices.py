"""The scenes of choices that a client compares: one house, one garden, one light, one place to stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..plan import Plan
from .assemble import blocks_of, build_scene
from .boards import board_shapes, fixing_shapes
from .differing import where_they_differ
from .levels import levels_of
from .model import SceneModel
from .palette import palette
from .two_boards import two_boards


def build_scenes(plans: Sequence[Plan]) -> tuple[SceneModel, ...]:
    """Turn the plans of one site's choices into scenes that differ in their decks alone.

    Parameters
    ----------
    plans : sequence of Plan
        Of sites that differ in how they are boarded.

    Returns
    -------
    tuple of SceneModel
        One for each plan. House, garden, sun and views are the very same records in all, those of the first plan; each
        has a further view `two boards`: of two of its own boards or, where the same boards are laid otherwise, of the
        place where the choices differ most.

    Raises
    ------
    ValueError
        If a site's house, obstacles, look or levels are not those of the first: then it is no choice of one job.
    """
    first = build_scene(plans[0])
    near = where_they_differ(plans, first)
    scenes = []
    for plan in plans:
        _check_alike(plans[0], plan)
        boards = board_shapes(plan)
        scene = replace(
            first,
            boards=boards,
            blocks=blocks_of(plan),
            fixings=fixing_shapes(plan, boards),
            materials=palette(plan.site),
        )
        scenes.append(replace(scene, cameras=(*first.cameras, near or two_boards(plan, scene))))
    return tuple(scenes)


def _check_alike(first: Plan, plan: Plan) -> None:
    """The ground beside a deck is dug for its frame, so frames of another depth want a garden of their own."""
    one, other = first.site, plan.site
    same = (one.house, one.obstacles, one.look) == (other.house, other.obstacles, other.look)
    if not same or levels_of(one, blocks_of(first)) != levels_of(other, blocks_of(plan)):
        raise ValueError(f"{plan.name}: its house, garden or levels are not those of {first.name}")

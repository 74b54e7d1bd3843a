"""Boards that could not be got into place in one piece, parted through the hole.

A post, a pipe or a tree rises through the deck, so no board can be dropped over it: a board with a closed hole round
it is cut through the middle of the hole, and its two pieces are pushed up to it from both sides. Over a gully or a
cover, which lie flush or lower, the board is dropped whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from ..spec import Site
from .courses import SLIVER, Field, Parting, Run, part_run
from .obstacles import grown
from .pieces import ButtJoint, LaidPiece

Box = tuple[float, float, float, float]

FLUSH = ("gully", "cover")
"""Kinds of obstacle that a board with a hole can be dropped over."""
THINNEST_WALL = 25.0
"""Thinner wood beside a hole would not outlast the cut through it, and is cut off [mm]; common practice, no source."""
MEETS = 0.1
"""Ends this near to a parting lie at it [mm]."""


def parted_round_posts(site: Site, field: Field) -> Field:
    """Part every run with a closed hole round something that rises through the deck."""
    rising = [o for o in site.obstacles if o.treatment == "cut" and o.kind not in FLUSH]
    if not rising:
        return field
    posts = field.axes.to_local(shapely.union_all([grown(site, o) for o in rising]))
    runs: list[Run] = []
    partings: list[Parting] = []
    for whole in field.runs:
        for run in _without_thin_walls(whole, posts) if _holes(whole, posts) else [whole]:
            cuts: list[float] = []
            for hole in _holes(run, posts):
                at = (hole[0] + hole[2]) / 2
                if not cuts or at - cuts[-1] > SLIVER + site.gaps.butt:
                    cuts.append(at)
                    partings.append(Parting(run.course, at, run.bottom, run.top, hole))
            runs += part_run(run, cuts, site.gaps.butt) if cuts else [run]
    return replace(field, runs=tuple(runs), partings=field.partings + tuple(partings))


def _holes(run: Run, posts: BaseGeometry) -> list[Box]:
    """Bounds of a run's closed holes round posts, from low u to high."""
    holes = [Polygon(ring) for ring in run.polygon.interiors]
    return sorted(hole.bounds for hole in holes if hole.intersection(posts).area > 1.0)


def _without_thin_walls(run: Run, posts: BaseGeometry) -> list[Run]:
    """A run with the thin wood beside its holes cut off, so that they become notches."""
    half = THINNEST_WALL / 2
    core = run.polygon.buffer(-half, join_style="mitre", mitre_limit=50.0)
    thin = run.polygon.difference(core.buffer(half + 1e-3, join_style="mitre", mitre_limit=50.0))
    near = [box(*hole).buffer(THINNEST_WALL, join_style="mitre") for hole in _holes(run, posts)]
    walls = thin.intersection(shapely.union_all(near))
    if walls.area < 1.0:
        return [run]
    polygon = shapely.set_precision(run.polygon.difference(walls), 1e-3)
    return part_run(replace(run, polygon=polygon, whole=False), (), 0.0)


def parting_joints(site: Site, field: Field, pieces: Sequence[LaidPiece]) -> tuple[ButtJoint, ...]:
    """The joints that partings make: the pieces on both sides of each."""
    half = site.gaps.butt / 2
    joints = []
    for parting in field.partings:
        beside = [piece for piece in pieces if piece.course == parting.course]
        left = [p for p in beside if abs(p.polygon.bounds[2] - parting.at + half) < MEETS]
        right = [p for p in beside if abs(p.polygon.bounds[0] - parting.at - half) < MEETS]
        for a in left:
            for b in right:
                ends = _end(a, parting.at - half), _end(b, parting.at + half)
                low, high = max(end[0] for end in ends), min(end[1] for end in ends)
                if low < high:
                    if parting.hole is not None:
                        high = parting.hole[1]
                    joints.append(ButtJoint(parting.course, None, parting.at, a.id, b.id, (low + high) / 2))
    return tuple(joints)


def _end(piece: LaidPiece, at: float) -> tuple[float, float]:
    """Where the end of a piece lies across the boards."""
    x0, y0, x1, y1 = piece.polygon.bounds
    _, low, _, high = piece.polygon.intersection(box(max(x0, at - 1.0), y0, min(x1, at + 1.0), y1)).bounds
    return low, high

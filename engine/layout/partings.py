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
from .arrays import array_of
from .axes import Axes
from .border import Strip
from .courses import SLIVER, Field, Parting, Run, part_run
from .obstacles import grown
from .pieces import ButtJoint, LaidPiece

Box = tuple[float, float, float, float]

FLUSH = ("gully", "cover")
"""Kinds of obstacle that a board with a hole can be dropped over."""
THINNEST_WALL = 27.0
"""Wood beside a hole that is no wider is cut off, so that the hole becomes a notch [mm]: the 20 mm on which a board
end bears, and what the saw and its user need; common practice, no source."""
OPEN_END = 40.0
"""A hole no farther than this from a square end, or the deck's edge, is opened to it [mm]: wood too narrow to be
stood on."""
BEYOND = 40.0
"""How far past a run's side the next board is looked for [mm]: more than any gap, less than any board."""
SHORTEST_END = 60.0
"""Beyond a hole nearer to the end than this, no piece is left to be pushed up to the post [mm]."""
MEETS = 0.1
"""Ends this near to a parting lie at it [mm]."""


def rising(site: Site, axes: Axes) -> BaseGeometry:
    """What rises through the deck and boards are cut round, in board axes, with its clearance."""
    posts = [grown(site, o) for o in site.obstacles if o.treatment == "cut" and o.kind not in FLUSH]
    return axes.to_local(shapely.union_all(posts))


def parted_round_posts(site: Site, field: Field) -> Field:
    """Part every run with a closed hole round something that rises through the deck."""
    posts = rising(site, field.axes)
    runs: list[Run] = []
    partings: list[Parting] = []
    holes = shapely.get_num_interior_rings(array_of(run.polygon for run in field.runs))
    for run, count in zip(field.runs, holes.tolist(), strict=True):
        parts, found = _parted(site, run, posts, field.area) if count else ([run], [])
        runs += parts
        partings += found
    return replace(field, runs=tuple(runs), partings=field.partings + tuple(partings))


def parted_strips(site: Site, strips: Sequence[Strip]) -> tuple[tuple[Strip, ...], tuple[tuple[Axes, Parting], ...]]:
    """Part border, nosing and divider boards in the same way; each parting comes with the axes of its strip."""
    parted: list[Strip] = []
    partings: list[tuple[Axes, Parting]] = []
    for strip in strips:
        start, bottom, end, top = strip.polygon.bounds
        run = Run(strip.ring, strip.polygon, start, end, bottom, top, strip.whole, (0.0, 0.0))
        inside = box(start, top, end, top + site.boards.width)
        parts, found = _parted(site, run, rising(site, strip.axes), inside)
        parted += [replace(strip, polygon=part.polygon, whole=part.whole) for part in parts]
        partings += [(strip.axes, parting) for parting in found]
    return tuple(parted), tuple(partings)


def _parted(site: Site, whole: Run, posts: BaseGeometry, deck: BaseGeometry) -> tuple[list[Run], list[Parting]]:
    if not holes_round(whole.polygon, posts):
        return [whole], []
    runs: list[Run] = []
    partings: list[Parting] = []
    for run in _opened(whole, posts, deck):
        cuts: list[float] = []
        for hole in holes_round(run.polygon, posts):
            at = (hole[0] + hole[2]) / 2
            walls = _walls(run, hole)
            crowded = cuts and at - cuts[-1] < SLIVER + site.gaps.butt
            if not crowded and min(walls["left"][0], walls["right"][0]) >= SHORTEST_END:
                cuts.append(at)
                partings.append(Parting(run.course, at, run.bottom, run.top, hole))
        runs += part_run(run, cuts, site.gaps.butt) if cuts else [run]
    return runs, partings


def holes_round(polygon: Polygon, posts: BaseGeometry) -> list[Box]:
    """Bounds of the closed holes round posts, from low u to high."""
    holes = [Polygon(ring) for ring in polygon.interiors]
    return sorted(hole.bounds for hole in holes if hole.intersection(posts).area > 1.0)


def _opened(run: Run, posts: BaseGeometry, deck: BaseGeometry) -> list[Run]:
    """A run with each hole opened to the nearest side or square end that is too near to it.

    Along the deck's edge the post interrupts ledger or rim, which then bear no tongue either.
    """
    edges = {"left", "right"}
    if deck.intersection(box(run.start, run.bottom - BEYOND, run.end, run.bottom)).area < 1.0:
        edges.add("lower")
    if deck.intersection(box(run.start, run.top, run.end, run.top + BEYOND)).area < 1.0:
        edges.add("upper")
    polygon: BaseGeometry = run.polygon
    for hole in holes_round(run.polygon, posts):
        x0, y0, x1, y1 = hole
        middle_u, middle_v = (x0 + x1) / 2, (y0 + y1) / 2
        mouths = {
            "lower": box(x0, run.bottom - 1.0, x1, middle_v),
            "upper": box(x0, middle_v, x1, run.top + 1.0),
            "left": box(run.start - 1.0, y0, middle_u, y1),
            "right": box(middle_u, y0, run.end + 1.0, y1),
        }
        thin = {
            side: wall
            for side, (wall, square) in _walls(run, hole).items()
            if square and wall <= (OPEN_END if side in edges else THINNEST_WALL)
        }
        if thin:
            polygon = polygon.difference(mouths[min(thin, key=lambda side: thin[side])])
    if polygon is run.polygon:
        return [run]
    return part_run(replace(run, polygon=polygon, whole=False), (), 0.0)


def _walls(run: Run, hole: Box) -> dict[str, tuple[float, bool]]:
    """Wood between a hole and each side and end of its run [mm], and whether the edge there runs along the hole's."""
    x0, y0, x1, y1 = hole
    beside = {
        "lower": box(x0, run.bottom - 1.0, x1, y0),
        "upper": box(x0, y1, x1, run.top + 1.0),
        "left": box(run.start - 1.0, y0, x0, y1),
        "right": box(x1, y0, run.end + 1.0, y1),
    }
    walls = {}
    for side, area in beside.items():
        edge = run.polygon.exterior.intersection(area)
        left, low, right, high = edge.bounds if edge.length else (0.0, 0.0, 0.0, 0.0)
        walls[side] = (float(edge.distance(box(*hole))), min(right - left, high - low) < 1.0)
    return walls


def parting_joints(site: Site, field: Field, pieces: Sequence[LaidPiece]) -> tuple[ButtJoint, ...]:
    """The joints that partings make: the pieces on both sides of each."""
    joints = []
    for parting in field.partings:
        joints += _joints_at(site, parting, [piece for piece in pieces if piece.course == parting.course])
    return tuple(joints)


def strip_joints(
    site: Site, partings: Sequence[tuple[Axes, Parting]], pieces: Sequence[LaidPiece]
) -> tuple[tuple[Axes, Parting, ButtJoint], ...]:
    """The joints that partings make in border, nosing and divider boards."""
    joints = []
    for axes, parting in partings:
        own = [piece for piece in pieces if piece.axes == axes]
        beside = [piece for piece in own if abs(piece.box[1] - parting.bottom) < site.boards.width / 2]
        joints += [(axes, parting, joint) for joint in _joints_at(site, parting, beside)]
    return tuple(joints)


def _joints_at(site: Site, parting: Parting, beside: Sequence[LaidPiece]) -> list[ButtJoint]:
    half = site.gaps.butt / 2
    joints = []
    left = [p for p in beside if abs(p.box[2] - parting.at + half) < MEETS]
    right = [p for p in beside if abs(p.box[0] - parting.at - half) < MEETS]
    for a in left:
        for b in right:
            ends = _end(a, parting.at - half), _end(b, parting.at + half)
            low, high = max(end[0] for end in ends), min(end[1] for end in ends)
            if low < high:
                if parting.hole is not None:
                    high = parting.hole[1]
                joints.append(ButtJoint(parting.course, None, parting.at, a.id, b.id, (low + high) / 2))
    return joints


def _end(piece: LaidPiece, at: float) -> tuple[float, float]:
    """Where the end of a piece lies across the boards."""
    x0, y0, x1, y1 = piece.box
    _, low, _, high = piece.polygon.intersection(box(max(x0, at - 1.0), y0, min(x1, at + 1.0), y1)).bounds
    return low, high

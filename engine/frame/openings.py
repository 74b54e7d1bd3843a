"""The frame round what boards are parted for: lift-out panels with battens of their own, and posts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import Polygon, box

from ..layout.axes import Axes, parallel
from ..layout.courses import Field, Parting
from ..layout.hatch import Hatch
from ..layout.pieces import ButtJoint
from ..plan import Joint
from ..spec import Site
from .ground import Block, Ground
from .setout import SetOut

LEAST_BEARING = 20.0
"""What a board end bears on its member at a joint [mm]; the plan's own rule."""


def ground_round(
    site: Site,
    field: Field,
    ground: Ground,
    hatches: Sequence[Hatch],
    strips: Sequence[tuple[Axes, Parting]] = (),
) -> Ground:
    """The ground with openings under panels, and with posts that boards are parted round to be trimmed."""
    shapes = [shape for hatch in hatches for shape in [hatch.opening(ground)] if shape.area]
    along = [_in_field(field.axes, axes, parting) for axes, parting in strips if parallel(axes, field.axes)]
    blocks = [_trimmed(site, block, (*field.partings, *along)) for block in ground.blocks]
    blocks += [Block(shape, *_sides(shape), trimmed=True) for shape in shapes]
    # Joists stop at the noggings of what is trimmed, which run unbroken from the joist on one side to the other.
    taken = shapely.union_all([_with_noggings(block, ground.breadth) for block in blocks if block.trimmed])
    if taken.is_empty:
        return ground
    return replace(
        ground,
        whole=ground.whole.difference(shapely.union_all(shapes)),
        joists=ground.joists.difference(taken),
        through=ground.through.intersection(ground.whole.difference(taken)),
        blocks=tuple(blocks),
    )


def _in_field(axes: Axes, own: Axes, parting: Parting) -> Parting:
    """A parting of an edge board along the field's boards, in the field's axes."""
    assert parting.hole is not None  # panels are cut from the field alone
    hole = axes.to_local(own.to_site(box(*parting.hole))).bounds
    return replace(parting, at=(hole[0] + hole[2]) / 2, bottom=hole[1], top=hole[3], hole=hole)


def _with_noggings(block: Block, breadth: float) -> Polygon:
    return box(block.left, block.bottom - breadth, block.right, block.top + breadth)


def _sides(shape: shapely.Geometry) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = shape.bounds
    return x0, x1, y0, y1


def _trimmed(site: Site, block: Block, partings: Sequence[Parting]) -> Block:
    """A block that boards are parted round is trimmed, by noggings long enough for both board ends."""
    for parting in partings:
        if parting.hole is not None and block.shape.intersects(box(*parting.hole)):
            reach = LEAST_BEARING + site.gaps.butt / 2
            left, right = min(block.left, parting.at - reach), max(block.right, parting.at + reach)
            block = replace(block, left=left, right=right, trimmed=True)
    return block


def panel_battens(field: Field, ground: Ground, hatches: Sequence[Hatch]) -> tuple[SetOut, ...]:
    """The battens that hold each panel's boards together, as members."""
    members = []
    for hatch in hatches:
        for number, (at, low, high) in enumerate(hatch.battens, start=1):
            name = f"{field.zone}-hatch-{hatch.number}-{number}"
            members.append(SetOut(name, "nogging", (at, low), (at, high), depth=ground.breadth))
    return tuple(members)


def seat_partings(site: Site, field: Field, butts: Sequence[ButtJoint], frame: Sequence[SetOut]) -> tuple[Joint, ...]:
    """Name the members under both ends at every parting: two joists at a panel, two noggings at a post."""
    partings = {(p.course, p.at): p for p in field.partings}
    rows = [(field.axes, partings[butt.course, butt.at], butt) for butt in butts]
    return seat_strip_partings(site, field, rows, frame)


def seat_strip_partings(
    site: Site, field: Field, parted: Sequence[tuple[Axes, Parting, ButtJoint]], frame: Sequence[SetOut]
) -> tuple[Joint, ...]:
    """Name the members under both ends at partings in axes of their own."""
    footprints = {member.id: member.footprint(site.frame.section[0]) for member in frame} if parted else {}
    half = site.gaps.butt / 2
    joints = []
    for axes, parting, butt in parted:
        seats = ((-half - LEAST_BEARING, -half), (half, half + LEAST_BEARING))
        ends = [box(butt.at + a, parting.bottom, butt.at + b, parting.top) for a, b in seats]
        if parting.hole is not None:
            ends = [end.difference(box(*parting.hole)) for end in ends]
        if axes != field.axes:
            ends = [field.axes.to_local(axes.to_site(end)) for end in ends]
        left, right = _two_under(ends, frame, footprints)
        place = axes.point_to_site(butt.at, butt.across)
        joints.append(Joint(field.zone, butt.course, (butt.left, butt.right), place, site.gaps.butt, (left, right)))
    return tuple(joints)


def _two_under(
    ends: Sequence[shapely.Geometry], frame: Sequence[SetOut], footprints: dict[str, shapely.Geometry]
) -> tuple[str, str]:
    """The member that bears each end best, another one for each if there are two."""
    chosen: list[str] = []
    for end in ends:
        free = [m for m in frame if m.id not in chosen] or list(frame)
        best = max(free, key=lambda m: (footprints[m.id].intersection(end).area, -footprints[m.id].distance(end)))
        chosen.append(best.id)
    return chosen[0], chosen[1]

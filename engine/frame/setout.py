"""The frame as timber: every member with its name, its place and its height."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from ..layout.axes import Axes
from ..layout.chords import Floats
from ..layout.courses import Field
from ..layout.grid import Grid
from ..layout.joints import JointedRun
from ..layout.pieces import ButtJoint, LaidPiece
from ..layout.trim import EdgeBoards
from ..plan import Joint, Role
from ..spec import Site
from .edges import Timber, edge_members
from .ground import Ground, strip_of
from .joists import set_out_joists
from .ladder import ladders


@dataclass(frozen=True, slots=True)
class SetOut:
    """A member in board axes; `double` is where along the boards the joints lie that it carries a side of.

    `depth` is its height where that is not the frame's own.
    """

    id: str
    role: Role
    start: tuple[float, float]
    end: tuple[float, float]
    double: float | None = None
    depth: float | None = None

    @property
    def length(self) -> float:
        """Length [mm]."""
        return math.dist(self.start, self.end)

    def footprint(self, breadth: float) -> BaseGeometry:
        """How it lies in plan."""
        return strip_of(self.start, self.end, breadth)


def set_out_frame(
    site: Site,
    field: Field,
    grid: Grid,
    jointed: tuple[JointedRun, ...],
    pieces: tuple[LaidPiece, ...],
    ground: Ground,
    edging: EdgeBoards,
) -> tuple[SetOut, ...]:
    """Set out ledger, rims, joists and noggings, each no longer than the timber it is cut from."""
    axes = field.axes
    edge, diagonals = ladders(site, axes, ground, edge_members(site, axes, ground), edging)
    jointed, pieces = (*jointed, *edging.runs_with_field(axes)), (*pieces, *edging.pieces_with_field(axes))
    plan = set_out_joists(site, field, grid, jointed, pieces, ground, edge, diagonals)
    joists = sorted(plan.joists, key=lambda item: (item[0].at, item[1]))
    timbers: list[tuple[Timber, float | None]] = [(t, None) for t in plan.edge]
    for line, low, high in joists:
        role: Role = "joist" if line.double is None else "double"
        timbers.append((Timber(role, (line.at, low), (line.at, high)), line.double))
    timbers += [(t, None) for t in plan.noggings]
    return tuple(_named(timbers, max(site.frame.stock_lengths), f"{field.zone}-" if site.zones or site.decks else ""))


def _named(timbers: list[tuple[Timber, float | None]], longest: float, prefix: str) -> list[SetOut]:
    numbers: dict[Role, int] = {}
    members = []
    for timber, double in timbers:
        length = math.dist(timber.start, timber.end)
        parts = max(1, math.ceil(length / longest - 1e-9))
        for k in range(parts):
            numbers[timber.role] = numbers.get(timber.role, 0) + 1
            start, end = (_along(timber, share / parts) for share in (k, k + 1))
            members.append(SetOut(f"{prefix}{timber.role}-{numbers[timber.role]}", timber.role, start, end, double))
    return members


def _along(timber: Timber, share: float) -> tuple[float, float]:
    (x0, y0), (x1, y1) = timber.start, timber.end
    return (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)


def seat_joints(
    site: Site, axes: Axes, zone: str, joints: tuple[ButtJoint, ...], frame: tuple[SetOut, ...]
) -> tuple[Joint, ...]:
    """Name the joist under each board end of each joint."""
    breadth = site.frame.section[0]
    carriers: dict[tuple[float, bool], list[SetOut]] = {}
    for member in frame:
        if member.double is not None:
            on_left = member.start[0] < member.double
            carriers.setdefault((member.double, on_left), []).append(member)
    on_line: dict[float, list[ButtJoint]] = {}
    for joint in joints:
        on_line.setdefault(joint.at, []).append(joint)
    under: dict[tuple[ButtJoint, bool], str] = {}
    for at, here in on_line.items():
        for on_left, shift in ((True, -breadth / 2), (False, breadth / 2)):
            places = np.array([(at + shift, joint.across) for joint in here])
            for joint, member in zip(here, nearest_to(carriers.get((at, on_left)) or frame, places), strict=True):
                under[joint, on_left] = member.id
    return tuple(
        Joint(
            zone,
            joint.course,
            (joint.left, joint.right),
            axes.point_to_site(joint.at, joint.across),
            site.gaps.butt,
            (under[joint, True], under[joint, False]),
        )
        for joint in joints
    )


def nearest(members: Sequence[SetOut], place: tuple[float, float]) -> SetOut:
    """The member whose centre line passes nearest to a place."""
    return nearest_to(members, np.array([place]))[0]


def nearest_to(members: Sequence[SetOut], places: Floats) -> list[SetOut]:
    """For each place, an (n, 2) array, the member whose centre line passes nearest to it."""
    start, end = np.array([member.start for member in members]), np.array([member.end for member in members])
    along = end - start
    off = places[:, None] - start
    length = np.hypot(*along.T)
    ahead = (off * along).sum(axis=2) / length
    aside = np.abs(off[..., 0] * along[:, 1] - off[..., 1] * along[:, 0]) / length
    past = np.maximum(0.0, np.maximum(-ahead, ahead - length))
    return [members[i] for i in np.hypot(aside, past).argmin(axis=1)]

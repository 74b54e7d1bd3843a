"""What bears the joints of edge boards: rungs, the field's doubled joists, or the rims of two zones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely.geometry import LineString, Point, Polygon

from ..laid import LaidZone
from ..layout.axes import Axes
from ..layout.pieces import LaidPiece
from ..layout.trim import EdgeBoards
from ..plan import Joint
from ..spec import Site
from .setout import SetOut, nearest

AT_END = 6.0
"""How much of a board counts as its very end, that must not reach out over its seat [mm]."""


def seat_edge_joints(
    site: Site, axes: Axes, zone: str, edging: EdgeBoards, frame: Sequence[SetOut]
) -> tuple[Joint, ...]:
    """Name the member under each board end of each joint in edge boards; a divider's lie on the rims of two zones."""
    seated = []
    for item, joint in edging.joints:
        own = item.strip.axes
        ends = [own.point_to_site(joint.at + side * site.frame.section[0] / 2, joint.across) for side in (-1, 1)]
        left_at, right_at = (axes.to_local(Point(end)).coords[0] for end in ends)
        left = nearest(frame, left_at)
        right = nearest([member for member in frame if member is not left] or frame, right_at)
        at = own.point_to_site(joint.at, joint.across)
        seated.append(Joint(zone, joint.course, (joint.left, joint.right), at, site.gaps.butt, (left.id, right.id)))
    return tuple(seated)


def seat_seam_joints(
    site: Site,
    axes: Axes,
    zone: str,
    pieces: Sequence[LaidPiece],
    frame: Sequence[SetOut],
    others: Sequence[LaidPiece],
    beside: Sequence[SetOut],
) -> tuple[Joint, ...]:
    """Joints of a border that runs on from another zone: each board end lies on the rim of its own zone.

    `others` and `beside` are the other zones' edge boards and members, the members in this zone's axes.
    """
    seated = []
    for piece in pieces:
        for other in others:
            ring = piece.id.split("-")[1]
            same_ring = ring.startswith("E") and ring == other.id.split("-")[1] and piece.axes == other.axes
            if not same_ring or not (frame and beside) or piece.polygon.distance(other.polygon) > site.gaps.butt + 0.5:
                continue
            own_first = piece.box[0] < other.box[0]
            ends = [(piece, frame), (other, beside)] if own_first else [(other, beside), (piece, frame)]
            low = max(piece.box[1], other.box[1])
            high = min(piece.box[3], other.box[3])
            across = (low + high) / 2
            left, right = (_chord(item.polygon, across) for item, _ in ends)
            # A tip beside it, or a seam that crosses at a slant: a corner, and no butt joint.
            if high - low < site.boards.width / 2 or not 0.0 <= right[0] - left[1] <= site.gaps.butt + 0.5:
                continue
            names = []
            for (board, members), (facing, _) in zip(ends, reversed(ends), strict=True):
                end = board.polygon.intersection(facing.polygon.buffer(site.gaps.butt + AT_END))
                seat = axes.to_local(piece.axes.to_site(end))
                breadth = site.frame.section[0]
                names.append(max(members, key=lambda m: m.footprint(breadth).intersection(seat).area).id)
            at = piece.axes.point_to_site((left[1] + right[0]) / 2, across)
            pair = (ends[0][0].id, ends[1][0].id)
            seated.append(Joint(zone, piece.course, pair, at, site.gaps.butt, (names[0], names[1])))
    return tuple(seated)


def _chord(polygon: Polygon, across: float) -> tuple[float, float]:
    """From where to where a board lies along itself at a place across it."""
    start, _, end, _ = polygon.bounds
    section = LineString(((start - 1.0, across), (end + 1.0, across))).intersection(polygon)
    return section.bounds[0], section.bounds[2]


def turned_to(axes: Axes, zones: Sequence[LaidZone]) -> tuple[SetOut, ...]:
    """Members of other zones in this one's axes."""
    turned = []
    for zone in zones:
        own = zone.field.axes
        for member in zone.frame:
            ends = [axes.to_local(Point(own.point_to_site(*end))).coords[0] for end in (member.start, member.end)]
            turned.append(replace(member, start=ends[0], end=ends[1]))
    return tuple(turned)

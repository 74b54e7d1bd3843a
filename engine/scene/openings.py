"""Doors and windows: frames, leaves, panes, thresholds, sills and handles.

All in the coordinates of the wall: along, out from its face, up [mm].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians

from ..plan import Point3
from ..spec import Opening
from .board_mesh import randoms
from .mesh import Mesh
from .model import Surface
from .walls import DOORS, REVEAL, Hole, Wall

FRAME_DEPTH = 70.0
FRAME_SIGHTLINE = 55.0
"""Outer frame [mm] (common practice for aluminium systems, no source)."""
THRESHOLD = 30.0
LEAF_SIGHTLINE = {"folding": 62.0, "sliding": 50.0, "door": 95.0, "window": 55.0}
"""Stile and rail of a leaf as seen [mm] (common practice, no source)."""
LEAF_GAP = 4.0
LEAF_DEPTH = 60.0
HANDLE_HEIGHT = 1000.0
"""Height of a door handle above the threshold [mm] (common practice, no source)."""
WINDOW_HANDLE = 350.0
PANE_LEAN = 0.20
"""Greatest lean of a pane out of its plane [degrees]: no two panes reflect alike (ours, judged by eye)."""
SILL_DEPTH, SILL_HEIGHT, SILL_OVERHANG = 150.0, 65.0, 50.0


@dataclass(frozen=True, slots=True)
class _Box:
    """A span along, out and up, in the wall's coordinates [mm]."""

    along: tuple[float, float]
    out: tuple[float, float]
    up: tuple[float, float]


def glazing(walls: Sequence[Wall], floor: float) -> list[Surface]:
    """Build all openings: frames, panes and sills, a surface of each for every opening.

    Parameters
    ----------
    walls : sequence of Wall
    floor : float
        Top of the boards [mm above datum]: a sill that would lie on them ends at the wall's face.
    """
    surfaces = []
    for wall in walls:
        for number, hole in enumerate(wall.holes):
            name = f"opening {wall.number}.{number}"
            frame, panes, sill = Mesh(), Mesh(), Mesh()
            _outer_frame(frame, wall, hole)
            for leaf in leaves(hole):
                _leaf(frame, panes, wall, hole.opening, leaf, f"{name} {len(panes.faces)}")
            _handles(frame, wall, hole)
            surfaces.append(frame.surface(f"{name} frame", "Openings", frame_key(hole.opening)))
            surfaces.append(panes.surface(f"{name} glass", "Openings", "glass"))
            if hole.opening.kind not in DOORS:
                low, high = hole.bottom - SILL_HEIGHT, hole.bottom
                front = SILL_OVERHANG if low > floor + SILL_HEIGHT else 0.0
                _box(sill, wall, _Box((hole.start, hole.end), (SILL_OVERHANG - SILL_DEPTH, front), (low, high)))
                surfaces.append(sill.surface(f"{name} sill", "Openings", "sill"))
    return surfaces


def frame_key(opening: Opening) -> str:
    """Name the material of an opening's frame."""
    return f"frame {opening.frame_colour.lower()}"


def leaves(hole: Hole) -> list[_Box]:
    """Share the frame's inside out among the leaves: sliding ones overlap in two tracks, others stand side by side."""
    left, right = hole.start + FRAME_SIGHTLINE, hole.end - FRAME_SIGHTLINE
    foot = THRESHOLD if hole.opening.kind in DOORS else FRAME_SIGHTLINE
    up = (hole.bottom + foot + LEAF_GAP, hole.top - FRAME_SIGHTLINE - LEAF_GAP)
    count = hole.opening.leaves
    sliding = hole.opening.kind == "sliding" and count > 1
    lap = LEAF_SIGHTLINE["sliding"] if sliding else 0.0
    width = (right - left + lap * (count - 1)) / count
    front = -REVEAL + 5.0
    boxes = []
    for number in range(count):
        back = LEAF_DEPTH / 2 * (number % 2) if sliding else 0.0
        depth = LEAF_DEPTH / 2 if sliding else LEAF_DEPTH
        start = left + number * (width - lap)
        along = (start + LEAF_GAP / 2, start + width - LEAF_GAP / 2)
        boxes.append(_Box(along, (front - back - depth, front - back), up))
    return boxes


def _outer_frame(mesh: Mesh, wall: Wall, hole: Hole) -> None:
    out = (-REVEAL - FRAME_DEPTH, -REVEAL)
    door = hole.opening.kind in DOORS
    foot = THRESHOLD if door else FRAME_SIGHTLINE
    left, right = hole.start + FRAME_SIGHTLINE, hole.end - FRAME_SIGHTLINE
    for along in ((hole.start, left), (right, hole.end)):
        _box(mesh, wall, _Box(along, out, (hole.bottom, hole.top)))
    _box(mesh, wall, _Box((left, right), out, (hole.top - FRAME_SIGHTLINE, hole.top)))
    # A door's threshold comes forward under the leaves and falls in a lip to the outside.
    front = -REVEAL + 35.0 if door else -REVEAL
    _box(mesh, wall, _Box((left, right), (out[0], front), (hole.bottom, hole.bottom + foot)))
    if door:
        _box(mesh, wall, _Box((hole.start, hole.end), (-REVEAL, 0.0), (hole.bottom - 40.0, hole.bottom + 8.0)))


def _leaf(frame: Mesh, panes: Mesh, wall: Wall, opening: Opening, leaf: _Box, key: str) -> None:
    sight = LEAF_SIGHTLINE[opening.kind]
    (left, right), out, (low, high) = leaf.along, leaf.out, leaf.up
    rail = sight * 1.6 if opening.kind == "door" else sight
    for along in ((left, left + sight), (right - sight, right)):
        _box(frame, wall, _Box(along, out, (low, high)))
    for up in ((low, low + rail), (high - sight, high)):
        _box(frame, wall, _Box((left + sight, right - sight), out, up))
    half_width, half_height = (right - left) / 2 - sight, (high - low - sight - rail) / 2
    if half_width <= 0 or half_height <= 0:
        return
    turn, lean, _ = randoms(key)
    swing = half_width * radians(PANE_LEAN) * (2 * turn - 1)
    tilt = half_height * radians(PANE_LEAN) * (2 * lean - 1)
    middle = (out[0] + out[1]) / 2
    corners = [
        wall.at(left + sight, middle - swing - tilt, low + rail),
        wall.at(right - sight, middle + swing - tilt, low + rail),
        wall.at(right - sight, middle + swing + tilt, high - sight),
        wall.at(left + sight, middle - swing + tilt, high - sight),
    ]
    panes.face(corners)


def _handles(mesh: Mesh, wall: Wall, hole: Hole) -> None:
    """Put a lever on every second meeting stile of folding doors, else one on the last leaf."""
    boxes = leaves(hole)
    kind = hole.opening.kind
    if kind == "window":
        return
    # Folding leaves hinge in pairs, so that levers sit on every second stile.
    held = boxes[::2] if kind == "folding" else boxes[-1:]
    inset = LEAF_SIGHTLINE[kind] / 2
    for box in held:
        stile = box.along[1] - inset if kind == "folding" else box.along[0] + inset
        up = hole.bottom + HANDLE_HEIGHT
        front = box.out[1]
        if kind == "sliding":
            _box(mesh, wall, _Box((stile - 8, stile + 8), (front, front + 40), (up - 150, up + 150)))
            continue
        _box(mesh, wall, _Box((stile - 14, stile + 14), (front, front + 8), (up - 120, up + 60)))
        _box(mesh, wall, _Box((stile - 10, stile + 10), (front + 8, front + 50), (up - 10, up + 10)))
        _box(mesh, wall, _Box((stile - 120, stile + 10), (front + 38, front + 52), (up - 9, up + 9)))


def _box(mesh: Mesh, wall: Wall, box: _Box) -> None:
    (left, right), (back, front), (low, high) = box.along, box.out, box.up
    corner: Point3 = wall.at(left, front, low)
    (ax, ay), (ox, oy) = wall.along, wall.out
    length, depth = right - left, front - back
    mesh.box(corner, (ax * length, ay * length, 0.0), (-ox * depth, -oy * depth, 0.0), (0.0, 0.0, high - low))

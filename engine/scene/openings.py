"""Doors and windows: frames, leaves, fixed lights, double panes, gaskets, thresholds, sills and handles.

All in the coordinates of the wall: along, out from its face, up [mm].

Terminology
-----------
leaf         a part that opens, with stiles, rails and a gasket round it.
fixed light  glass held by the frame itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians

from ..spec import Opening
from .board_mesh import randoms
from .mesh import Mesh
from .model import Surface
from .walls import DOORS, REVEAL, Hole, Wall

FRAME_DEPTH = 70.0
FRAME_SIGHTLINE = {"folding": 48.0, "sliding": 48.0, "door": 55.0, "window": 50.0}
"""Outer frame as seen [mm] (common practice for aluminium systems, no source)."""
BUILT_IN = 10.0
"""How far a frame reaches behind the wall at its sides and head [mm] (ours: no light comes past it)."""
THRESHOLD = 24.0
"""Height of a low threshold above the floor [mm] (common practice, no source)."""
STILE = {"folding": 58.0, "sliding": 42.0, "door": 92.0, "window": 42.0}
RAIL = {"folding": 62.0, "sliding": 68.0, "door": 92.0, "window": 42.0}
"""Stiles and rails of a leaf as seen [mm]: two folding leaves meet in 120, sliding ones in one stile
(common practice, no source)."""
FOOT_RAIL = {"door": 160.0}
MULLION = 60.0
BEAD = 14.0
"""Bead that holds a fixed light in its frame [mm] (common practice, no source)."""
LEAF_GAP = 4.0
LEAF_DEPTH, LEAF_FORWARD = 66.0, 6.0
GASKET, GASKET_BACK = 5.0, 4.0
"""Rubber seen round each pane, and how far behind the leaf's face the one in a gap lies [mm] (ours)."""
GLASS_BACK, PANE_GAP = 24.0, 20.0
"""How far the outer pane lies behind its frame's face, and from one pane to the other [mm]
(units of 4-20-4 are common practice, no source)."""
TALL = 1500.0
"""Windows higher than this do not open [mm] (ours)."""
HANDLE_HEIGHT = 1000.0
"""Height of a door handle above the threshold [mm] (common practice, no source)."""
PANE_LEAN = 0.18
"""Greatest lean of a pane out of its plane [degrees]: no two panes reflect alike (ours, judged by eye)."""
SILL_HEIGHT, SILL_FALL, SILL_OVERHANG, SILL_ENDS = 65.0, 10.0, 45.0, 40.0
"""A stone sill: height, fall to the front, overhang, and how far it is built in at its ends [mm]
(common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Box:
    """A span along, out and up, in the wall's coordinates [mm]."""

    along: tuple[float, float]
    out: tuple[float, float]
    up: tuple[float, float]


@dataclass(slots=True)
class _Parts:
    """What an opening is made of, by material."""

    frame: Mesh
    gasket: Mesh
    glass: Mesh
    handle: Mesh


def glazing(walls: Sequence[Wall], floor: float) -> list[Surface]:
    """Build all openings: frames, gaskets, panes, handles and sills, a surface of each for every opening.

    Parameters
    ----------
    walls : sequence of Wall
    floor : float
        Top of the boards [mm above datum]: a sill that would lie on them ends at the wall's face.
    """
    surfaces = []
    for wall in walls:
        for number, hole in enumerate(wall.holes):
            if hole.width <= 2 * BUILT_IN:
                continue
            name = f"opening {wall.number}.{number}"
            parts = _Parts(Mesh(), Mesh(), Mesh(), Mesh())
            _outer_frame(parts, wall, hole)
            for index, leaf in enumerate(leaves(hole)):
                if leaf.along[1] <= leaf.along[0] or leaf.up[1] <= leaf.up[0]:
                    continue
                if opens(hole, index):
                    _leaf(parts, wall, hole.opening, leaf, f"{name} {index}")
                else:
                    _fixed_light(parts, wall, leaf, f"{name} {index}")
            _handles(parts.handle, wall, hole)
            surfaces.append(parts.frame.surface(f"{name} frame", "Openings", frame_key(hole.opening)))
            rest = {
                "gasket": (parts.gasket, "gasket"),
                "glass": (parts.glass, "glass"),
                "handle": (parts.handle, "metal"),
            }
            for part, (mesh, material) in rest.items():
                if mesh.faces:
                    surfaces.append(mesh.surface(f"{name} {part}", "Openings", material))
            if hole.opening.kind not in DOORS:
                surfaces.append(_sill(wall, hole, floor).surface(f"{name} sill", "Openings", "sill"))
    return surfaces


def frame_key(opening: Opening) -> str:
    """Name the material of an opening's frame."""
    return f"frame {opening.frame_colour.lower()}"


def opens(hole: Hole, index: int) -> bool:
    """Say whether a light of an opening is a leaf; of windows every second one, if they are not tall, is fixed."""
    return hole.opening.kind in DOORS or (hole.top - hole.bottom <= TALL and index % 2 == 0)


def leaves(hole: Hole) -> list[Box]:
    """Share the frame's inside out: sliding leaves overlap in two tracks, lights of a window stand between mullions."""
    kind, count = hole.opening.kind, hole.opening.leaves
    sight = FRAME_SIGHTLINE[kind]
    left, right = hole.start + sight, hole.end - sight
    foot = THRESHOLD if kind in DOORS else sight
    up = (hole.bottom + foot + LEAF_GAP / 2, hole.top - sight - LEAF_GAP / 2)
    sliding = kind == "sliding" and count > 1
    lap = STILE["sliding"] if sliding else -MULLION if kind == "window" else 0.0
    width = (right - left + lap * (count - 1)) / count
    front = -REVEAL + LEAF_FORWARD
    boxes = []
    for number in range(count):
        depth = LEAF_DEPTH / 2 if sliding else LEAF_DEPTH
        back = depth * (number % 2) if sliding else 0.0
        start = left + number * (width - lap)
        along = (start + LEAF_GAP / 2, start + width - LEAF_GAP / 2)
        boxes.append(Box(along, (front - back - depth, front - back), up))
    return boxes


def _outer_frame(parts: _Parts, wall: Wall, hole: Hole) -> None:
    kind = hole.opening.kind
    mesh, sight, door = parts.frame, FRAME_SIGHTLINE[kind], kind in DOORS
    out = (-REVEAL - FRAME_DEPTH, -REVEAL)
    foot = THRESHOLD if door else sight
    left, right = hole.start + sight, hole.end - sight
    for along in ((hole.start - BUILT_IN, left), (right, hole.end + BUILT_IN)):
        _box(mesh, wall, Box(along, out, (hole.bottom, hole.top + BUILT_IN)))
    _box(mesh, wall, Box((left, right), out, (hole.top - sight, hole.top + BUILT_IN)))
    _box(mesh, wall, Box((left, right), out, (hole.bottom, hole.bottom + foot)))
    if kind == "window":
        for leaf in leaves(hole)[1:]:
            middle = leaf.along[0] - LEAF_GAP / 2
            _box(mesh, wall, Box((middle - MULLION, middle), out, (hole.bottom + foot, hole.top - sight)))
    # Behind the gaps between leaves and frame lies rubber, not the room.
    back = (out[0] + 5.0, -REVEAL - GASKET_BACK)
    for leaf in leaves(hole):
        if leaf.along[1] - leaf.along[0] <= 20.0:
            continue
        _ring(parts.gasket, wall, leaf, -LEAF_GAP / 2, 8.0, (max(back[0], leaf.out[0]), leaf.out[1] - 2 * GASKET_BACK))
    if door:  # a cill of the frame's make falls to the wall's face
        _slope(mesh, wall, Box((hole.start, hole.end), (-REVEAL, 0.0), (hole.bottom - 40.0, hole.bottom + 14.0)), 8.0)


def _leaf(parts: _Parts, wall: Wall, opening: Opening, leaf: Box, key: str) -> None:
    stile, rail = STILE[opening.kind], RAIL[opening.kind]
    foot = FOOT_RAIL.get(opening.kind, rail)
    (left, right), out, (low, high) = leaf.along, leaf.out, leaf.up
    if right - left <= 2 * (stile + GASKET) or high - low <= rail + foot + 2 * GASKET:
        _box(parts.frame, wall, leaf)
        return
    for along in ((left, left + stile), (right - stile, right)):
        _box(parts.frame, wall, Box(along, out, (low, high)))
    for up in ((low, low + foot), (high - rail, high)):
        _box(parts.frame, wall, Box((left + stile, right - stile), out, up))
    _panes(parts, wall, Box((left + stile, right - stile), out, (low + foot, high - rail)), key)


def _fixed_light(parts: _Parts, wall: Wall, leaf: Box, key: str) -> None:
    """Hold glass in the frame itself by a bead, a little behind the frame's face."""
    light = Box(leaf.along, (leaf.out[0], leaf.out[1] - 2 * LEAF_FORWARD), leaf.up)
    (left, right), (low, high) = light.along, light.up
    if right - left <= 4 * BEAD or high - low <= 4 * BEAD:
        _box(parts.frame, wall, light)
        return
    _ring(parts.frame, wall, light, 0.0, BEAD, light.out)
    _panes(parts, wall, Box((left + BEAD, right - BEAD), light.out, (low + BEAD, high - BEAD)), key)


def _panes(parts: _Parts, wall: Wall, light: Box, key: str) -> None:
    """Set a double pane in its gasket: each pane leans a little in its own way, as reflections show."""
    (back, front), (left, right), (low, high) = light.out, light.along, light.up
    outer = max(front - GLASS_BACK, back + PANE_GAP + 2.0) if front - back > GLASS_BACK else (front + back) / 2
    _ring(parts.gasket, wall, light, 0.0, GASKET, (outer, outer + 3.0))
    half_width, half_height = (right - left) / 2, (high - low) / 2
    ax, ay = wall.along
    for number, out in enumerate((outer, max(outer - PANE_GAP, back))):
        turn, lean, _ = randoms(f"{key} pane {number}")
        swing = half_width * radians(PANE_LEAN) * (2 * turn - 1)
        tilt = half_height * radians(PANE_LEAN) * (2 * lean - 1)
        corners = [(left, low, -swing - tilt), (right, low, swing - tilt), (right, high, swing + tilt)]
        corners.append((left, high, tilt - swing))
        middle = ((left + right) / 2, (low + high) / 2)
        uv = [(along - middle[0], up - middle[1]) for along, up, _ in corners]
        parts.glass.face([wall.at(along, out + by, up) for along, up, by in corners], uv, (ax, ay, 0.0))


def _handles(mesh: Mesh, wall: Wall, hole: Hole) -> None:
    """Put a lever on the leaf that one walks through, and pulls on the stiles of the others that fold."""
    boxes = leaves(hole)
    kind = hole.opening.kind
    if kind == "window":
        return
    up = hole.bottom + HANDLE_HEIGHT
    if kind == "sliding":
        box, sign = (boxes[-1], -1) if len(boxes) > 1 else (boxes[0], 1)
        stile = (box.along[1] if sign < 0 else box.along[0]) + sign * STILE[kind] / 2
        front = box.out[1]
        _box(mesh, wall, Box((stile - 9, stile + 9), (front + 22, front + 34), (up - 130, up + 130)))
        for foot in (up - 105, up + 105):
            _box(mesh, wall, Box((stile - 7, stile + 7), (front, front + 22), (foot - 9, foot + 9)))
        return
    box, front = boxes[-1], boxes[-1].out[1]
    # A single leaf hinges on its right; the last of several on the frame, so that it meets the others on its left.
    stile = box.along[0] + STILE[kind] / 2
    _box(mesh, wall, Box((stile - 13, stile + 13), (front, front + 7), (up - 150, up + 60)))
    _box(mesh, wall, Box((stile - 9, stile + 9), (front + 7, front + 45), (up - 9, up + 9)))
    _box(mesh, wall, Box((stile - 9, stile + 118), (front + 38, front + 50), (up - 8, up + 8)))
    for other in boxes[1:-1:2]:  # the others fold in pairs, hinged to each other
        pull = other.along[1] - STILE[kind] / 2
        _box(mesh, wall, Box((pull - 11, pull + 11), (other.out[1], other.out[1] + 12), (up - 75, up + 75)))


def _sill(wall: Wall, hole: Hole, floor: float) -> Mesh:
    low = hole.bottom - SILL_HEIGHT
    clear = low > floor + SILL_HEIGHT
    front, ends = (SILL_OVERHANG, SILL_ENDS) if clear else (0.0, 0.0)
    span = (max(hole.start - ends, 0.0), min(hole.end + ends, wall.length))
    mesh = Mesh()
    _slope(mesh, wall, Box(span, (-REVEAL - 20.0, front), (low, hole.bottom)), SILL_FALL)
    return mesh


def _ring(mesh: Mesh, wall: Wall, light: Box, inset: float, width: float, out: tuple[float, float]) -> None:
    """Lay four boxes round the inside of a light."""
    left, right = light.along[0] + inset, light.along[1] - inset
    low, high = light.up[0] + inset, light.up[1] - inset
    for along in ((left, left + width), (right - width, right)):
        _box(mesh, wall, Box(along, out, (low, high)))
    for up in ((low, low + width), (high - width, high)):
        _box(mesh, wall, Box((left + width, right - width), out, up))


def _box(mesh: Mesh, wall: Wall, box: Box) -> None:
    _slope(mesh, wall, box, 0.0)


def _slope(mesh: Mesh, wall: Wall, box: Box, fall: float) -> None:
    """Add a box whose top falls by so much to its front [mm]."""
    (left, right), (back, front), (low, high) = box.along, box.out, box.up
    section = [(back, low), (front, low), (front, high - fall), (back, high)]
    near, far = ([wall.at(along, out, up) for out, up in section] for along in (left, right))
    mesh.face(near)
    mesh.face(far[::-1])
    for i in range(4):
        mesh.face([near[i], far[i], far[(i + 1) % 4], near[(i + 1) % 4]])

"""Units that stand proud of the joints between them: bricks, stones and boards as faces with bevelled edges."""

from __future__ import annotations

from dataclasses import dataclass

from ..plan import Point3
from .board_mesh import randoms
from .mesh import Mesh, Triple

Sharp = tuple[float | None, float | None, float | None, float | None]
"""For the left, right, bottom and top edge: None for a bevel down to the joint, else a sharp edge, where the face
meets another that turns away from it, with the tangent of half that turn."""
BEVELLED: Sharp = (None, None, None, None)
BEHIND = 0.5
"""How far a unit's sides reach behind the joints' face [mm], so that no light gets through (ours)."""
STRAY = 50_000.0
"""Units take their grain from anywhere on a square of this size [mm] (ours: no two alike)."""


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane to lay bricks in: unit vectors to the right, up and out, from an origin in site coordinates [mm]."""

    origin: Point3
    right: Triple
    up: Triple
    out: Triple

    def at(self, across: float, rise: float, out: float = 0.0) -> Point3:
        """Give the site coordinates of a place in the plane or off it [mm]."""
        (ox, oy, oz), (rx, ry, rz), (ux, uy, uz), (nx, ny, nz) = self.origin, self.right, self.up, self.out
        return (
            ox + across * rx + rise * ux + out * nx,
            oy + across * ry + rise * uy + out * ny,
            oz + across * rz + rise * uz + out * nz,
        )

    def panel(
        self,
        mesh: Mesh,
        span: tuple[float, float],
        rise: tuple[float, float],
        out: float = 0.0,
        tag: Triple = (0.0, 0.0, 0.0),
    ) -> None:
        """Add a flat rectangle, mapped by its own place in the plane."""
        (left, right), (low, high) = span, rise
        corners = [(left, low), (right, low), (right, high), (left, high)]
        mesh.face([self.at(s, v, out) for s, v in corners], corners, tag)


def lay_unit(
    mesh: Mesh,
    plane: Plane,
    span: tuple[float, float],
    rise: tuple[float, float],
    *,
    depth: float,
    arris: float,
    sharp: Sharp = BEVELLED,
    key: str,
    tone: Triple,
) -> None:
    """Add a unit: its face and the bevels round it.

    Parameters
    ----------
    mesh : Mesh
    plane : Plane
        That of the face.
    span, rise : tuple of float
        Where the unit lies across and up the plane [mm].
    depth : float
        How far the joints lie back [mm].
    arris : float
        How much the face is smaller than the unit at a bevelled edge [mm].
    sharp : Sharp
    key : str
        The unit's name, from which it takes its place in the material.
    tone : tuple of float
        The faces' tag.
    """
    back = depth + BEHIND
    signs, edges = (1, -1, 1, -1), (*span, *rise)
    front = [
        edge + (sign * arris if turn is None else 0.0) for edge, sign, turn in zip(edges, signs, sharp, strict=True)
    ]
    rear = [
        edge + (0.0 if turn is None else sign * back * turn)
        for edge, sign, turn in zip(edges, signs, sharp, strict=True)
    ]
    first = len(mesh.vertices)
    flat = []
    for (left, right, low, high), out in ((front, 0.0), (rear, -back)):
        for s, v in ((left, low), (right, low), (right, high), (left, high)):
            flat.append((s, v))
            mesh.vertices.append(plane.at(s, v, out))
    x, y, _ = randoms(f"{key} place")
    shift = (x * STRAY - span[0], y * STRAY - rise[0])
    uv = [(s + shift[0], v + shift[1]) for s, v in flat]
    faces = [(0, 1, 2, 3)]
    for side, turn in zip(((3, 0, 4, 7), (1, 2, 6, 5), (0, 4, 5, 1), (2, 6, 7, 3)), sharp, strict=True):
        if turn is None:
            faces.append(side)
    for face in faces:
        mesh.faces.append(tuple(first + corner for corner in face))
        mesh.uv.extend(uv[corner] for corner in face)
        mesh.tags.append(tone)

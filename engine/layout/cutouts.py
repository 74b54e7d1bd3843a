"""What is cut out of a piece for the obstacles beside it, measured as on the bench.

Terminology
-----------
hole   wood all round.
notch  open to one long side, or to both.
end    open to an end of the piece: the end scribed to an obstacle, or the mouth that is pushed up to a post.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

AT_SIDE = 0.5
"""A cut this near to a piece's end or side is open to it [mm]: a saw's own error."""
LEAST_CUT = 1.0
"""Less wood than this is no cut [mm2]."""


@dataclass(frozen=True, slots=True)
class Cutout:
    """A cut and the rectangle it lies in [mm]: `along` from the piece's first end, `across` from its lower side."""

    kind: Literal["notch", "hole", "end"]
    along: tuple[float, float]
    across: tuple[float, float]

    def wood_beside(self, width: float) -> float:
        """The narrower of what a board of some width keeps beside the cut [mm]; zero if it is cut right across."""
        return min((wood for wood in (self.across[0], width - self.across[1]) if wood > AT_SIDE), default=0.0)

    def __str__(self) -> str:
        """As told to a builder."""
        size = f"{self.along[1] - self.along[0]:.0f} x {self.across[1] - self.across[0]:.0f} mm"
        if self.kind == "end":
            return f"the cut of {size} in its end"
        return f"the {self.kind} of {size} that begins {self.along[0]:.0f} mm from its end"


def cutouts(piece: Polygon, obstacles: Iterable[BaseGeometry]) -> tuple[Cutout, ...]:
    """The cuts that obstacles ask of a piece, from its first end on.

    Parameters
    ----------
    piece : Polygon
        As laid, in board axes: along u, its lower side at low v.
    obstacles : iterable of geometries
        Each grown by its clearance, in the same axes.
    """
    x0, y0, x1, y1 = piece.bounds
    missing = [part for part in shapely.get_parts(box(x0, y0, x1, y1).difference(piece)) if part.area > LEAST_CUT]
    found = []
    for obstacle in obstacles:
        if obstacle.distance(piece) > AT_SIDE:
            continue
        left, _, right, _ = obstacle.bounds
        beside = box(left - AT_SIDE, y0, right + AT_SIDE, y1)
        for part in missing:
            # A tongue too thin to be laid went with the obstacle, so the cut is what is missing beside it.
            if part.intersection(obstacle).area > LEAST_CUT:
                a, b, c, d = part.intersection(beside).bounds
                open_end = a - x0 < AT_SIDE or x1 - c < AT_SIDE
                open_side = b - y0 < AT_SIDE or y1 - d < AT_SIDE
                kind: Literal["notch", "hole", "end"] = "end" if open_end else "notch" if open_side else "hole"
                found.append(Cutout(kind, (a - x0, c - x0), (b - y0, d - y0)))
    return tuple(sorted(found, key=lambda cut: (cut.along, cut.across)))

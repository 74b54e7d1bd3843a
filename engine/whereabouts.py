"""Where on the deck a check, or a message, speaks of: read from the parts and places that it names."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from .plan import Area, Check, Plan, Point3

_NAME = re.compile(r"[A-Za-z0-9]+(?:-[A-Za-z0-9]+)+")
_PLACE = re.compile(r"\[(-?\d+(?:\.\d+)?), (-?\d+(?:\.\d+)?)\]")


@dataclass(frozen=True, slots=True)
class Marked:
    """A failing check, and where it is to be seen [mm]; nowhere, if it speaks of the deck as a whole."""

    check: Check
    places: tuple[Point3, ...]


def failing(plan: Plan) -> tuple[Marked, ...]:
    """Every check that fails, with its places on the top of the boards."""
    known = {piece.id: (*_middle(piece.polygon), piece.top) for piece in plan.pieces}
    for member in plan.members:
        (x0, y0, _), (x1, y1, _) = member.start, member.end
        known.setdefault(member.id, ((x0 + x1) / 2, (y0 + y1) / 2, plan.site.deck.surface))
    return tuple(Marked(check, _places(check, known, plan.site.deck.surface)) for check in plan.checks if not check.ok)


def joint_places(plan: Plan) -> NDArray[np.float64]:
    """Where boards are butted: (k, 3) [mm], on their top."""
    tops = {piece.id: piece.top for piece in plan.pieces}
    return np.array([(*joint.at, tops[joint.pieces[0]]) for joint in plan.joints], float).reshape(-1, 3)


def _places(check: Check, known: dict[str, Point3], top: float) -> tuple[Point3, ...]:
    """A place written out says more than the part in which it lies."""
    written = [(float(x), float(y), top) for x, y in _PLACE.findall(check.message)]
    if written:
        return tuple(written)
    names = dict.fromkeys(_NAME.findall(f"{check.id} {check.message}"))
    return tuple(known[name] for name in names if name in known)


def _middle(area: Area) -> tuple[float, float]:
    middle = shapely.point_on_surface(Polygon(area.outer, area.holes))
    return float(middle.x), float(middle.y)

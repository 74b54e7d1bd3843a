"""Rectangular decks whose counts can be worked out by hand."""

from __future__ import annotations

from collections import Counter
from typing import Any

from courseline.engine import design
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site

BOARD, WIDTH, COURSE_GAP, BUTT_GAP, WALL_GAP, JOIST = 4000, 140, 5, 8, 8, 47
"""The defaults of a site file [mm]."""
COURSES = 10
FREE_DEPTH = COURSES * WIDTH + (COURSES - 1) * COURSE_GAP
WALL_DEPTH = WALL_GAP + FREE_DEPTH


def rectangle_site(length: float, depth: float, *, at_wall: bool = False, **tables: Any) -> Site:
    """A rectangle with its long edge 0 along x, which stands at a wall or does not."""
    deck = {
        "outline": [[0, 0], [length, 0], [length, depth], [0, depth]],
        "house_edges": [0] if at_wall else [],
        "start_edge": 0,
        **tables.pop("deck", {}),
    }
    return site_from_table({"schema": 1, "name": "rectangle", "deck": deck, **tables})


def rectangle(length: float, depth: float, *, at_wall: bool = False, **tables: Any) -> Plan:
    """The plan of `rectangle_site`."""
    return design(rectangle_site(length, depth, at_wall=at_wall, **tables))


def roles(plan: Plan) -> Counter[str]:
    """Members of the frame, counted by role."""
    return Counter(member.role for member in plan.members)


def clips(plan: Plan) -> Counter[str]:
    """Fixings, counted by kind."""
    return Counter(fixing.kind for fixing in plan.fixings)


def orders(plan: Plan) -> dict[str, int]:
    """Whole units to buy, by item."""
    return {line.item: line.order for line in plan.takeoff}

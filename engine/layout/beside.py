"""What lies beside a run before its joints are chosen: joints that are settled already, and doorways."""

from __future__ import annotations

from collections.abc import Iterable

from ..spec import Site
from .axes import Axes, parallel
from .clip import within
from .courses import SLIVER, Field, Run

Span = tuple[float, float]
Place = tuple[float, float]


def settled_beside(site: Site, field: Field, run: Run) -> list[float]:
    """Where along a run the courses beside it are butted whatever the pattern says, in its own zone or the next."""
    settled = [p.at for p in field.partings if _next_to(p.course, run.course)]
    # Only the middle of another zone's joint is known: its course lies half a board to either side.
    reach = site.boards.width / 2 + (run.top - run.bottom) / 2 + site.gaps.course + SLIVER
    middle = (run.bottom + run.top) / 2
    return settled + [u for u, v in field.butted_beside if abs(v - middle) < reach]


def _next_to(course: int, other: int) -> bool:
    """Whether two courses lie side by side; there is no course 0."""
    low, high = sorted((course, other))
    return high - low == 1 or (low, high) == (-1, 1)


def doorways_over(field: Field, run: Run) -> list[Span]:
    """Where along a run people step out of the house."""
    spans = []
    for doorway in field.doorways:
        _, low, _, high = doorway.bounds
        if low < run.top and high > run.bottom:
            shared = within(doorway, (run.start, run.bottom, run.end, run.top))
            if shared.area > 0.0:
                start, _, end, _ = shared.bounds
                spans.append((start, end))
    return spans


def panel_ends(field: Field) -> list[float]:
    """Where along the boards doubled joists carry the ends of lift-out panels."""
    return sorted({parting.at for parting in field.partings if parting.hole is None})


def joints_of_others(axes: Axes, others: Iterable[tuple[Axes, Iterable[Place]]]) -> tuple[Place, ...]:
    """Joints of zones laid the same way, each given along and across its own boards, as they lie in `axes`."""
    found: list[Place] = []
    for other, joints in others:
        if parallel(other, axes):
            turned = Axes(other.angle - axes.angle)
            found += [turned.point_to_site(*joint) for joint in joints]
    return tuple(found)

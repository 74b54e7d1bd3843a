"""A frame that stands already: its joists as measured, never moved, and joints only where it can carry them.

A doubled joist is given by the centre line of the pair; board ends meet over the middle of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from shapely.geometry import LineString

from ..errors import SiteError
from ..layout.axes import Axes
from ..layout.beside import doorways_over, settled_beside
from ..layout.courses import Field, Run
from ..layout.joints import DOORWAY, JointedRun
from ..layout.pieces import ButtJoint
from ..layout.search import cheapest_joints, stretch
from ..layout.trim import FieldLines
from ..plan import Joint
from ..spec import Site
from .setout import SetOut

UNDOUBLED = 6.0
"""What a joint on a joist that must first be doubled weighs, in joints: the builder opens the frame for it."""
NEAR_END = 80.0
"""A joint is kept at least this far from the end of a run [mm]; common practice, no source."""
ON_SITE = ""
"""The stock of a member that is not bought."""


@dataclass(frozen=True, slots=True)
class StandingJoist:
    """A joist in board axes, from low v to high; `number` is its place in the site file."""

    number: int
    low: tuple[float, float]
    high: tuple[float, float]
    doubled: bool

    def at(self, across: float) -> float:
        """Where its centre line lies along the boards, at a place across them; it may be out of parallel."""
        (u0, v0), (u1, v1) = self.low, self.high
        return u0 + (u1 - u0) * (across - v0) / (v1 - v0)


def standing_joists(site: Site, axes: Axes) -> tuple[StandingJoist, ...]:
    """The joists of a standing frame, from low u to high.

    Raises
    ------
    SiteError
        If a joist runs along the boards and so cannot carry them.
    """
    joists = []
    for number, line in enumerate(site.frame.joists):
        ends = sorted(axes.to_local(LineString(line)).coords, key=lambda end: end[1])
        if abs(ends[-1][0] - ends[0][0]) > abs(ends[-1][1] - ends[0][1]):
            wanted = "turn deck.direction, or leave the joist out"
            raise SiteError(f"frame.joists[{number}]", "runs along the boards and cannot carry them", wanted)
        joists.append(StandingJoist(number, ends[0], ends[-1], number in site.frame.doubled))
    return tuple(sorted(joists, key=lambda j: (j.at((j.low[1] + j.high[1]) / 2), j.number)))


def joints_on_standing(site: Site, field: Field, joists: Sequence[StandingJoist]) -> tuple[JointedRun, ...]:
    """Butt every run that needs it over doubled joists, or else over those that are best doubled."""
    before: set[int] = set()
    current: set[int] = set()
    course = None
    jointed = []
    for run in field.runs:
        if run.course != course:
            before, current, course = current, set(), run.course
        lines = _lines(site, field, run, joists, before) if stretch(run) > max(site.boards.lengths) else ()
        current.update(lines)
        jointed.append(JointedRun(run, lines, tuple(joists[j].at(_middle(run)) for j in lines)))
    return tuple(jointed)


def _lines(site: Site, field: Field, run: Run, joists: Sequence[StandingJoist], before: set[int]) -> tuple[int, ...]:
    across = _middle(run)
    under = [
        j
        for j, joist in enumerate(joists)
        if run.start + NEAR_END < joist.at(across) < run.end - NEAR_END and joist.low[1] <= across <= joist.high[1]
    ]
    places = [joists[j].at(across) for j in under]
    bays = [b - a for a, b in pairwise(places)] or [site.frame.max_centres]

    settled, doorways = settled_beside(site, field, run), doorways_over(field, run)

    def toll(j: int) -> float:
        in_doorway = any(low < joists[j].at(across) < high for low, high in doorways)
        return 1.0 + UNDOUBLED * (not joists[j].doubled) + DOORWAY * in_doorway

    def in_line(j: int) -> bool:
        return any(abs(joists[j].at(across) - at) <= site.frame.section[0] for at in settled)

    free = [j for j in under if j not in before]
    for candidates in ([j for j in free if not in_line(j)], free, under):
        at = [joists[j].at(across) for j in candidates]
        found = cheapest_joints(site, run, candidates, at, [toll(j) for j in candidates], median(bays))
        if found is not None:
            return found
    return ()


def lines_across(joists: Sequence[StandingJoist]) -> FieldLines:
    """Where the joists lie between two places along the boards, for boards that run along them at some place across."""

    def lines(start: float, end: float, across: float) -> dict[int, float]:
        places = {j: joist.at(across) for j, joist in enumerate(joists) if joist.low[1] <= across <= joist.high[1]}
        return {j: at for j, at in places.items() if start < at < end}

    return lines


def _middle(run: Run) -> float:
    return (run.bottom + run.top) / 2


def standing_members(site: Site, joists: Sequence[StandingJoist]) -> tuple[SetOut, ...]:
    """The members of a standing frame: a joist where each was measured, two side by side for a doubled one."""
    half = site.frame.section[0] / 2
    members = []
    for line, joist in enumerate(joists):
        if not joist.doubled:
            members.append(SetOut(f"joist-{joist.number}", "joist", joist.low, joist.high))
            continue
        for name, shift in (("a", -half), ("b", half)):
            ends = [(u + shift, v) for u, v in (joist.low, joist.high)]
            members.append(SetOut(f"double-{joist.number}{name}", "double", ends[0], ends[1], line))
    return tuple(members)


def seat_on_standing(
    site: Site, field: Field, joists: Sequence[StandingJoist], joints: Sequence[ButtJoint]
) -> tuple[Joint, ...]:
    """Name the member under each board end; over a joist that is not doubled, both ends share it."""
    seated = []
    for joint in joints:
        if joint.line is None:
            continue
        joist = joists[joint.line]
        pair = ("double", "a", "b") if joist.doubled else ("joist", "", "")
        left, right = (f"{pair[0]}-{joist.number}{side}" for side in pair[1:])
        place = field.axes.point_to_site(joint.at, joint.across)
        seated.append(Joint(field.zone, joint.course, (joint.left, joint.right), place, site.gaps.butt, (left, right)))
    return tuple(seated)

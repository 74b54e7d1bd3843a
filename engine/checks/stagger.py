"""Where boards are butted: never in line with a neighbour, and over two joists."""

from __future__ import annotations

from collections.abc import Sequence

from ..laid import LaidZone
from ..layout.beside import joints_of_others
from ..layout.courses import SLIVER
from ..layout.pieces import ButtJoint, course_name
from ..plan import Check, Joint
from ..spec import Site
from .sources import PRACTICE, at_place


def stagger(site: Site, zones: Sequence[LaidZone]) -> Check:
    """No two neighbouring courses are butted in line, whatever parts them; the ends of one lift-out panel are."""
    shared = []
    for i, zone in enumerate(zones):
        panels = {piece.id for piece in zone.pieces if piece.kind == "hatch"}
        on: dict[int, list[ButtJoint]] = {}
        for joint in zone.butts:
            on.setdefault(joint.course, []).append(joint)
        for course, joints in on.items():
            for other in on.get(course + 1 if course != -1 else 1, ()):
                if any(_in_line(site, joint, other, panels) for joint in joints):
                    shared.append((course_name(zone.field.zone, course), course_name(zone.field.zone, other.course)))
        for before in zones[:i]:
            shared += _in_line_across(site, zone, before)
    text = "no two neighbouring courses are butted on the same joist line"
    if shared:
        pairs = ", ".join(f"{a} and {b}" for a, b in dict.fromkeys(shared))
        text = f"courses {pairs} are butted on the same line: move one joint"
    return Check("stagger", "common practice, no source", len(set(shared)), 0, "courses", not shared, text)


def _in_line(site: Site, joint: ButtJoint, other: ButtJoint, panels: set[str]) -> bool:
    if panels.intersection((joint.left, joint.right)) and panels.intersection((other.left, other.right)):
        return False
    same_line = joint.line is not None and joint.line == other.line
    return same_line or abs(joint.at - other.at) <= site.frame.section[0]


def _in_line_across(site: Site, zone: LaidZone, other: LaidZone) -> list[tuple[str, str]]:
    """Courses of two zones laid the same way that lie side by side and are butted in line."""
    theirs = joints_of_others(zone.field.axes, [(other.field.axes, [(b.at, b.across) for b in other.butts])])
    reach = site.boards.width + site.gaps.course + SLIVER
    return [
        (course_name(zone.field.zone, joint.course), course_name(other.field.zone, butt.course))
        for butt, (u, v) in zip(other.butts, theirs, strict=False)
        for joint in zone.butts
        if abs(joint.at - u) <= site.frame.section[0] and abs(joint.across - v) < reach
    ]


def joists_to_double(zones: Sequence[LaidZone]) -> list[Check]:
    """Joists of a standing frame under a joint that one joist cannot carry."""
    wanted: dict[str, list[Joint]] = {}
    for zone in zones:
        for joint in zone.joints:
            if joint.joists[0] == joint.joists[1]:
                wanted.setdefault(joint.joists[0], []).append(joint)
    found = []
    for joist, joints in wanted.items():
        places = ", ".join(f"{joint.pieces[0]} and {joint.pieces[1]} at {at_place(joint.at)}" for joint in joints)
        text = f"double {joist}: boards meet on it ({places})"
        found.append(Check(f"double {joist}", PRACTICE, 1, 2, "joists", False, text))
    return found

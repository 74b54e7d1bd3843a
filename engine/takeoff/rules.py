"""What each kind of edge board and each member of the frame is there for, and where the rule comes from."""

from __future__ import annotations

from ..checks.sources import PRACTICE, SITE_RULE
from ..layout.fascia import OFF_GROUND, SET_BACK
from ..spec import Site


def rule_of(site: Site, kind: str) -> tuple[str, str]:
    """The rule of a kind of piece, or of a role in the frame, and its source; of plain boards none."""
    border = site.pattern.border
    depth = {1: "one board", 2: "two boards"}.get(border.courses, f"{border.courses} boards")
    corners = {"mitre": "mitred", "butt": "butted"}[border.corners]
    rules = {
        "border": (f"{depth} along each edge that has one, {corners} at corners; dividers along seams", SITE_RULE),
        "nosing": (f"the outermost board along each step, {corners} at corners", PRACTICE),
        "fascia": (
            f"boards on edge along each step and raised side, {SET_BACK:g} mm behind the boards' edge and "
            f"{OFF_GROUND:g} mm off the ground, sawn along where whole ones do not come out",
            PRACTICE,
        ),
        "hatch": ("the boards of lift-out panels", SITE_RULE),
        "joist": (f"square to the boards, no more than {site.frame.max_centres:g} mm from the next", SITE_RULE),
        "double": ("two side by side under butt joints, counted each, for as far as they carry some", PRACTICE),
        "ledger": ("along each house wall", PRACTICE),
        "rim": ("along each free edge and each opening, and on the inner side of edge boards", PRACTICE),
        "nogging": ("short ones under edge boards, round obstacles, and on the underside of lift-out panels", PRACTICE),
    }
    if kind == "border" and border.courses == 0:
        return "dividers along seams", SITE_RULE
    return rules.get(kind, ("", ""))

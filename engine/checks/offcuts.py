"""How many offcuts lie about on site at once."""

from __future__ import annotations

from ..plan import Check
from ..spec import Site
from .sources import SITE_RULE

KEPT = "kept offcuts"
"""Id of the line that tells how many lie about at once."""


def offcut_check(site: Site, kept: int) -> Check:
    """Whether the boards' saw list keeps to the number of offcuts that the site allows at once."""
    most = site.pattern.kept_offcuts
    text = f"{kept} offcut{'' if kept == 1 else 's'} kept at once for later pieces, cut in the order of the saw list"
    if kept > most:
        text += f"; pattern.kept_offcuts allows {most}: make room for them, and mark them"
    return Check(KEPT, SITE_RULE, kept, most, "offcuts", kept <= most, text)

"""How many offcuts lie about on site at once."""

from __future__ import annotations

from ..plan import Check
from ..spec import Site
from .sources import SITE_RULE


def offcut_check(site: Site, kept: int) -> Check:
    """How many offcuts the boards' saw list keeps at once, which is never more than the site allows."""
    most = site.pattern.kept_offcuts
    text = f"{kept} offcut{'' if kept == 1 else 's'} kept at once for later pieces, cut in the order of the saw list"
    return Check("kept offcuts", SITE_RULE, kept, most, "offcuts", kept <= most, f"{text}; room for {most}")

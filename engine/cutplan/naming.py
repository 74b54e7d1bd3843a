"""What the products of a site are called."""

from __future__ import annotations

from ..spec import Site


def timber_name(site: Site) -> str:
    """Product name of the frame's timber: its section."""
    breadth, depth = site.frame.section
    return f"timber-{breadth:g}x{depth:g}"

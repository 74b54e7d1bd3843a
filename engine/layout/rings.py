"""Edges of rings, numbered as the site file numbers them."""

from __future__ import annotations

from shapely.geometry import LineString

from ..spec import Ring


def edge_of(ring: Ring, number: int) -> LineString:
    """Edge of a ring: from corner `number` to the next, the last one back to corner 0."""
    return LineString((ring[number], ring[(number + 1) % len(ring)]))


def edges_of(ring: Ring) -> list[LineString]:
    """Edges of a ring, in the order written."""
    return [edge_of(ring, number) for number in range(len(ring))]

"""Where the first course begins, so that no course along an edge is ripped too narrow."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ..spec import Site
from .axes import Axes, along_boards
from .region import open_area
from .wall import moved_out, surveyed_line
from .zones import ZoneArea

RIP_STEP = 1.0
"""How finely the first course is shifted in search of better rips [mm]."""
WIDEST_RIP_WANTED = 0.75
"""A rip is never asked to be wider than this share of a board."""


@dataclass(frozen=True, slots=True)
class Start:
    """Where the strip of course 1 begins, in front of its rip if it is ripped, and what was weighed [mm].

    `shift` is what course 1 is ripped by; `narrowest` the narrowest course along an edge, `unshifted` what that
    would be if course 1 were a whole board.
    """

    at: float
    shift: float
    narrowest: float
    unshifted: float


def first_course(site: Site, zone: ZoneArea, axes: Axes, area: BaseGeometry, trim: BaseGeometry) -> Start:
    """Where course 1 begins: at the start edge, shifted towards it as far as better rips ask for."""
    uncut = axes.to_local(open_area(site, zone.area, zone.seams)).difference(trim)
    lower, upper = _edges_along(uncut, site.boards.width)
    if zone.direction % 360.0 == 0.0:
        edge = axes.to_local(zone.start)
        at = edge.bounds[1] + _edge_gap(site, zone)
        if edge.intersection(trim).length > 0.5 * edge.length:
            at = min((v for v in lower if v > at), default=area.bounds[1])
    else:
        at = area.bounds[1]
    width, pitch = site.boards.width, site.boards.width + site.gaps.course
    # Over ledger or rim a ripped course should still lie with half its width on the joists, for its joints.
    need = max(site.pattern.min_rip, min(2 * site.frame.section[0], WIDEST_RIP_WANTED * width))
    shifts = np.arange(0.0, max(RIP_STEP, width - site.pattern.min_rip), RIP_STEP)
    narrowest = np.full(len(shifts), np.inf)
    for edge_at in lower:
        rip = width - np.mod(edge_at - (at - shifts), pitch)
        narrowest = np.minimum(narrowest, np.where(rip <= 0, width, rip))
    for edge_at in upper:
        rip = np.mod(edge_at - (at - shifts), pitch)
        narrowest = np.minimum(narrowest, np.where(rip < 0.01, width, np.minimum(rip, width)))
    best = 0 if narrowest[0] >= need else int(np.argmax(narrowest))
    rips = np.minimum(narrowest, width)
    return Start(float(at - shifts[best]), float(shifts[best]), float(rips[best]), float(rips[0]))


def _edge_gap(site: Site, zone: ZoneArea) -> float:
    """What the first course keeps off its start edge [mm]."""
    if zone.at_wall:
        bulging = surveyed_line(site)
        along = 0.0 if bulging is None else zone.start.intersection(bulging.buffer(1.0)).length
        return site.gaps.wall + (moved_out(site, site.wall_survey.edge) if site.wall_survey and along else 0.0)
    at_seam = zone.start.intersection(zone.seams.buffer(1.0)).length > 0.5 * zone.start.length
    return site.gaps.course / 2 if at_seam else 0.0


def _edges_along(area: BaseGeometry, shortest: float) -> tuple[list[float], list[float]]:
    """Where the field's edges run along the boards: those with the field above, and those with it below."""
    lower: list[float] = []
    upper: list[float] = []
    for polygon in shapely.get_parts(area):
        oriented = shapely.geometry.polygon.orient(polygon)  # field on the left of every edge
        for ring in (oriented.exterior, *oriented.interiors):
            coords = np.asarray(ring.coords)
            for a, b in pairwise(coords):
                if abs(b[0] - a[0]) > shortest and along_boards(np.array((a, b))):
                    (lower if b[0] > a[0] else upper).append(float(max(a[1], b[1]) if b[0] > a[0] else min(a[1], b[1])))
    return lower, upper

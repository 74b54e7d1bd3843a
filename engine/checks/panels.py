"""Checks of what boards are parted for: lift-out panels, which one person should be able to lift, and posts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry import box

from ..frame.openings import LEAST_BEARING
from ..laid import LaidZone
from ..layout.hatch import Hatch
from ..layout.obstacles import obstacle_polygon
from ..layout.partings import holes_round, rising
from ..layout.pieces import LaidPiece
from ..plan import Check
from ..spec import Site
from ..standards import hse_l23
from ..standards.en_338 import MEAN_DENSITY
from .sources import PRACTICE

STANDING = "the frame stands already: trim it round the panel first, and give it as it is then"
LEAST_OVER = 100.0
"""What lies over a lid by less than this does not hold it down [mm2]."""


def panel_checks(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
    """A line for every lift-out panel with its size and mass, and for every obstacle that could have none."""
    found = []
    panels = [(zone, hatch) for zone in zones for hatch in zone.hatches]
    refused = {refusal.name: refusal.why for zone in zones for refusal in zone.no_hatches}
    for obstacle in site.obstacles:
        if obstacle.treatment != "hatch":
            continue
        own = [(zone, hatch) for zone, hatch in panels if hatch.name == obstacle.name]
        for zone, hatch in own:
            found.append(_panel(site, zone, hatch))
        over = list(_over(zones, obstacle_polygon(obstacle), site.frame.section[0])) if own else []
        if over:
            text = f"{obstacle.name} cannot be reached through its panel alone: in the way are {', '.join(over)}"
            found.append(Check(f"hatch {obstacle.name}", PRACTICE, len(over), 0, "parts", False, text))
        if not own:
            missing = STANDING if site.frame.state == "existing" else "no board of a field lies over it"
            text = f"{obstacle.name} has no lift-out panel: {refused.get(obstacle.name, missing)}"
            found.append(Check(f"hatch {obstacle.name}", PRACTICE, 0, 1, "panels", False, text))
    return found


def _panel(site: Site, zone: LaidZone, hatch: Hatch) -> Check:
    name = f"{zone.field.zone}-H{hatch.number}"
    boards = [piece for piece in zone.pieces if piece.id.startswith(f"{name}-")]
    battens = [member for member in zone.frame if member.id.startswith(f"{zone.field.zone}-hatch-{hatch.number}-")]
    section = site.frame.section[0] ** 2
    timber = sum(batten.length for batten in battens) * section * 1e-9 * MEAN_DENSITY[site.frame.grade]
    mass = round(sum(map(_area, boards)) / site.boards.width * 1e-3 * site.boards.mass_per_metre + timber, 1)
    x0, y0, x1, y1 = shapely.union_all([piece.polygon for piece in boards]).bounds
    text = (
        f"{name} over {hatch.name} lifts out: {x1 - x0:.0f} x {y1 - y0:.0f} mm, {mass:g} kg; rip its battens from "
        "the frame's timber, and let their ends rest on cleats at the noggings beside them"
    )
    if mass > hse_l23.MAN:
        text += f"; one man lifts {hse_l23.MAN:g} kg, and that close to his body: split it, each part with battens"
    return Check(f"hatch {name}", hse_l23.SOURCE, mass, hse_l23.MAN, "kg", mass <= hse_l23.MAN, text)


def _area(piece: LaidPiece) -> float:
    return float(piece.polygon.area)


def _over(zones: Sequence[LaidZone], lid: shapely.Polygon, breadth: float) -> Iterator[str]:
    """Boards and timbers that lie over a lid and do not lift out."""
    for zone in zones:
        for piece in zone.boards:
            fixed = piece.kind not in ("hatch", "fascia")
            if fixed and piece.axes.to_local(lid).intersection(piece.polygon).area > LEAST_OVER:
                yield piece.id
        here = zone.field.axes.to_local(lid)
        for member in zone.frame:
            if member.depth is None and member.footprint(breadth).intersection(here).area > LEAST_OVER:
                yield member.id


def parted_checks(site: Site, zones: Sequence[LaidZone]) -> list[Check]:
    """A line for every board that cannot be got round its post, and every end there that does not bear as it should."""
    found = []
    half, breadth = site.gaps.butt / 2, site.frame.section[0]
    for zone in zones:
        for piece in zone.boards:
            if piece.polygon.interiors and holes_round(piece.polygon, rising(site, piece.axes)):
                text = f"{piece.id} closes round a post and is not parted there: slip it on before the post stands"
                found.append(Check(f"closed {piece.id}", PRACTICE, 1, 0, "holes", False, text))
        under = {joint.pieces: joint.joists for joint in zone.joints}
        pieces = {piece.id: piece for piece in zone.pieces}
        members = {member.id: member for member in zone.frame}
        for butt in zone.butts:
            if butt.line is not None:
                continue
            for name, member, low, high in (
                (butt.left, under[butt.left, butt.right][0], -half - LEAST_BEARING, -half),
                (butt.right, under[butt.left, butt.right][1], half, half + LEAST_BEARING),
            ):
                polygon = pieces[name].polygon
                end = polygon.intersection(box(butt.at + low, polygon.bounds[1], butt.at + high, polygon.bounds[3]))
                borne = members[member].footprint(breadth).intersection(end).area
                if borne < LEAST_BEARING * min(LEAST_BEARING, pieces[name].width / 2):
                    x, y = zone.field.axes.point_to_site(butt.at, butt.across)
                    text = f"{name} lacks support at its end near [{x:.0f}, {y:.0f}]: add noggings beside the obstacle"
                    depth = round(borne / LEAST_BEARING, 1)
                    found.append(Check(f"support {name}", PRACTICE, depth, LEAST_BEARING, "mm", False, text))
    return found

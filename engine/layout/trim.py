"""Edge boards butted and cut: where the strips of borders, nosings and dividers are jointed, and their pieces."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median

from shapely.geometry import Point, Polygon

from ..edge_boards import edge_lengths
from ..spec import Site
from .axes import PARALLEL, Axes, parallel
from .bodies import bodies_of
from .border import Mitre, Strip
from .clip import within
from .courses import Field, Run, is_box, solid_parts
from .grid import Grid
from .joints import CROWDED, LEAST_STAGGER, NEW_LINE, JointedRun
from .pieces import ButtJoint, LaidPiece, laid_piece
from .search import cheapest_joints, stretch


@dataclass(frozen=True, slots=True)
class JointedStrip:
    """A strip, the lines on which it may be butted, and those on which it is; places are along its own axes."""

    strip: Strip
    run: Run
    rungs: tuple[float, ...]
    lines: tuple[int, ...]
    places: tuple[float, ...]
    with_field: bool
    """Whether its lines are the field's joist lines, since it runs along the boards."""


def along_field(strip: Strip, field: Field) -> bool:
    """Whether a strip runs along the field's boards, so that their joists cross it; under a divider they end."""
    return not strip.divides and parallel(strip.axes, field.axes)


FieldLines = Callable[[float, float, float], dict[int, float]]
"""The field's joist lines between two places along the boards, by number: where each lies at a place across them."""


def joint_strips(
    site: Site, strips: Sequence[Strip], field: Field, lines_at: FieldLines, jointed: Sequence[JointedRun]
) -> tuple[JointedStrip, ...]:
    """Butt every strip that no board spans, clear of the joints in the boards beside it."""
    beside = [(u, (item.run.bottom + item.run.top) / 2) for item in jointed for u in item.places]
    beside += field.butted_beside
    doubled = frozenset(line for item in jointed for line in item.lines)
    done: list[JointedStrip] = []
    own: dict[str, Grid] = {}
    for strip in strips:
        run = _run(strip)
        with_field = along_field(strip, field)
        if with_field:
            rungs = _field_lines(strip, field, lines_at)
        else:
            # All rings of an edge lie on the same rungs.
            spaced = own.setdefault(strip.edge, _own_grid(site, run))
            rungs = {j: spaced.at(j) for j in spaced.between(run.start - 1.0, run.end + 1.0)}
        lines: tuple[int, ...] = ()
        if stretch(run) > max(edge_lengths(site)):
            taken = _taken(site, strip, beside, field) + [
                place for other in done if _beside(site, strip, other.strip) for place in other.places
            ]
            lines = _lines(site, run, rungs, taken, doubled if with_field else frozenset())
        order = sorted(lines, key=lambda j: rungs[j])
        places = tuple(rungs[j] for j in order)
        done.append(JointedStrip(strip, run, tuple(rungs.values()), tuple(order), places, with_field))
    return tuple(done)


def _run(strip: Strip) -> Run:
    start, bottom, end, top = strip.polygon.bounds
    return Run(strip.ring, strip.polygon, start, end, bottom, top, strip.whole, (0.0, 0.0))


def _beside(site: Site, strip: Strip, other: Strip) -> bool:
    """Whether two strips are neighbouring rings of one edge."""
    same = abs(strip.axes.angle - other.axes.angle) < PARALLEL
    return same and bool(other.polygon.distance(strip.polygon) < site.gaps.course + 1.0)


def _taken(site: Site, strip: Strip, beside: Sequence[tuple[float, float]], field: Field) -> list[float]:
    """Where along a strip the boards of fields beside it are butted; `beside` is in the field's axes."""
    if not parallel(strip.axes, field.axes):
        return []
    shape = field.axes.to_local(strip.axes.to_site(strip.polygon))
    reach = site.boards.width / 2 + site.gaps.course + 1.0
    return [_along(strip.axes, field, u, v) for u, v in beside if shape.distance(Point(u, v)) < reach]


def _along(axes: Axes, field: Field, u: float, v: float) -> float:
    """A place of the field along a strip's axes."""
    x, y = field.axes.point_to_site(u, v)
    angle = math.radians(axes.angle)
    return x * math.cos(angle) + y * math.sin(angle)


def _field_lines(strip: Strip, field: Field, lines_at: FieldLines) -> dict[int, float]:
    x0, y0, x1, y1 = field.axes.to_local(strip.axes.to_site(strip.polygon)).bounds
    across = (y0 + y1) / 2
    return {j: _along(strip.axes, field, u, across) for j, u in lines_at(x0, x1, across).items()}


def _own_grid(site: Site, run: Run) -> Grid:
    """Even rungs from end to end, or where a run needs more than a board, such that a full board ends on one."""
    longest, butt, breadth = max(edge_lengths(site)), site.gaps.butt, site.frame.section[0]
    if stretch(run) > longest:
        cycle = math.ceil((longest + butt) / site.frame.max_centres - 1e-9)
        return Grid((longest + butt) / cycle, run.start - butt / 2, cycle)
    span = max(run.end - run.start - breadth, breadth)
    return Grid(span / max(1, math.ceil(span / site.frame.max_centres - 1e-9)), run.start + breadth / 2, 1)


def _lines(
    site: Site, run: Run, rungs: dict[int, float], taken: Sequence[float], doubled: frozenset[int]
) -> tuple[int, ...]:
    """The rungs at which a run is butted: clear of joints beside it, on lines that are doubled anyway if it can."""
    breadth = site.frame.section[0]
    order = sorted(rungs, key=lambda j: rungs[j])
    inside = [j for j in order if run.start + breadth < rungs[j] < run.end - breadth]
    module = median([rungs[b] - rungs[a] for a, b in pairwise(order)] or [site.frame.max_centres])
    free = [j for j in inside if all(abs(rungs[j] - place) > breadth + 1.0 for place in taken)]

    def toll(j: int) -> float:
        crowded = any(abs(rungs[j] - place) < LEAST_STAGGER * module - 1.0 for place in taken)
        return 1.0 + CROWDED * crowded + NEW_LINE * bool(doubled and j not in doubled)

    for candidates in (free, inside):
        at, tolls = [rungs[j] for j in candidates], [toll(j) for j in candidates]
        found = cheapest_joints(site, run, candidates, at, tolls, module)
        if found is not None:
            return found
    return ()


def cut_strips(
    site: Site, jointed: Sequence[JointedStrip]
) -> tuple[tuple[LaidPiece, ...], tuple[tuple[JointedStrip, ButtJoint], ...]]:
    """Cut strips at their joints; each joint comes with the strip that it lies in."""
    half = site.gaps.butt / 2
    pieces: list[LaidPiece] = []
    joints: list[tuple[JointedStrip, ButtJoint]] = []
    numbers: dict[str, int] = {}
    for item in jointed:
        strip, run = item.strip, item.run
        cuts = [run.start - half, *item.places, run.end + half]
        before: LaidPiece | None = None
        for k, (start, end) in enumerate(pairwise(cuts)):
            part = _part(strip.polygon, start + half, end - half)
            if part is None:
                before = None
                continue
            numbers[strip.name] = numbers.get(strip.name, 0) + 1
            piece = laid_piece(site, f"{strip.name}-{numbers[strip.name]}", strip.axes, strip.ring, part, strip.kind)
            if before is not None:
                across = (run.bottom + run.top) / 2
                joints.append(
                    (item, ButtJoint(strip.ring, item.lines[k - 1], item.places[k - 1], before.id, piece.id, across))
                )
            pieces.append(piece)
            before = piece
    return tuple(pieces), tuple(joints)


def _part(polygon: Polygon, start: float, end: float) -> Polygon | None:
    """What of a strip lies between two places; cut at a joint beside an obstacle, the larger part."""
    if is_box(polygon) and start <= polygon.bounds[0] and end >= polygon.bounds[2]:
        return polygon
    cut = within(polygon, (start, polygon.bounds[1] - 1.0, end, polygon.bounds[3] + 1.0))
    return max(solid_parts(cut), key=lambda part: part.area, default=None)


@dataclass(frozen=True, slots=True)
class EdgeBoards:
    """A zone's border, nosing and divider boards, each in axes along its own edge, and the corners they meet at."""

    strips: tuple[JointedStrip, ...] = ()
    pieces: tuple[LaidPiece, ...] = ()
    joints: tuple[tuple[JointedStrip, ButtJoint], ...] = ()
    mitres: tuple[Mitre, ...] = ()

    def runs_with_field(self, axes: Axes) -> tuple[JointedRun, ...]:
        """Strips along the boards as runs of the field, so that its joists are doubled under their joints.

        There the doubled joists run through to the deck's edge.
        """
        runs = []
        for item in self.strips:
            if item.with_field and item.lines:
                polygon = axes.to_local(item.strip.axes.to_site(item.strip.polygon))
                start, bottom, end, top = polygon.bounds
                run = Run(item.strip.ring, polygon, start, end, bottom, top, is_box(polygon), (0.0, 0.0))
                runs.append(JointedRun(run, item.lines, (), item.lines))
        return tuple(runs)

    def pieces_with_field(self, axes: Axes) -> tuple[LaidPiece, ...]:
        """Pieces that the field's joists cross, in its axes."""
        names = {item.strip.name for item in self.strips if item.with_field}
        return tuple(in_axes(piece, axes) for piece in self.pieces if piece.id.rpartition("-")[0] in names)


def edge_boards(
    site: Site,
    strips: Sequence[Strip],
    mitres: tuple[Mitre, ...],
    field: Field,
    lines_at: FieldLines,
    jointed: Sequence[JointedRun],
) -> EdgeBoards:
    """Joint and cut all strips of a zone."""
    done = joint_strips(site, strips, field, lines_at, jointed)
    pieces, joints = cut_strips(site, done)
    return EdgeBoards(done, pieces, joints, mitres)


def in_axes(piece: LaidPiece, axes: Axes) -> LaidPiece:
    """A piece as it lies in other axes, for the frame under it."""
    if piece.axes == axes:
        return piece
    polygon = axes.to_local(piece.axes.to_site(piece.polygon))
    whole = is_box(polygon)
    return replace(piece, polygon=polygon, box=polygon.bounds, axes=axes, whole=whole, bodies=bodies_of(polygon, whole))

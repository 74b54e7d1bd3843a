"""Whether a site hangs together: rings, edges, openings and obstacles, each fault in one line."""

from __future__ import annotations

import math
import re
from datetime import datetime
from functools import lru_cache
from itertools import combinations

import shapely
from shapely.geometry import Polygon

from .cutplan.naming import timber_name
from .edge_boards import edge_lengths
from .errors import SiteError
from .layout.courses import SLIVER
from .layout.decks import FIRST, deck_field, decks_of
from .layout.obstacles import obstacle_polygon
from .layout.rings import edges_of
from .spec import Deck, House, Obstacle, Ring, Site
from .standards.en_338 import MEAN_DENSITY

SAME_POINT = 0.5
"""Corners nearer to each other than this are one corner written twice [mm]."""
OVERLAP = 100.0
"""Zones or decks that share no more than this meet as well as they can be drawn [mm2]."""
LARGEST_DECK = 10_000.0
"""A larger deck is rather one drawn in other units [m2]: ours, a boardwalk of some three kilometres."""
LONGEST_DECK = 10_000.0
"""A longer one likewise [m]."""
_EDGE_NUMBER = re.compile(r"0|[1-9][0-9]{0,5}")


def check_site(site: Site) -> None:
    """Raise `SiteError` for the first thing in a site that cannot be planned."""
    for number, deck in enumerate(decks_of(site)):
        _check_deck(deck, deck_field(number))
    _check_decks_apart(site)
    _check_first_deck(site)
    _check_zones(site)
    _check_wall_survey(site)
    if site.house is not None:
        _check_ring(site.house.walls, "house.walls")
        _check_house_openings(site.house)
        _check_clear_of_house(site, site.house)
    _check_obstacles(site)
    _check_boards(site)
    _check_stock(site)
    _check_standing_frame(site)
    _check_frame(site)
    _check_time(site.look.when)


@lru_cache(maxsize=256)  # asked again at every step of a choice that is dragged
def _check_ring(ring: Ring, field: str) -> None:
    count = len(ring)
    if math.dist(ring[0], ring[-1]) < SAME_POINT:
        raise SiteError(f"{field}[{count - 1}]", _at(ring[-1]), "same as the first corner; the ring closes by itself")
    for i in range(1, count):
        if math.dist(ring[i], ring[i - 1]) < SAME_POINT:
            raise SiteError(f"{field}[{i}]", _at(ring[i]), f"same as corner {i - 1}; leave one of them out")
    lines = edges_of(ring)
    for i, j in combinations(range(count), 2):
        neighbours = j == i + 1 or (i == 0 and j == count - 1)
        if not neighbours and lines[i].intersects(lines[j]):
            where = lines[i].intersection(lines[j]).centroid.coords[0]
            raise SiteError(field, f"edges {i} and {j} cross at {_at(where)}", "draw the line without crossings")
    shape = Polygon(ring)
    if not shape.is_valid or shape.area < 1.0:
        reason = shapely.is_valid_reason(shape)
        raise SiteError(field, f"folds back on itself ({reason})", "draw a line that encloses an area")


def _check_size(outline: Ring, field: str) -> None:
    shape = Polygon(outline)
    x0, y0, x1, y1 = shape.bounds
    wide, deep, area = (x1 - x0) / 1e3, (y1 - y0) / 1e3, shape.area / 1e6
    if area > LARGEST_DECK or max(wide, deep) > LONGEST_DECK:
        raise SiteError(field, f"measures {wide:.4g} m by {deep:.4g} m", "are `units` those it is drawn in?")


def _check_deck(deck: Deck, field: str) -> None:
    _check_ring(deck.outline, f"{field}.outline")
    _check_size(deck.outline, f"{field}.outline")
    for i, ring in enumerate(deck.openings):
        _check_ring(ring, f"{field}.openings[{i}]")
    _check_deck_edges(deck, field)
    _check_deck_openings(deck, field)


def _check_deck_edges(deck: Deck, field: str) -> None:
    named = [(f"{field}.start_edge", deck.start_edge)] if deck.start_edge is not None else []
    named += [(f"{field}.house_edges[{i}]", edge) for i, edge in enumerate(deck.house_edges or ())]
    for key in deck.edge_finish:
        if _EDGE_NUMBER.fullmatch(key):
            named.append((f"{field}.edge_finish.{key}", int(key)))
        elif key != "default":
            raise SiteError(f"{field}.edge_finish.{key}"[:80], "unknown key", "give 'default' or the number of an edge")
    _check_edge_numbers(named, deck, field)


def _check_first_deck(site: Site) -> None:
    """What numbers edges of `[deck]`, whatever other decks there are."""
    named = [(f"pattern.border.edges[{i}]", edge) for i, edge in enumerate(site.pattern.border.edges)]
    if site.wall_survey is not None:
        named.append(("wall_survey.edge", site.wall_survey.edge))
    _check_edge_numbers(named, site.deck, "deck")


def _check_edge_numbers(named: list[tuple[str, int]], deck: Deck, where: str) -> None:
    for field, edge in named:
        if edge >= len(deck.outline):
            raise SiteError(field, edge, f"{where}.outline has edges 0 to {len(deck.outline) - 1}")


def _check_deck_openings(deck: Deck, field: str) -> None:
    outline = Polygon(deck.outline)
    shapes = [Polygon(ring) for ring in deck.openings]
    for i, shape in enumerate(shapes):
        if not outline.contains_properly(shape):
            wanted = "keep the opening inside, or draw the outline round it"
            raise SiteError(f"{field}.openings[{i}]", f"reaches {field}.outline", wanted)
    for (i, a), (j, b) in combinations(enumerate(shapes), 2):
        if a.intersects(b):
            raise SiteError(f"{field}.openings[{j}]", f"meets {field}.openings[{i}]", "draw the two as one opening")


def _check_decks_apart(site: Site) -> None:
    names = [deck.name for deck in site.decks]
    for i, name in enumerate(names):
        if name in (FIRST, *names[:i]):
            raise SiteError(f"decks[{i}].name", repr(name), "another deck is called so; give each a name of its own")
    shapes = [Polygon(deck.outline) for deck in decks_of(site)]
    for (i, a), (j, b) in combinations(enumerate(shapes), 2):
        if a.intersection(b).area > OVERLAP:
            wanted = "let decks meet, not overlap"
            raise SiteError(f"{deck_field(j)}.outline", f"overlaps {deck_field(i)}.outline", wanted)


def _check_zones(site: Site) -> None:
    outlines = [Polygon(deck.outline).buffer(1.0, join_style="mitre") for deck in decks_of(site)]
    for i, zone in enumerate(site.zones):
        field = f"zones[{i}] '{zone.name}'"
        _check_ring(zone.outline, f"{field} outline")
        if zone.start_edge >= len(zone.outline):
            raise SiteError(
                f"{field} start_edge", zone.start_edge, f"its outline has edges 0 to {len(zone.outline) - 1}"
            )
        if not any(outline.covers(Polygon(zone.outline)) for outline in outlines):
            if site.decks:
                raise SiteError(field, "lies in no single deck", "keep the zone inside one deck")
            raise SiteError(field, "leaves deck.outline", "keep the zone inside the deck")
    for (i, a), (j, b) in combinations(enumerate(site.zones), 2):
        if Polygon(a.outline).intersection(Polygon(b.outline)).area > OVERLAP:
            raise SiteError(f"zones[{j}] '{b.name}'", f"overlaps zones[{i}] '{a.name}'", "let zones meet, not overlap")


def _check_wall_survey(site: Site) -> None:
    survey, ring = site.wall_survey, site.deck.outline
    if survey is None:
        return
    length = math.dist(ring[survey.edge], ring[(survey.edge + 1) % len(ring)])
    if site.deck.house_edges is not None and survey.edge not in site.deck.house_edges:
        raise SiteError("wall_survey.edge", survey.edge, "it is none of deck.house_edges; name an edge at a wall")
    for i, (along, _) in enumerate(survey.offsets):
        if not -SAME_POINT <= along <= length + SAME_POINT:
            raise SiteError(
                f"wall_survey.offsets[{i}]", f"{along:g} mm along", f"edge {survey.edge} is {length:.0f} mm long"
            )


def _check_house_openings(house: House) -> None:
    count = len(house.walls)
    spans: dict[int, list[tuple[float, float, float, float, int]]] = {}
    for i, opening in enumerate(house.openings):
        field = f"house.openings[{i}]"
        if opening.wall >= count:
            raise SiteError(f"{field}.wall", opening.wall, f"house.walls has edges 0 to {count - 1}")
        length = math.dist(house.walls[opening.wall], house.walls[(opening.wall + 1) % count])
        end, top = opening.offset + opening.width, opening.sill + opening.height
        if end > length + SAME_POINT:
            raise SiteError(field, f"ends at {end:g} mm", f"wall {opening.wall} is {length:.0f} mm long")
        if top > house.height:
            raise SiteError(field, f"head at {top:g} mm", f"the eaves are at {house.height:g} mm")
        for start, stop, low, high, other in spans.get(opening.wall, []):
            if opening.offset < stop and end > start and opening.sill < high and top > low:
                raise SiteError(field, f"overlaps house.openings[{other}]", "keep openings of one wall apart")
        spans.setdefault(opening.wall, []).append((opening.offset, end, opening.sill, top, i))


def _check_clear_of_house(site: Site, house: House) -> None:
    for number, deck in enumerate(decks_of(site)):
        _check_clear_of_walls(deck.outline, house.walls, f"{deck_field(number)}.outline")


@lru_cache(maxsize=64)  # asked again at every step of a choice that is dragged
def _check_clear_of_walls(outline: Ring, walls: Ring, field: str) -> None:
    inside = Polygon(outline).intersection(Polygon(walls).buffer(-10.0, join_style="mitre"))
    if inside.area > 1.0:
        where = _at(inside.representative_point().coords[0])
        raise SiteError(field, f"runs into the house at {where}", "follow the outer faces of house.walls")


def _check_obstacles(site: Site) -> None:
    outlines = tuple(deck.outline for deck in decks_of(site))
    for i, obstacle in enumerate(site.obstacles):
        _check_obstacle(obstacle, outlines, f"obstacles[{i}] '{obstacle.name}'")


@lru_cache(maxsize=256)  # asked again at every step of a choice that is dragged
def _check_obstacle(obstacle: Obstacle, outlines: tuple[Ring, ...], field: str) -> None:
    if obstacle.outline is not None:
        _check_ring(obstacle.outline, field)
    shape, decks = obstacle_polygon(obstacle), shapely.union_all([Polygon(outline) for outline in outlines])
    if not shape.intersects(decks):
        gap = shape.distance(decks)
        where = "every deck" if len(outlines) > 1 else "deck.outline"
        raise SiteError(field, f"lies {gap:.0f} mm outside {where}", "move it onto the deck, or leave it out")


def _check_boards(site: Site) -> None:
    if site.boards.width < SLIVER:
        raise SiteError("boards.width", f"{site.boards.width:g} mm", f"wood narrower than {SLIVER:g} mm is not laid")
    squared, need = 2 * site.pattern.square_up, site.frame.max_centres * site.pattern.min_piece_bays
    longest = max(site.boards.lengths)
    shortest = min(*site.boards.lengths, *edge_lengths(site))
    if shortest <= squared:
        found = f"{site.pattern.square_up:g} mm off each end"
        wanted = f"leaves nothing of a board of {shortest:g} mm"
        raise SiteError("pattern.square_up", found, wanted)
    if squared and longest - squared < need:
        found = f"{longest:g} mm less {site.pattern.square_up:g} mm off each end"
        raise SiteError("pattern.square_up", found, f"a piece may have to span {need:g} mm; square up less")
    if longest < need:
        bays = f"pattern.min_piece_bays {site.pattern.min_piece_bays}"
        wanted = f"{bays} at frame.max_centres {site.frame.max_centres:g} mm asks for {need:g} mm at least"
        raise SiteError("boards.lengths", f"the longest board is {longest:g} mm", wanted)


def _check_stock(site: Site) -> None:
    timber = timber_name(site)
    for i, own in enumerate(site.stock):
        known = [site.boards.product, *([site.edge_boards.product] if site.edge_boards else []), timber]
        if own.product not in (None, *known):
            wanted = f"this deck is cut from {', '.join(map(repr, known[:-1]))} and '{timber}'"
            raise SiteError(f"stock[{i}].product", repr(own.product), wanted)
        squared = 0.0 if own.product == timber else 2 * site.pattern.square_up
        if own.length <= squared:
            wanted = f"pattern.square_up takes {squared:g} mm off it; leave it out"
            raise SiteError(f"stock[{i}].length", f"{own.length:g} mm", wanted)


def _check_frame(site: Site) -> None:
    frame, breadth = site.frame, site.frame.section[0]
    if frame.grade not in MEAN_DENSITY:
        raise SiteError("frame.grade", repr(frame.grade), f"the strength classes known are {', '.join(MEAN_DENSITY)}")
    if frame.max_centres < 2 * breadth:
        wanted = f"joists {breadth:g} mm broad leave no bay between them; {2 * breadth:g} mm at least"
        raise SiteError("frame.max_centres", f"{frame.max_centres:g} mm", wanted)
    if isinstance(frame.centres, float) and not 2 * breadth <= frame.centres <= frame.max_centres:
        wanted = f"from {2 * breadth:g} mm to frame.max_centres, {frame.max_centres:g} mm, or 'module' or 'even'"
        raise SiteError("frame.centres", f"{frame.centres:g} mm", wanted)
    if max(frame.stock_lengths) < frame.max_centres:
        wanted = f"a timber must reach over a bay, frame.max_centres {frame.max_centres:g} mm"
        raise SiteError("frame.stock_lengths", f"the longest is {max(frame.stock_lengths):g} mm", wanted)
    if breadth - site.gaps.butt / 2 < 20.0:
        raise SiteError(
            "frame.section[0]",
            f"{breadth:g} mm",
            f"a board end must bear 20 mm beside half a butt gap of {site.gaps.butt:g} mm; use a broader joist",
        )


def _check_standing_frame(site: Site) -> None:
    frame = site.frame
    if frame.state == "new":
        return
    if not frame.joists:
        raise SiteError("frame.joists", "missing", "a frame that stands needs the centre lines of its joists")
    for field, given in (("zones", site.zones), ("decks", site.decks)):
        if given:
            wanted = f"plan each {field[:-1]} on it as a site of its own"
            raise SiteError(field, "given with a standing frame", wanted)
    for i, (start, end) in enumerate(frame.joists):
        if math.dist(start, end) < SAME_POINT:
            raise SiteError(f"frame.joists[{i}]", f"both ends at {_at(start)}", "give two ends")
    for i, number in enumerate(frame.doubled):
        if number >= len(frame.joists):
            raise SiteError(f"frame.doubled[{i}]", number, f"frame.joists has numbers 0 to {len(frame.joists) - 1}")


def _check_time(when: str) -> None:
    try:
        moment = datetime.fromisoformat(when)
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None:
        raise SiteError("look.when", repr(when), "write date, time and offset, as '2027-06-21T17:00+01:00'")


def _at(point: tuple[float, ...]) -> str:
    return f"[{point[0]:g}, {point[1]:g}]"

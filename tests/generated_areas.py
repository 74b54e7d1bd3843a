"""Sites of many parts that no one drew with the tool in mind: zones, seams, borders, steps, hatches, several decks.

Random ones by number and seed, and hard ones made by hand. Each begins as a site of `generated_sites`.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Any

from generated_sites import Ring, Site, generated_site
from shapely import LineString, Polygon
from shapely.ops import split

BASE_SEED = 30300
"""Seed of the plain sites that these begin as; other ones than those of `generated_sites`."""
SMALLEST_ZONE = 0.05
"""Least part of the deck [m2] that a chord cuts off to become a zone."""
BETWEEN_DECKS = 1500.0
"""From one deck to the next [mm]."""


def generated_area(number: int, seed: int = 20261) -> Site:
    """One random site of many parts; the same number and seed always give the same."""
    chance = random.Random(seed * 100_003 + number)
    site = generated_site(number, BASE_SEED)
    site["name"] = f"generated area {seed}-{number}"
    if chance.random() < 0.2:
        _curve(chance, site)
    deck = site["deck"]
    deck["surface"] = float(chance.choice([90, 150, 150, 180, 300, 420, 590]))
    deck["edge_finish"] = _finishes(chance, len(deck["outline"]), set(deck["house_edges"]))
    if chance.random() < 0.6:
        site["zones"] = _zones(chance, deck["outline"])
    site["pattern"]["seam"] = chance.choice(["mitre", "divider"])
    courses = chance.choice([0, 1, 1, 1, 2, 2, 3])
    edges = list(range(len(deck["outline"])))
    chosen = sorted(chance.sample(edges, chance.randint(1, len(edges)))) if chance.random() < 0.3 else []
    site["pattern"]["border"] = {
        "courses": courses,
        "edges": [i for i in chosen if i not in deck["house_edges"]],
        "corners": chance.choice(["mitre", "mitre", "butt"]),
    }
    for obstacle in site["obstacles"]:
        if chance.random() < 0.35:
            obstacle["treatment"] = "hatch"
            obstacle["kind"] = chance.choice(["gully", "cover"])
    further = chance.random() < 0.25
    if chance.random() < 0.3:
        _house(chance, site)
    if further:
        site["decks"] = _further_decks(chance, deck["outline"] + site.get("house", {}).get("walls", []))
    return site


def _finishes(chance: random.Random, edges: int, house: set[int]) -> dict[str, str]:
    default = chance.choice(["flush", "flush", "trim", "step", "fascia"])
    free = [i for i in range(edges) if i not in house]
    chosen = chance.sample(free, chance.randint(0, min(3, len(free))))
    return {"default": default} | {str(i): chance.choice(["flush", "trim", "step", "step", "fascia"]) for i in chosen}


def _curve(chance: random.Random, site: Site) -> None:
    """Put a deck with one rounded side in the place of the site's own."""
    width = float(chance.randrange(2500, 8000, 100))
    depth = float(chance.randrange(800, 3000, 100))
    rise = float(chance.randrange(300, int(width / 2), 50))
    points = chance.randint(20, 60)
    radius = (width**2 / 4 + rise**2) / (2 * rise)
    middle = (width / 2, depth + rise - radius)
    half = math.asin(min(1.0, width / 2 / radius))
    if rise > radius:
        half = math.pi - half
    turns = [half - 2 * half * k / points for k in range(points + 1)]
    arc = [(round(middle[0] + radius * math.sin(t), 1), round(middle[1] + radius * math.cos(t), 1)) for t in turns]
    site["deck"] |= {"outline": [(0.0, 0.0), (width, 0.0), *arc], "openings": [], "house_edges": [0], "start_edge": 0}
    inside = Polygon(site["deck"]["outline"]).buffer(-400)
    site["obstacles"] = [o for o in site["obstacles"] if inside.contains(LineString([o["centre"]] * 2).centroid)]


def _zones(chance: random.Random, ring: Ring) -> list[Site]:
    """Cut the outline by one chord or two, and lay one or two of its parts in a way of their own."""
    pieces = [Polygon(ring)]
    low_x, low_y, high_x, high_y = pieces[0].bounds
    reach = math.hypot(high_x - low_x, high_y - low_y)
    for _ in range(chance.choice([1, 1, 2])):
        through = pieces[0].representative_point()
        turn = math.radians(chance.choice([0.0, 90.0, 45.0, chance.uniform(0, 180)]))
        x = through.x + chance.uniform(-0.25, 0.25) * (high_x - low_x)
        y = through.y + chance.uniform(-0.25, 0.25) * (high_y - low_y)
        step = (reach * math.cos(turn), reach * math.sin(turn))
        chord = LineString([(x - step[0], y - step[1]), (x + step[0], y + step[1])])
        pieces = [part for piece in pieces for part in split(piece, chord).geoms]
    pieces = [p for p in pieces if p.area > SMALLEST_ZONE * 1e6]
    chance.shuffle(pieces)
    zones = []
    for k, piece in enumerate(pieces[: chance.choice([1, 1, 2])]):
        outline = [(float(px), float(py)) for px, py in piece.exterior.coords[:-1]]
        zones.append(
            {
                "name": f"part {k + 1}",
                "outline": outline,
                "start_edge": chance.randrange(len(outline)),
                "direction": chance.choice([0.0, 0.0, 90.0, 45.0, round(chance.uniform(0, 180), 1)]),
            }
        )
    return zones


def _further_decks(chance: random.Random, built: Ring) -> list[Site]:
    left = max(x for x, _ in built) + BETWEEN_DECKS
    decks = []
    for k in range(chance.choice([1, 1, 2])):
        width, depth = float(chance.randrange(1200, 5000, 50)), float(chance.randrange(1000, 4000, 50))
        lean = float(chance.choice([0, 0, chance.randrange(0, 600, 10)]))
        outline = [(left, 0.0), (left + width, 0.0), (left + width + lean, depth), (left, depth)]
        decks.append(
            {
                "name": f"deck {k + 2}",
                "outline": outline,
                "house_edges": chance.choice([[], [0]]),
                "surface": float(chance.choice([120, 150, 300])),
                "direction": chance.choice([0.0, 90.0, 45.0]),
                "edge_finish": {"default": chance.choice(["flush", "flush", "step", "fascia"])},
            }
        )
        left += width + lean + BETWEEN_DECKS
    return decks


def _house(chance: random.Random, site: Site) -> None:
    """Stand a house with a door behind one edge of a convex deck, and let the reader find the house edge."""
    ring = site["deck"]["outline"]
    shape = Polygon(ring)
    if shape.convex_hull.area > shape.area * 1.0001:
        return
    i = max(range(len(ring)), key=lambda k: math.dist(ring[k], ring[(k + 1) % len(ring)]))
    (x0, y0), (x1, y1) = ring[i], ring[(i + 1) % len(ring)]
    length = math.dist(ring[i], ring[(i + 1) % len(ring)])
    away = 3000.0 / length * (-1 if shape.exterior.is_ccw else 1)
    out = (-(y1 - y0) * away, (x1 - x0) * away)
    walls = [(x0, y0), (x1, y1), (x1 + out[0], y1 + out[1]), (x0 + out[0], y0 + out[1])]
    width = round(min(2400.0, 0.5 * length), 1)
    offset = round(chance.uniform(0.0, length - width), 1)
    door = {"wall": 0, "offset": offset, "width": width, "height": 2100.0, "kind": chance.choice(["door", "sliding"])}
    site["house"] = {"walls": walls, "openings": [door]}
    site["deck"]["house_edges"] = [i]
    site["deck"]["edge_finish"].pop(str(i), None)
    edges = site["pattern"]["border"]["edges"]
    site["pattern"]["border"]["edges"] = [k for k in edges if k != i]


def _site(name: str, ring: Ring, courses: int = 0, **tables: Any) -> Site:
    deck = {"outline": ring, "house_edges": [0]} | tables.pop("deck", {})
    pattern = {"border": {"courses": courses, "edges": [], "corners": "mitre"}} | tables.pop("pattern", {})
    return {"schema": 1, "name": name, "deck": deck, "pattern": pattern, **tables}


def _rectangle(width: float, depth: float) -> Ring:
    return [(0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)]


def zone_smaller_than_a_board() -> Site:
    """Give a strip of 90 x 700 mm a direction of its own, with a divider round it."""
    zone = {"name": "strip", "outline": [(3910.0, 500.0), (4000.0, 500.0), (4000.0, 1200.0), (3910.0, 1200.0)]}
    return _site("zone smaller than a board", _rectangle(4000, 2500), zones=[zone], pattern={"seam": "divider"})


def border_wider_than_the_deck() -> Site:
    """Ask for four rings on a deck of 500 mm: those of both sides need 1160 mm."""
    return _site("border wider than the deck", _rectangle(4000, 500), 4)


def nosing_beside_three_millimetres() -> Site:
    """Step down over a long edge and over an edge of 3 mm beside it."""
    ring = [(0, 0), (4000, 0), (4000, 2400), (2000, 2400), (2000, 2403), (0, 2403)]
    deck = {"edge_finish": {"default": "flush", "2": "step", "3": "step"}}
    return _site("nosing beside three millimetres", [(float(x), float(y)) for x, y in ring], deck=deck)


def steps_at_twenty_degrees() -> Site:
    """Let two step edges meet in a point of 20 degrees."""
    ring = [(0.0, 0.0), (5000.0, 0.0), (5000.0, round(5000 * math.tan(math.radians(20)), 1))]
    return _site("steps at twenty degrees", ring, deck={"house_edges": [1], "edge_finish": {"default": "step"}})


def hatch_at_the_edge() -> Site:
    """Put a drain that must be got at against the free side, and one in the corner."""
    lids = [
        {"name": f"drain at {x}", "kind": "gully", "centre": (x, y), "size": (300, 300), "treatment": "hatch"}
        for x, y in ((2000, 2350), (3850, 150))
    ]
    return _site("hatch at the edge", _rectangle(4000, 2500), obstacles=lids)


def hatch_over_a_joint_line() -> Site:
    """Put a cover where boards of 4 m meet."""
    lid = {"name": "cover", "kind": "cover", "centre": (4004, 1200), "size": (450, 600), "treatment": "hatch"}
    return _site("hatch over a joint line", _rectangle(8008, 2500), obstacles=[lid])


def divider_at_five_degrees() -> Site:
    """Lay two zones whose boards meet at five degrees, with a board between them."""
    zone = {"name": "east", "outline": [(3000.0, 0.0), (6000.0, 0.0), (6000.0, 3000.0), (3200.0, 3000.0)]}
    zone |= {"direction": 5.0, "start_edge": 0}
    return _site("divider at five degrees", _rectangle(6000, 3000), 1, zones=[zone], pattern={"seam": "divider"})


def post_in_a_border() -> Site:
    """Stand a post in the middle of a border board, and one where two of them are mitred."""
    posts = [
        {"name": f"post {k}", "kind": "post", "centre": centre, "size": (70, 70)}
        for k, centre in enumerate(((2000, 2430), (3930, 2430)))
    ]
    return _site("post in a border", _rectangle(4000, 2500), 1, obstacles=posts)


HARD_AREAS: tuple[Callable[[], Site], ...] = (
    zone_smaller_than_a_board,
    border_wider_than_the_deck,
    nosing_beside_three_millimetres,
    steps_at_twenty_degrees,
    hatch_at_the_edge,
    hatch_over_a_joint_line,
    divider_at_five_degrees,
    post_in_a_border,
)

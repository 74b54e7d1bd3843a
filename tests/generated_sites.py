"""Sites that no one drew with the tool in mind: random ones by number and seed, and hard ones made by hand.

Every site is a dict as `tomllib` would give it; `to_toml` writes it as a site file.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Any

from shapely import Point, Polygon

Site = dict[str, Any]
Ring = list[tuple[float, float]]

SHORTEST_EDGE = 60.0
"""Random outlines have no shorter edge [mm]; the hand-made sites see to those."""
MARGIN = 60.0
"""Least wood between an opening and the outline [mm]."""


def generated_site(number: int, seed: int = 20260) -> Site:
    """One random site; the same number and seed always give the same."""
    chance = random.Random(seed * 100_003 + number)
    ring = _outline(chance)
    outline = Polygon(ring)
    openings = _openings(chance, outline)
    edges = len(ring)
    along_house = chance.randint(0, max(1, edges // 2))
    first = chance.randrange(edges)
    deck: Site = {
        "outline": ring,
        "openings": openings,
        "house_edges": sorted((first + i) % edges for i in range(along_house)),
        "direction": chance.choice([0, 0, 0, 90, 90, 45, 135, 30, round(chance.uniform(0, 180), 1)]),
    }
    if chance.random() < 0.4:
        deck["start_edge"] = chance.randrange(edges)
    if chance.random() < 0.2:
        deck["edge_finish"] = {"default": "trim"}
    breadth, depth = chance.choice([(47, 147), (47, 147), (45, 145), (38, 140), (63, 150), (75, 200)])
    return {
        "schema": 1,
        "name": f"generated {seed}-{number}",
        "deck": deck,
        "obstacles": _obstacles(chance, outline),
        "boards": {
            "width": chance.choice([90, 120, 138, 140, 140, 146, 165, 190]),
            "thickness": chance.choice([22, 25]),
            "lengths": chance.choice([[3660], [4000], [4000], [3000], [2400, 4000], [3000, 5000], [5400]]),
        },
        "gaps": {
            "course": chance.choice([3, 5, 5, 6, 8]),
            "butt": chance.choice([3, 5, 8, 8, 10]),
            "wall": chance.choice([0, 5, 8, 8, 12]),
            "obstacle": chance.choice([5, 8, 8, 12]),
        },
        "pattern": {
            "joints": chance.choice(["half", "third", "scattered", "none"]),
            "min_piece_bays": chance.choice([1, 2, 2, 2, 3]),
            "kerf": chance.choice([2, 3, 4]),
        },
        "frame": {
            "section": [breadth, depth],
            "max_centres": chance.choice([300, 350, 400, 400, 450, 600]),
            "stock_lengths": chance.choice([[3600, 4200, 4800], [4800], [3000, 5400]]),
        },
    }


def _outline(chance: random.Random) -> Ring:
    shapes = (_stepped, _stepped, _star, _convex, _cut_corners, _leaning)
    while True:
        ring = chance.choice(shapes)(chance)
        turn = chance.choice([0.0, 0.0, chance.uniform(0.0, 360.0)])
        ring = _turned(ring, turn)
        start = chance.randrange(len(ring))
        ring = ring[start:] + ring[:start]
        if chance.random() < 0.5:
            ring.reverse()
        if _is_fit(ring):
            return ring


def _is_fit(ring: Ring) -> bool:
    polygon = Polygon(ring)
    edges = [math.dist(p, q) for p, q in zip(ring, ring[1:] + ring[:1], strict=True)]
    return 4 <= len(ring) <= 24 and polygon.is_valid and polygon.area > 1e6 and min(edges) >= SHORTEST_EDGE


def _turned(ring: Ring, degrees: float) -> Ring:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(round(c * x - s * y, 1), round(s * x + c * y, 1)) for x, y in ring]


def _rectangle(chance: random.Random) -> tuple[float, float]:
    return float(chance.randrange(2000, 14000, 50)), float(chance.randrange(2000, 9000, 50))


def _stepped(chance: random.Random) -> Ring:
    """Rectilinear, as decks round houses are: a rectangle from which corners and bays are taken."""
    width, depth = _rectangle(chance)
    ring: Ring = [(0, 0), (width, 0), (width, depth), (0, depth)]
    for _ in range(chance.randint(0, 7)):
        changed = chance.choice((_corner_taken, _bay_taken))(chance, ring)
        if _is_fit(changed):
            ring = changed
    return ring


def _corner_taken(chance: random.Random, ring: Ring) -> Ring:
    i = chance.randrange(len(ring))
    before, corner, after = ring[i - 1], ring[i], ring[(i + 1) % len(ring)]
    p = _between(corner, before, chance.uniform(0.1, 0.7))
    q = _between(corner, after, chance.uniform(0.1, 0.7))
    inner = (p[0] + q[0] - corner[0], p[1] + q[1] - corner[1])
    return [*ring[:i], p, inner, q, *ring[i + 1 :]]


def _bay_taken(chance: random.Random, ring: Ring) -> Ring:
    """Push a part of an edge in or out, square to it."""
    i = chance.randrange(len(ring))
    a, b = ring[i], ring[(i + 1) % len(ring)]
    from_, to = sorted((chance.uniform(0.1, 0.9), chance.uniform(0.1, 0.9)))
    p, q = _between(a, b, from_), _between(a, b, to)
    length = math.dist(a, b)
    reach = chance.choice([-1, 1]) * chance.randrange(200, 2500, 50)
    out = ((b[1] - a[1]) / length * reach, (a[0] - b[0]) / length * reach)
    moved = [(round(x + out[0], 1), round(y + out[1], 1)) for x, y in (p, q)]
    return [*ring[: i + 1], p, *moved, q, *ring[i + 1 :]]


def _between(a: tuple[float, float], b: tuple[float, float], share: float) -> tuple[float, float]:
    return (round(a[0] + (b[0] - a[0]) * share, 0), round(a[1] + (b[1] - a[1]) * share, 0))


def _star(chance: random.Random) -> Ring:
    """Free-form, convex or not: corners at any distance from a middle, in order of their bearing."""
    corners = chance.randint(4, 24)
    reach = chance.uniform(1800, 6500)
    least = chance.uniform(0.35, 0.9)
    return [
        (reach * r * math.cos(turn), reach * r * math.sin(turn))
        for k in range(corners)
        for turn, r in [(2 * math.pi * (k + chance.uniform(-0.35, 0.35)) / corners, chance.uniform(least, 1.0))]
    ]


def _convex(chance: random.Random) -> Ring:
    bearings = sorted(chance.uniform(0, 2 * math.pi) for _ in range(chance.randint(4, 16)))
    a, b = chance.uniform(1500, 7000), chance.uniform(1500, 5000)
    return [(a * math.cos(t), b * math.sin(t)) for t in bearings]


def _cut_corners(chance: random.Random) -> Ring:
    """Mitre the corners of a rectangle, each to its own measure."""
    width, depth = _rectangle(chance)
    square: Ring = [(0, 0), (width, 0), (width, depth), (0, depth)]
    ring: Ring = []
    for i, corner in enumerate(square):
        if chance.random() < 0.6:
            ring += [_between(corner, square[i - 1], chance.uniform(0.05, 0.45))]
            ring += [_between(corner, square[(i + 1) % 4], chance.uniform(0.05, 0.45))]
        else:
            ring.append(corner)
    return ring


def _leaning(chance: random.Random) -> Ring:
    """Set a stepped outline out of square, as old houses are."""
    lean = chance.uniform(5, 150)
    return [(x + chance.uniform(-lean, lean), y + chance.uniform(-lean, lean)) for x, y in _stepped(chance)]


def _openings(chance: random.Random, outline: Polygon) -> list[Ring]:
    free = outline.buffer(-MARGIN)
    rings: list[Ring] = []
    for _ in range(chance.choice([0, 0, 1, 1, 2])):
        x, y = _somewhere(chance, outline)
        corners = chance.choice([4, 4, 5, 8])
        size = chance.uniform(150, 800)
        turn = chance.choice([45.0, chance.uniform(0, 90)])
        ring = [
            (round(x + size * math.cos(t), 1), round(y + size * math.sin(t), 1))
            for k in range(corners)
            for t in [math.radians(turn + 360 * k / corners)]
        ]
        if free.contains(Polygon(ring)):
            rings.append(ring)
            free = free.difference(Polygon(ring).buffer(MARGIN))
    return rings


def _obstacles(chance: random.Random, outline: Polygon) -> list[Site]:
    found = []
    for k in range(chance.choice([0, 1, 2, 3, 5])):
        x, y = _somewhere(chance, outline)
        if chance.random() < 0.3:
            edge = outline.exterior.interpolate(chance.random(), normalized=True)
            x, y = round(edge.x, 1), round(edge.y, 1)
        obstacle: Site = {"name": f"obstacle {k + 1}", "centre": (x, y)}
        if chance.random() < 0.5:
            obstacle |= {"kind": "post", "diameter": chance.choice([68, 80, 100, 150, 300])}
        else:
            size = (chance.choice([60, 90, 100, 150, 300, 600]), chance.choice([60, 100, 150, 300, 450]))
            obstacle |= {
                "kind": "cover",
                "size": size,
                "rotation": chance.choice([0, 0, round(chance.uniform(0, 90), 1)]),
            }
        if chance.random() < 0.3:
            obstacle["clearance"] = chance.choice([0, 3, 10, 20])
        found.append(obstacle)
    return found


def _somewhere(chance: random.Random, outline: Polygon) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = outline.bounds
    while True:
        point = (round(chance.uniform(low_x, high_x), 1), round(chance.uniform(low_y, high_y), 1))
        if outline.contains(Point(point)):
            return point


def _site(name: str, ring: Ring, **tables: Any) -> Site:
    deck = {"outline": ring, "house_edges": [0]} | tables.pop("deck", {})
    return {"schema": 1, "name": name, "deck": deck, **tables}


def five_degree_wedge() -> Site:
    """Taper to a point at five degrees, the boards along one side."""
    length = 6000.0
    ring = [(0.0, 0.0), (length, 0.0), (length, round(length * math.tan(math.radians(5)), 1))]
    return _site("five degree wedge", ring)


def neck_narrower_than_a_board() -> Site:
    """Two decks joined by a neck of 110 mm, across the boards and along them."""
    ring = [
        (0, 0), (3000, 0), (3000, 1445), (4500, 1445), (4500, 0), (7000, 0),
        (7000, 3000), (4500, 3000), (4500, 1555), (3000, 1555), (3000, 3000), (0, 3000),
    ]  # fmt: skip
    return _site("neck narrower than a board", [(float(x), float(y)) for x, y in ring])


def post_on_a_joint_line() -> Site:
    """Stand posts where boards of 4 m would meet, end to end or at half a board."""
    posts = [
        {"name": f"post at {x}", "kind": "post", "centre": (x, y), "size": (100, 100)}
        for x, y in ((2000, 800), (4000, 800), (4000, 1700), (6000, 1700), (8000, 900))
    ]
    return _site(
        "post on a joint line", [(0.0, 0.0), (10000.0, 0.0), (10000.0, 2600.0), (0.0, 2600.0)], obstacles=posts
    )


def post_half_over_the_edge() -> Site:
    """Stand posts astride the deck's free edges and on its corner."""
    posts = [
        {"name": f"post {k}", "kind": "post", "centre": centre, "diameter": 120}
        for k, centre in enumerate(((2500, 2500), (5000, 1300), (0, 2500)))
    ]
    return _site(
        "post half over the edge", [(0.0, 0.0), (5000.0, 0.0), (5000.0, 2500.0), (0.0, 2500.0)], obstacles=posts
    )


def clockwise_outline() -> Site:
    """Give an L clockwise, with its house edges numbered in that order."""
    ring = [(0.0, 0.0), (0.0, 5000.0), (6000.0, 5000.0), (6000.0, 3000.0), (2500.0, 3000.0), (2500.0, 0.0)]
    return _site("clockwise outline", ring, deck={"house_edges": [3, 4]})


def edge_of_three_millimetres() -> Site:
    """Put an edge of 3 mm in a wall and another in a free side, as a survey leaves them."""
    ring = [
        (0, 0), (2500, 0), (2500, 3), (6000, 3),
        (6000, 2500), (3000, 2500), (3000, 2503), (0, 2503),
    ]  # fmt: skip
    return _site("edge of three millimetres", [(float(x), float(y)) for x, y in ring], deck={"house_edges": [0, 2]})


HARD_SITES: tuple[Callable[[], Site], ...] = (
    five_degree_wedge,
    neck_narrower_than_a_board,
    post_on_a_joint_line,
    post_half_over_the_edge,
    clockwise_outline,
    edge_of_three_millimetres,
)


def to_toml(site: Site) -> str:
    """Write a site as a site file: plain keys, then tables, then arrays of tables."""
    lines: list[str] = []
    _write_table(site, "", lines)
    return "\n".join(lines) + "\n"


def _write_table(table: Site, path: str, lines: list[str]) -> None:
    tables = {k: v for k, v in table.items() if isinstance(v, dict)}
    lists = {k: v for k, v in table.items() if isinstance(v, list) and v and isinstance(v[0], dict)}
    lines += [f"{k} = {_value(v)}" for k, v in table.items() if k not in tables and k not in lists]
    for key, value in tables.items():
        lines.append(f"\n[{path}{key}]")
        _write_table(value, f"{path}{key}.", lines)
    for key, rows in lists.items():
        for row in rows:
            lines.append(f"\n[[{path}{key}]]")
            _write_table(row, f"{path}{key}.", lines)


def _value(value: object) -> str:
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    return repr(value)

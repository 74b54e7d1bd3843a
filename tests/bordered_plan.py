"""A plan made by hand with a border, a nosing, a fascia, a hatch, a divider and a further deck.

Deck 0 is 2000 x 720: one ring of 140 on all sides, mitred with a butt gap of 8, and within it, a course gap of 5 off,
three courses of 140. Edge 0 is a step: its ring is a nosing, with a fascia of 140 from 178 down to 38 mm. Course 2 has
a hatch over a gully, course 3 is cut through the hole round a post. Deck 1 stands 3000 to the right, 2000 x 301 within
walls on all sides: two zones of two courses, with a divider on the seam between them.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

from shapely import Point, Polygon
from shapely import box as rectangle
from shapely.geometry import mapping

Plan = dict[str, Any]

SLANT = 4 * math.sqrt(2)
"""Half the butt gap of a mitre, measured along an edge at a square corner [mm]."""
COURSE_Y = {1: 145.0, 2: 290.0, 3: 435.0}
JOIST_X = (145.0, 576.5, 623.5, 976.5, 1023.5, 1400.0, 1855.0)
NOGGING_Y = (100.0, 360.0, 620.0)
COURT_X = (3023.5, 3478.0, 3925.0, 4075.0, 4522.0, 4976.5)


def site() -> Plan:
    court = [[3000, 0], [5000, 0], [5000, 301], [3000, 301]]
    return {
        "deck": {
            "outline": [[0, 0], [2000, 0], [2000, 720], [0, 720]], "openings": [], "house_edges": [], "surface": 200,
            "edge_finish": {"default": "flush", "0": "step"},
        },
        "decks": [
            {
                "name": "court", "outline": court, "openings": [], "house_edges": [0, 1, 2, 3], "surface": 120,
                "edge_finish": {"default": "flush"},
            }
        ],
        "zones": [{"name": "right half", "outline": [[4000, 0], [5000, 0], [5000, 301], [4000, 301]]}],
        "obstacles": [
            {"name": "gully", "kind": "gully", "centre": [800, 360], "size": [200, 100], "treatment": "hatch"},
            {"name": "post", "kind": "post", "centre": [1200, 505], "diameter": 28, "clearance": 8, "treatment": "cut"},
        ],
        "boards": {"product": "plain-140", "lengths": [2000], "width": 140, "thickness": 22},
        "gaps": {"course": 5, "butt": 8, "wall": 8, "obstacle": 8},
        "pattern": {
            "joints": "half", "min_piece_bays": 1, "kerf": 3, "seam": "divider",
            "border": {"courses": 1, "edges": [], "corners": "mitre"},
        },
        "frame": {
            "state": "new", "section": [47, 147], "max_centres": 600, "stock_lengths": [4800],
            "joists": [], "doubled": [],
        },
    }  # fmt: skip


def piece(ident: str, kind: str, course: int, shape: Any, direction: float = 0.0, **more: Any) -> Plan:
    rings = mapping(shape)["coordinates"]
    low_x, low_y, high_x, high_y = shape.bounds
    along, across = (high_x - low_x, high_y - low_y) if direction % 180 == 0 else (high_y - low_y, high_x - low_x)
    return {
        "id": ident, "zone": ident[0], "course": course, "kind": kind,
        "polygon": {"outer": [list(p) for p in rings[0][:-1]], "holes": [[list(p) for p in r[:-1]] for r in rings[1:]]},
        "length": along, "width": across, "stock": f"stock {ident}", "cuts": ["square"], "face": "grain",
        "direction": direction, "top": 200.0 if ident[0] == "A" else 120.0,
    } | more  # fmt: skip


def four_sided(*corners: tuple[float, float]) -> Any:
    return Polygon(corners)


def member(
    ident: str, role: str, start: tuple[float, float], end: tuple[float, float], section: Any = (47, 147)
) -> Plan:
    z = (178.0 if start[0] < 2500 else 98.0) - section[1] / 2
    return {
        "id": ident, "role": role, "from": [*start, z], "to": [*end, z], "section": list(section),
        "length": math.dist(start, end), "stock": f"stock {ident}",
    }  # fmt: skip


def pieces() -> list[Plan]:
    s, hole = SLANT, Point(1200, 505).buffer(22.05, quad_segs=64)
    ring = [
        piece("A-E0R1-1", "nosing", 1, four_sided((s, 0), (2000 - s, 0), (1860 - s, 140), (140 + s, 140))),
        piece("A-E1R1-1", "border", 1, four_sided((2000, s), (2000, 720 - s), (1860, 580 - s), (1860, 140 + s)), 90),
        piece("A-E2R1-1", "border", 1, four_sided((1004, 580), (1860 - s, 580), (2000 - s, 720), (1004, 720)), 180),
        piece("A-E2R1-2", "border", 1, four_sided((140 + s, 580), (996, 580), (996, 720), (s, 720)), 180),
        piece("A-E3R1-1", "border", 1, four_sided((0, s), (140, 140 + s), (140, 580 - s), (0, 720 - s)), 90),
    ]
    field = [
        piece("A-01-1", "board", 1, rectangle(145, 145, 1855, 285)),
        piece("A-02-1", "board", 2, rectangle(145, 290, 596, 430)),
        piece("A-H1-02-1", "hatch", 2, rectangle(604, 290, 996, 430)),
        piece("A-02-2", "board", 2, rectangle(1004, 290, 1855, 430)),
        piece("A-03-1", "board", 3, rectangle(145, 435, 1196, 575) - hole),
        piece("A-03-2", "board", 3, rectangle(1204, 435, 1855, 575) - hole),
    ]
    court = [
        piece(f"{zone}-0{course}-1", "board", course, rectangle(x0, y, x1, y + 140))
        for zone, x0, x1 in (("B", 3008, 3925), ("C", 4075, 4992))
        for course, y in ((1, 8), (2, 153))
    ]
    divider = piece("B-S1R1-1", "border", 1, rectangle(3930, 8, 4070, 293), 90)
    fascia = piece("A-F0R1-1", "fascia", 1, rectangle(0, 10, 2000, 32), width=140, top=178.0)
    return [*ring, *field, *court, divider, fascia]


def members() -> list[Plan]:
    # The rim of the step stands behind its fascia; the others are flush with the outline.
    rims = [
        member("rim-0", "rim", (0, 55.5), (2000, 55.5)),
        member("rim-1", "rim", (1976.5, 79), (1976.5, 673)),
        member("rim-2", "rim", (0, 696.5), (2000, 696.5)),
        member("rim-3", "rim", (23.5, 79), (23.5, 673)),
    ]
    joists = [member(f"joist-{k}", "joist", (x, 79), (x, 673)) for k, x in enumerate(JOIST_X)]
    noggings = [
        member(f"nogging-{side}-{k}", "nogging", (x, y), (x + 74.5, y))
        for side, x in ((3, 47.0), (1, 1878.5))
        for k, y in enumerate(NOGGING_Y)
    ]
    tongues = [member(f"nogging-post-{k}", "nogging", (1047, y), (1376.5, y)) for k, y in enumerate((459.0, 551.0))]
    battens = [member(f"A-hatch-1-{k}", "nogging", (x, 290), (x, 430), (47, 47)) for k, x in ((1, 680.0), (2, 920.0))]
    ledgers = [member(f"ledger-{k}", "ledger", (3000, y), (5000, y)) for k, y in enumerate((23.5, 277.5))]
    court = [member(f"court-{k}", "joist", (x, 47), (x, 254)) for k, x in enumerate(COURT_X)]
    return [*rims, *joists, *noggings, *tongues, *battens, *ledgers, *court]


def joints() -> list[Plan]:
    rows = (
        (2, ("A-02-1", "A-H1-02-1"), (600, 360), ("joist-1", "joist-2")),
        (2, ("A-H1-02-1", "A-02-2"), (1000, 360), ("joist-3", "joist-4")),
        (3, ("A-03-1", "A-03-2"), (1200, 505), ("nogging-post-0", "nogging-post-1")),
        (1, ("A-E2R1-2", "A-E2R1-1"), (1000, 650), ("joist-3", "joist-4")),
    )
    return [
        {"zone": "A", "course": c, "pieces": list(ids), "at": list(at), "gap": 8, "joists": list(under)}
        for c, ids, at, under in rows
    ]


def fixings() -> list[Plan]:
    rows: list[tuple[str, float, float, str, str]] = []
    for k, x in enumerate(JOIST_X):
        # A field board's end lies over the middle of the first joist and the last, so its clips stand beside that.
        at = {145.0: 157.0, 1855.0: 1843.0}.get(x, x)
        second = "A-02-1" if x < 600 else "A-02-2"
        beside_hatch = x in (623.5, 976.5)
        rows += [("edge clip", at, 142.5, "A-01-1", f"joist-{k}")]
        rows += [("edge clip" if beside_hatch else "clip", at, 287.5, "A-01-1", f"joist-{k}")]
        third = "A-03-1" if x < 1200 else "A-03-2"
        rows += [("edge clip" if beside_hatch else "clip", at, 432.5, third if beside_hatch else second, f"joist-{k}")]
        rows += [("edge clip", at, 577.5, third, f"joist-{k}")]
        rows += [("screw", x, y, "A-E0R1-1", f"joist-{k}") for y in (100.0, 125.0)]
        rows += [("screw", x, y, "A-E2R1-2" if x < 1000 else "A-E2R1-1", f"joist-{k}") for y in (600.0, 650.0)]
    for side, x in ((3, 0.0), (1, 2000.0)):
        off = 1 if side == 3 else -1
        ident = f"A-E{side}R1-1"
        rows += [("screw", x + off * d, y, ident, rim) for d, y, rim in ((30, 65.5, "rim-0"), (10, 696.5, "rim-2"))]
        rows += [
            ("screw", x + off * d, y, ident, f"nogging-{side}-{k}") for k, y in enumerate(NOGGING_Y) for d in (60, 85)
        ]
    rows += [("screw", x, y, "A-H1-02-1", f"A-hatch-1-{k}") for k, x in ((1, 680), (2, 920)) for y in (320, 400)]
    rows += [("screw", x, 32.0, "A-F0R1-1", "rim-0") for x in (50.0, 525.0, 1000.0, 1475.0, 1950.0)]
    for k, x in enumerate(COURT_X):
        zone, at = ("B" if x < 4000 else "C"), {3925.0: 3913.0, 4075.0: 4087.0}.get(x, x)
        rows += [
            ("starter clip", at, 4.0, f"{zone}-01-1", "ledger-0"),
            ("clip", at, 150.5, f"{zone}-02-1", f"court-{k}"),
        ]
        rows += [("edge clip", at, 295.0, f"{zone}-02-1", "ledger-1")]
    rows += [("screw", x, y, "B-S1R1-1", f"ledger-{k}") for k, y in enumerate((23.5, 277.5)) for x in (3960.0, 4040.0)]
    return [{"kind": k, "at": [x, y], "piece": p, "member": m} for k, x, y, p, m in rows]


def bordered_plan() -> Plan:
    """The whole plan file."""
    parts = {"plain-140": pieces(), "timber-47x147": members()}
    sold = {"plain-140": 2000, "timber-47x147": 4800}
    stock, takeoff = [], []
    for product, rows in parts.items():
        stock += [
            {
                "id": row["stock"], "product": product, "length": sold[product], "pieces": [row["id"]], "kerf": 3,
                "offcut": sold[product] - row["length"],
            }
            for row in rows
        ]  # fmt: skip
        waste = 1 - sum(row["length"] for row in rows) / (len(rows) * sold[product])
        item = "board-2000" if product == "plain-140" else f"{product}-4800"
        takeoff.append({"item": item, "order": len(rows), "waste": waste})
    counts = Counter(fixing["kind"] for fixing in fixings())
    takeoff += [{"item": kind.replace(" ", "-"), "order": n, "waste": 0.0} for kind, n in counts.items()]
    zone = {"direction": 0.0, "outline": {"outer": [], "holes": []}}
    return {
        "schema": 1, "name": "by hand", "site": site(),
        "zones": [
            zone | {"id": "A", "courses": 3, "deck": 0},
            zone | {"id": "B", "courses": 2, "deck": 1},
            zone | {"id": "C", "courses": 2, "deck": 1},
        ],
        "pieces": parts["plain-140"], "joints": joints(), "members": parts["timber-47x147"], "fixings": fixings(),
        "stock": stock, "takeoff": takeoff, "checks": [], "bounds": [],
    }  # fmt: skip

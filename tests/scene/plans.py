"""A small plan put together by hand, so that the scene is tried without the rest of the engine."""

from __future__ import annotations

from courseline.engine.plan import Area, Fixing, Member, Piece, PieceKind, Plan, Point2, StockItem, ZonePlan
from courseline.engine.spec import Boards, Deck, House, Obstacle, Opening, Side, Site

WIDTH, GAP, COURSES = 140.0, 5.0, 20
SURFACE = 150.0

HOUSE = House(
    walls=((0, 0), (6000, 0), (6000, -2250), (10500, -2250), (10500, 6000), (0, 6000)),
    openings=(
        Opening(wall=0, offset=900, width=3600, height=2100, sill=150, kind="folding", leaves=4),
        Opening(wall=1, offset=600, width=1200, height=1000, sill=1050, leaves=2),
    ),
)
OBSTACLES = (
    Obstacle(name="rainwater", kind="downpipe", centre=(5850, -60), diameter=76),
    Obstacle(name="corner", kind="post", centre=(60, -2850), size=(90, 90)),
    Obstacle(name="drain", kind="gully", centre=(5700, -300), size=(200, 200)),
    Obstacle(name="chamber", kind="cover", centre=(2000, -2000), size=(600, 450), rotation=10),
    Obstacle(name="apple", kind="tree", centre=(-2500, -3500), diameter=250),
)


def small_plan(house: House | None = HOUSE, obstacles: tuple[Obstacle, ...] = OBSTACLES) -> Plan:
    """Plan a deck of 6 m by 2.9 m with two pieces a course, cut from one 6 m board, on joists square to them."""
    outline = ((0, 0), (6000, 0), (6000, -2900), (0, -2900))
    site = Site(
        schema=1,
        name="Small",
        house=house,
        deck=Deck(outline=outline, surface=SURFACE),
        obstacles=obstacles,
        boards=Boards(width=WIDTH, thickness=22.0, lengths=(6000.0,), profile="solid"),
    )
    pieces, stock = [], []
    for course in range(1, COURSES + 1):
        top = -GAP - (course - 1) * (WIDTH + GAP)
        split = 2000.0 if course % 2 else 3500.0
        ids = (f"A-{course:02d}-1", f"A-{course:02d}-2")
        for name, left, right in ((ids[0], 8.0, split - 4), (ids[1], split + 4, 5992.0)):
            ring = ((left, top - WIDTH), (right, top - WIDTH), (right, top), (left, top))
            pieces.append(piece(name, ring, length=right - left, stock=f"S{course}", course=course))
        stock.append(StockItem(f"S{course}", "plain-140", 6000.0, ids, 3.0, 13.0))
    middle = SURFACE - 22.0 - 147.0 / 2
    members = [
        Member(
            f"joist-{i + 1}",
            "joist",
            (30.0 + 400 * i, 0, middle),
            (30.0 + 400 * i, -2900, middle),
            (47, 147),
            2900,
            "T1",
        )
        for i in range(15)
    ]
    fixings = [Fixing("clip", (30.0, -GAP - i * (WIDTH + GAP)), f"A-{i:02d}-1", "joist-1") for i in range(1, COURSES)]
    return Plan(
        version="test",
        name="Small",
        site=site,
        zones=(ZonePlan("A", 0.0, Area(outline), COURSES),),
        pieces=tuple(pieces),
        joints=(),
        members=tuple(members),
        fixings=tuple(fixings),
        stock=(*stock, StockItem("T1", "C16 47x147", 4800.0, ("joist-1",), 3.0, 0.0)),
        takeoff=(),
        checks=(),
        bounds=(),
    )


def piece(
    name: str,
    ring: tuple[Point2, ...],
    *,
    kind: PieceKind = "board",
    direction: float = 0.0,
    top: float = SURFACE,
    length: float = 0.0,
    width: float = WIDTH,
    stock: str = "S1",
    course: int = 1,
    face: Side = "grain",
) -> Piece:
    """Lay one piece of zone A."""
    return Piece(name, "A", course, kind, Area(ring), length, width, stock, ("square",), face, direction, top)

"""Zones that the engine proposes: boards follow each wall of the house, and turn at the corners' bisectors."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import shapely
from checker import check_plan
from courseline.engine import SiteError, design, plan_json, propose_zones
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site, Zone
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate

Ring = list[tuple[float, float]]

HOUSES = Path(__file__).parents[1] / "data" / "house_outlines.geojson"

L_ROUND_A_CORNER: Ring = [(0, 0), (0, -3000), (9000, -3000), (9000, 4000), (6000, 4000), (6000, 0)]
U_ROUND_A_WING: Ring = [
    (-2500, 0), (-2500, -7500), (10500, -7500), (10500, 0), (8000, 0), (8000, -5000), (0, -5000), (0, 0),
]  # fmt: skip
Z_ALONG_A_STEP: Ring = [
    (0, 0), (6000, 0), (6000, 4500), (12000, 4500), (12000, 7500), (3000, 7500), (3000, 3000), (0, 3000),
]  # fmt: skip


def site_of(outline: Ring, house_edges: list[int], **deck: Any) -> Site:
    table = {"outline": [list(p) for p in outline], "house_edges": house_edges, **deck}
    return site_from_table({"schema": 1, "name": "round the house", "deck": table})


def proposed(outline: Ring, house_edges: list[int], **deck: Any) -> Site:
    """The site with its zones, which tile the deck."""
    site = propose_zones(site_of(outline, house_edges, **deck))
    if site.zones:
        tiled(site)
    return site


def tiled(site: Site) -> None:
    """The zones are the deck's outline, no more and no less, as shapely's own union and sums say."""
    shapes = [Polygon(zone.outline) for zone in site.zones]
    whole = shapely.union_all(shapes)
    outline = Polygon(site.deck.outline)
    # Ends of seams are written to a thousandth of a millimetre, so each may leave that much beside a 10 m edge.
    assert whole.symmetric_difference(outline).area < 10.0 * len(shapes)
    assert sum(shape.area for shape in shapes) == pytest.approx(outline.area, abs=10.0 * len(shapes))


def start_of(zone: Zone) -> tuple[tuple[float, float], tuple[float, float]]:
    ring = zone.outline
    return ring[zone.start_edge], ring[(zone.start_edge + 1) % len(ring)]


def starts(site: Site) -> list[set[tuple[float, float]]]:
    """The ends of each zone's start edge."""
    return [set(start_of(zone)) for zone in site.zones]


def seam_from(site: Site, corner: tuple[float, float]) -> float:
    """Heading of the line from a corner on which the first two zones meet [degrees]."""
    one, two = (Polygon(zone.outline).boundary for zone in site.zones[:2])
    (x0, y0), (x1, y1) = sorted(
        shapely.line_merge(one.intersection(two)).coords, key=lambda place: math.dist(place, corner)
    )
    assert (x0, y0) == pytest.approx(corner, abs=1e-6)
    return math.degrees(math.atan2(y1 - y0, x1 - x0))


def band_at(inner: float, width: float = 2000.0, length: float = 6000.0) -> tuple[Ring, list[int]]:
    """A deck of even width along two walls that meet at (0, 0); `inner` is the angle between them on the deck's side.

    Its first wall lies along -x, so that the deck is above it.
    """
    turn = math.radians(180.0 - inner)
    along = (math.cos(turn), math.sin(turn))
    across = (-along[1], along[0])
    reach = width * math.tan(turn / 2)
    far = (length * along[0], length * along[1])
    outline = [
        (-length, 0.0),
        (0.0, 0.0),
        far,
        (far[0] + width * across[0], far[1] + width * across[1]),
        (-reach, width),
        (-length, width),
    ]
    return outline, [0, 1]


@pytest.mark.parametrize("inner", [60.0, 90.0, 135.0, 170.0, 225.0, 270.0, 300.0])
def test_boards_turn_on_the_bisector_of_the_corner(inner: float) -> None:
    """Corners inwards and outwards; the bisector halves the angle, as Euclid I.9 has it."""
    outline, house = band_at(inner)
    site = proposed(outline, house)
    assert [zone.name for zone in site.zones] == ["along edge 0", "along edge 1"]
    # Seen from the corner, the first wall runs off at 180 degrees and the deck lies clockwise of it.
    assert seam_from(site, (0.0, 0.0)) == pytest.approx(180.0 - inner / 2, abs=0.01)


def test_l_round_a_house_corner() -> None:
    site = proposed(L_ROUND_A_CORNER, [4, 5])
    assert starts(site) == [{(9000 - 3000, 4000), (6000, 0)}, {(6000, 0), (0, 0)}]
    assert [Polygon(zone.outline).area for zone in site.zones] == [(7000 + 4000) / 2 * 3000, (9000 + 6000) / 2 * 3000]


def test_u_round_three_sides_of_a_wing() -> None:
    site = proposed(U_ROUND_A_WING, [4, 5, 6])
    assert starts(site) == [{(8000, 0), (8000, -5000)}, {(8000, -5000), (0, -5000)}, {(0, -5000), (0, 0)}]
    side, front = (7500 + 5000) / 2 * 2500, (13000 + 8000) / 2 * 2500
    assert [Polygon(zone.outline).area for zone in site.zones] == [side, front, side]


def test_z_along_a_step_of_the_house() -> None:
    """One corner inwards and one outwards: the middle leg is a parallelogram."""
    site = proposed(Z_ALONG_A_STEP, [0, 1, 2])
    assert [Polygon(zone.outline).area for zone in site.zones] == [13.5e6, 13.5e6, 22.5e6]
    assert set(site.zones[1].outline) == {(6000, 0), (6000, 4500), (3000, 7500), (3000, 3000)}


@pytest.mark.slow
def test_mitres_that_meet_end_the_wall_between_them() -> None:
    """In a court of 5 m the mitres meet half its width from the end wall; beyond, the boards are one field."""
    arms: Ring = [(0, 0), (5000, 0), (5000, 9000), (3500, 9000), (3500, 4000), (1500, 4000), (1500, 9000), (0, 9000)]
    site = proposed(arms, [0, 1, 7])
    assert [zone.name for zone in site.zones] == ["along edge 0", "along edge 1"]
    assert set(site.zones[0].outline) == {(0, 0), (5000, 0), (2500, 2500)}
    assert check_plan(json.loads(plan_json(design(site)))) == []


@pytest.mark.slow
def test_direction_of_the_deck_holds_along_each_wall() -> None:
    site = proposed(L_ROUND_A_CORNER, [4, 5], direction=45.0)
    plan = design(site)
    assert [zone.direction for zone in site.zones] == [45.0, 45.0]
    assert (plan.zones[1].direction - plan.zones[0].direction) % 180 == pytest.approx(90)


@pytest.mark.parametrize(
    ("outline", "house"),
    [
        pytest.param([(0, 0), (9000, 0), (9000, 3000), (0, 3000)], [0], id="one wall"),
        pytest.param(
            [(0, 0), (3000, 0), (3000, 400), (4400, 400), (4400, 0), (9000, 0), (9000, 3000), (0, 3000)],
            [0, 1, 2, 3, 4],
            id="chimney breast",
        ),
        pytest.param([(0, 0), (4000, 0), (4000, 300), (9000, 300), (9000, 3000), (0, 3000)], [0, 1, 2], id="return"),
        pytest.param([(0, 0), (6000, 0), (6000, 3000), (0, 3000)], [0, 1], id="in a corner"),
        pytest.param([(0, 0), (6000, 0), (6000, 2500), (0, 2500)], [0, 2], id="between two houses"),
        pytest.param([(0, 0), (4000, 0), (8000, 25), (8000, 3000), (0, 3000)], [0, 1], id="in line within 0.5 degree"),
        pytest.param([(0, 0), (6000, 0), (6000, 4000), (0, 4000)], [], id="no house"),
        pytest.param([(0, 0), (0, -3000), (9000, -3000), (9000, 2500), (6000, 2500), (6000, 0)], [4, 5], id="stub"),
    ],
)
def test_house_that_turns_no_boards_gets_no_zones(outline: Ring, house: list[int]) -> None:
    site = site_of(outline, house)
    assert propose_zones(site) == site


def test_return_of_a_wall_does_not_part_its_zone() -> None:
    """The wall is offset by a 300 mm return, then turns the corner: two directions, not three."""
    outline: Ring = [(0, 300), (0, -3000), (9000, -3000), (9000, 5000), (6000, 5000), (6000, 0), (2000, 0), (2000, 300)]
    assert [zone.name for zone in proposed(outline, [4, 5, 6, 7]).zones] == ["along edge 4", "along edge 5"]


def test_corner_that_is_cut_off_is_turned_on_the_bisector_of_its_walls() -> None:
    """The chamfer of 45 degrees is too short to be followed; the walls' bisector leaves it in its middle."""
    outline: Ring = [(0, 0), (0, -3000), (9000, -3000), (9000, 4000), (6000, 4000), (6000, 600), (5400, 0)]
    site = proposed(outline, [4, 5, 6])
    assert len(site.zones) == 2
    assert seam_from(site, (5700.0, 300.0)) == pytest.approx(-45.0)


def arc(radius: float, edges: int, degrees: float = 90.0) -> Ring:
    return [
        (round(radius * math.cos(t), 3), round(radius * math.sin(t), 3))
        for k in range(edges + 1)
        for t in [math.radians(degrees * k / edges)]
    ]


@pytest.mark.parametrize("edges", [12, 24, 90])
def test_curved_wall_is_followed_in_facets(edges: int) -> None:
    outline = arc(8000, edges) + arc(11000, edges)[::-1]
    site = proposed(outline, list(range(edges)))
    assert len(site.zones) == 2
    for zone, middle in zip(site.zones, (22.5, 67.5), strict=True):
        (x0, y0), (x1, y1) = start_of(zone)
        heading = math.degrees(math.atan2(y1 - y0, x1 - x0)) - 90.0
        assert heading % 180.0 == pytest.approx(middle, abs=90.0 / edges + 0.5)


def test_rounded_house_corner_is_one_corner() -> None:
    bend = [(6000 - 800 + 800 * math.sin(t), 800 - 800 * math.cos(t)) for t in (math.radians(9 * k) for k in range(11))]
    outline: Ring = [(0, 0), *bend, (6000, 6000), (9000, 6000), (9000, -3000), (0, -3000)]
    site = proposed(outline, list(range(12)))
    assert len(site.zones) == 2


@pytest.mark.slow
@pytest.mark.parametrize("turn", [0.0, 17.3, 90.0, 201.7])
@pytest.mark.parametrize("clockwise", [False, True])
@pytest.mark.parametrize(
    ("outline", "house"), [(L_ROUND_A_CORNER, [4, 5]), (U_ROUND_A_WING, [4, 5, 6]), (Z_ALONG_A_STEP, [0, 1, 2])]
)
def test_any_rotation_and_either_way_round(outline: Ring, house: list[int], turn: float, clockwise: bool) -> None:
    straight = sorted(Polygon(zone.outline).area for zone in proposed(outline, house).zones)
    ring = [(round(x, 3), round(y, 3)) for x, y in rotate(Polygon(outline), turn, origin=(0, 0)).exterior.coords[:-1]]
    if clockwise:
        ring, house = ring[::-1], [(len(ring) - 2 - i) % len(ring) for i in house]
    site = proposed(ring, house)
    assert sorted(Polygon(zone.outline).area for zone in site.zones) == pytest.approx(straight, rel=1e-4)
    if turn == 17.3:
        assert check_plan(json.loads(plan_json(design(site)))) == []


@pytest.mark.slow
def test_opening_on_the_seam_is_left_open() -> None:
    """A tree pit where the boards turn: the zones are drawn over it, and both keep out of it."""
    pit = [[7200, -1800], [7800, -1800], [7800, -1200], [7200, -1200]]
    site = proposed(L_ROUND_A_CORNER, [4, 5], openings=[pit])
    assert len(site.zones) == 2
    assert check_plan(json.loads(plan_json(design(site)))) == []


def test_part_too_small_for_a_direction_of_its_own_goes_with_its_neighbour() -> None:
    """A walkway of 550 mm round the corner is laid on with the deck; of 700 mm it follows its wall."""
    for width, count in ((550, 0), (700, 2)):
        outline: Ring = [(0, 0), (0, -3000), (6000 + width, -3000), (6000 + width, 4000), (6000, 4000), (6000, 0)]
        assert len(proposed(outline, [4, 5]).zones) == count


@pytest.mark.slow
def test_plan_of_the_site_as_written_is_the_same() -> None:
    """The proposal stands in the plan's site as if given: read back, it plans to the same bytes."""
    plan = design(proposed(Z_ALONG_A_STEP, [0, 1, 2]))
    again = json.loads(plan_json(plan))["site"]
    again["zones"] = [dict(zone) for zone in again["zones"]]
    table = {key: value for key, value in again.items() if key in ("schema", "name", "deck", "zones")}
    assert plan_json(design(site_from_table(table))) == plan_json(plan)


def test_zones_in_the_file_stand() -> None:
    site = proposed(L_ROUND_A_CORNER, [4, 5])
    with pytest.raises(SiteError, match=r"zones: 2 in the file already; leave them out"):
        propose_zones(site)


def test_standing_frame_says_how_the_boards_lie() -> None:
    site = site_of(L_ROUND_A_CORNER, [4, 5])
    standing = replace(site, frame=replace(site.frame, state="existing", joists=(((0, 0), (0, -3000)),)))
    with pytest.raises(SiteError, match="cannot be proposed on a standing frame"):
        propose_zones(standing)


# Real houses


def decks_round_houses() -> list[Any]:
    """Bands of deck round real building outlines, each open over a metre at the house's western corner.

    Outlines: (c) OpenStreetMap contributors, ODbL 1.0.
    """
    found = []
    for feature in json.loads(HOUSES.read_text(encoding="utf-8"))["features"]:
        house = Polygon([(1000 * x, 1000 * y) for x, y in feature["geometry"]["coordinates"][0][:-1]])
        x, y = min(house.exterior.coords)
        for width in (1800.0, 3000.0):
            band = house.buffer(width, join_style="mitre") - house - box(x - 1e5, y - 500, x + 1, y + 500)
            deck = max(shapely.get_parts(band), key=lambda part: part.area)
            ring = [(round(x, 3), round(y, 3)) for x, y in deck.exterior.coords[:-1]]
            wall = house.exterior.buffer(2.0)
            edges = [i for i, ends in enumerate(zip(ring, ring[1:] + ring[:1], strict=True)) if within(wall, ends)]
            name = f"{feature['properties']['osm_way']} {width / 1000:g} m"
            found.append(pytest.param(ring, edges, id=name))
    return found


def within(shape: Polygon, ends: tuple[tuple[float, float], tuple[float, float]]) -> bool:
    return bool(shape.covers(LineString(ends)))


def a_third_with_every_change(cases: list[Any]) -> list[Any]:
    marks = [pytest.mark.long if k % 3 else pytest.mark.slow for k in range(len(cases))]
    return [pytest.param(*case.values, id=case.id, marks=mark) for case, mark in zip(cases, marks, strict=True)]


@pytest.mark.slow
@pytest.mark.parametrize(("outline", "house"), decks_round_houses())
def test_deck_round_a_real_house(outline: Ring, house: list[int]) -> None:
    site = proposed(outline, house)
    assert 2 <= len(site.zones) <= len(house)
    for zone in site.zones:
        (x0, y0), (x1, y1) = start_of(zone)
        beside = [Polygon(outline).exterior.distance(Point(x, y)) for x, y in ((x0, y0), (x1, y1))]
        assert max(beside) < 0.01  # it starts at the house
        assert not Polygon(zone.outline).buffer(-300.0).is_empty


@pytest.mark.parametrize(("outline", "house"), a_third_with_every_change(decks_round_houses()))
def test_plan_round_a_real_house_holds(outline: Ring, house: list[int]) -> None:
    assert check_plan(json.loads(plan_json(design(proposed(outline, house))))) == []

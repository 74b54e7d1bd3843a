"""A site taken in from a model is the site that the model was made of; by hand where nothing else knows."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from courseline.engine import SiteError, design, read_site
from courseline.engine.layout.obstacles import obstacle_polygon
from courseline.engine.spec import House, Site
from courseline.engine.takein import Solid, take_in
from courseline.engine.takein.cut import section_at, shadow_between
from courseline.engine.takein.house import house_behind
from courseline.engine.takein.lines import straightened
from models import door, flat, hollow, line, prism, turned
from shapely.geometry import LineString, Point, Polygon, box

SCENES = Path(__file__).parents[2] / "demo_scenes"
LONG = read_site(SCENES / "long_house.toml")
RECTANGLE = [(0.0, 0.0), (5000.0, 0.0), (5000.0, -3000.0), (0.0, -3000.0)]
HOUSE = [(0.0, 0.0), (6000.0, 0.0), (6000.0, 4000.0), (0.0, 4000.0)]


def doors_of(house: House) -> list[tuple[LineString, float, float]]:
    """Where each opening of a house lies, its sill and its head."""
    found = []
    for opening in house.openings:
        ring = house.walls
        wall = LineString([ring[opening.wall], ring[(opening.wall + 1) % len(ring)]])
        span = shapely.ops.substring(wall, opening.offset, opening.offset + opening.width)
        found.append((span, opening.sill, opening.sill + opening.height))
    return found


def same_ring(ring: object, other: object, within: float = 1.0) -> bool:
    one, two = Polygon(ring), Polygon(other)
    return one.symmetric_difference(two).area < within * one.length


def taken(site: Site, turn: float = 0.0, shift: tuple[float, float] = (0.0, 0.0), gaps: bool = True) -> Site:
    """A site made into models, moved about, and taken in again."""
    house = site.house
    assert house is not None
    openings = doors_of(house)
    low = [span.buffer(350, cap_style="flat") for span, sill, _ in openings if sill <= site.deck.surface]
    assert low
    parts = [hollow("house", house.walls, house.height, gaps=shapely.union_all(low) if gaps else None)]
    doors = [door(f"door {i}", *span.coords, sill, head) for i, (span, sill, head) in enumerate(openings)]
    things = [prism(o.name, obstacle_polygon(o), -200.0, 2000.0, o.kind) for o in site.obstacles]
    drawn = flat("deck", site.deck.outline, site.deck.surface)
    parts = [replace(part, vertices=turned(part.vertices, turn, shift)) for part in parts]
    doors = [replace(each, vertices=turned(each.vertices, turn, shift)) for each in doors]
    things = [replace(each, vertices=turned(each.vertices, turn, shift)) for each in things]
    drawn = replace(drawn, vertices=turned(drawn.vertices, turn, shift))
    return take_in(site.name, [drawn], parts, things, doors, like=site).site


# A whole site


@pytest.mark.parametrize("gaps", [True, False], ids=["doors open to the floor", "walls drawn through"])
def test_the_site_of_a_model_is_the_site_it_was_made_of(gaps: bool) -> None:
    found = taken(LONG, gaps=gaps)
    assert found.house is not None and LONG.house is not None
    assert same_ring(found.house.walls, LONG.house.walls)
    assert len(found.house.walls) == len(LONG.house.walls)
    assert same_ring(found.deck.outline, LONG.deck.outline)
    walls = [LineString(LONG.deck.outline[i : i + 2]) for i in LONG.deck.house_edges or ()]
    outline = found.deck.outline
    against = [LineString([outline[i], outline[(i + 1) % len(outline)]]) for i in found.deck.house_edges or ()]
    assert shapely.union_all(against).hausdorff_distance(shapely.union_all(walls)) < 1.0
    assert [o.name for o in found.obstacles] == [o.name for o in LONG.obstacles]
    for one, other in zip(found.obstacles, LONG.obstacles, strict=True):
        assert same_ring(obstacle_polygon(one).exterior.coords, obstacle_polygon(other).exterior.coords)
    sizes = [(o.width, o.height, o.sill) for o in found.house.openings]
    assert np.allclose(sizes, [(o.width, o.height, o.sill) for o in LONG.house.openings], atol=0.2)


@pytest.mark.slow
def test_turned_and_moved_the_model_gives_as_many_boards() -> None:
    here, there = design(taken(LONG)), design(taken(LONG, 37.0, (12_345.6, -9_876.5)))
    assert len(there.pieces) == len(here.pieces)
    assert sum(p.length for p in there.pieces) == pytest.approx(sum(p.length for p in here.pieces), abs=1.0 * 200)


# The outline


def test_a_face_and_a_line_give_the_same_outline() -> None:
    faces, lines = (take_in("x", [draw("deck", RECTANGLE, 150.0)]).site for draw in (flat, line))
    assert faces == lines
    assert faces.deck.surface == 150.0


def test_a_hole_in_the_face_stays_open() -> None:
    pit = [(1000.0, -1000.0), (2000.0, -1000.0), (2000.0, -2000.0), (1000.0, -2000.0)]
    site = take_in("x", [flat("deck", RECTANGLE, 150.0, [pit])]).site
    assert len(site.deck.openings) == 1
    assert Polygon(site.deck.openings[0]).equals(Polygon(pit))


def test_an_outline_on_the_ground_is_lifted_to_the_height_asked_for() -> None:
    assert take_in("x", [flat("deck", RECTANGLE, 0.0)], height=300.0).site.deck.surface == 300.0


def test_corners_in_line_are_none() -> None:
    ring = [(0, 0), (1000, 0.2), (2000, 0), (2000, 1000), (0, 1000), (0, 500)]
    assert straightened(ring) == ((0, 0), (2000, 0), (2000, 1000), (0, 1000))


@pytest.mark.parametrize(
    ("drawing", "told"),
    [
        (line("deck", RECTANGLE, 150.0, closed=False), "the line ends at"),
        (replace(flat("deck", RECTANGLE, 150.0), vertices=np.array([(x, y, x / 10) for x, y in RECTANGLE])), "level"),
        (flat("deck", RECTANGLE, -80.0), "under the ground"),
        (line("deck", [(0.0, 0.0)], 150.0, closed=False), "no line"),
    ],
    ids=["open", "not level", "under the ground", "nothing"],
)
def test_a_drawing_that_is_no_outline_is_told(drawing: object, told: str) -> None:
    with pytest.raises(SiteError, match=told) as fault:
        take_in("x", [drawing])  # type: ignore[arg-type]
    assert "\n" not in str(fault.value)


# The house


def test_an_outline_drawn_carelessly_lies_on_the_wall() -> None:
    careless = [(500.0, 18.0), (5500.0, -12.0), (5500.0, -3000.0), (500.0, -3000.0)]
    found = take_in("x", [flat("deck", careless, 150.0)], [hollow("house", HOUSE, 2600.0)])
    assert same_ring(found.site.deck.outline, [(500, 0), (5500, 0), (5500, -3000), (500, -3000)], 0.1)
    assert len(found.site.deck.house_edges or ()) == 1
    assert any("18 mm" in line for line in found.told)


def test_a_corner_drawn_near_an_inner_corner_of_the_house_is_that_corner() -> None:
    ell = [(0.0, 0.0), (6000.0, 0.0), (6000.0, -2000.0), (9000.0, -2000.0), (9000.0, 4000.0), (0.0, 4000.0)]
    careless = [(500.0, 0.0), (500.0, -2000.0), (6004.0, -1990.0), (5982.0, -14.0)]
    site = take_in("x", [flat("deck", careless, 150.0)], [hollow("house", ell, 2600.0)]).site
    assert {(6000.0, 0.0), (6000.0, -2000.0)} <= set(site.deck.outline)
    assert len(site.deck.house_edges or ()) == 2


def test_an_outline_that_runs_on_past_the_wall_gets_a_corner_where_the_wall_ends() -> None:
    longer = [(500.0, 0.0), (8000.0, 0.0), (8000.0, -3000.0), (500.0, -3000.0)]
    site = take_in("x", [flat("deck", longer, 150.0)], [hollow("house", HOUSE, 2600.0)]).site
    assert (6000.0, 0.0) in site.deck.outline
    (edge,) = site.deck.house_edges or ()
    ends = {site.deck.outline[edge], site.deck.outline[(edge + 1) % len(site.deck.outline)]}
    assert ends == {(500.0, 0.0), (6000.0, 0.0)}


def test_what_lies_in_the_house_is_taken_off() -> None:
    into = [(500.0, 1000.0), (5500.0, 1000.0), (5500.0, -3000.0), (500.0, -3000.0)]
    found = take_in("x", [flat("deck", into, 150.0)], [hollow("house", HOUSE, 2600.0)])
    assert Polygon(found.site.deck.outline).area == pytest.approx(5000 * 3000)
    assert any("5.00 m²" in line for line in found.told)


def test_the_nearest_of_several_buildings_is_the_house() -> None:
    shed = prism("shed", box(20_000, 0, 30_000, 9_000), 0.0, 2300.0)
    site = take_in("x", [flat("deck", RECTANGLE, 150.0)], [shed, hollow("house", HOUSE, 2600.0)]).site
    assert site.house is not None
    assert same_ring(site.house.walls, HOUSE)


def test_walls_without_thickness_close_over_their_doors() -> None:
    start, end = (1000.0, 0.0), (2800.0, 0.0)
    ring = [end, (6000.0, 0.0), (6000.0, 4000.0), (0.0, 4000.0), (0.0, 0.0), start]
    corners = [(x, y, z) for x, y in ring for z in (0.0, 2600.0)]
    faces = [f for i in range(0, 2 * (len(ring) - 1), 2) for f in ((i, i + 2, i + 3), (i, i + 3, i + 1))]
    sheet = Solid("house", np.array(corners), np.array(faces))
    drawn = flat("deck", RECTANGLE, 150.0)
    with pytest.raises(SiteError, match="pick its doors too"):
        take_in("x", [drawn], [sheet])
    site = take_in("x", [drawn], [sheet], doors=[door("patio door", start, end, 150.0, 2250.0)]).site
    assert site.house is not None
    assert same_ring(site.house.walls, HOUSE)
    assert [(o.kind, o.offset, o.width, o.sill, o.height) for o in site.house.openings] == [
        ("sliding", 1000.0, 1800.0, 150.0, 2100.0)
    ]


def test_a_house_that_ends_below_the_boards_is_told() -> None:
    with pytest.raises(SiteError, match="stands from 0 to 100 mm"):
        take_in("x", [flat("deck", RECTANGLE, 150.0)], [hollow("plinth", HOUSE, 100.0)])


def test_a_house_is_drawn_behind_the_edges_at_a_wall() -> None:
    # Round an outer corner of the house, so that the deck lies before two of its walls.
    outline = ((0.0, 0.0), (6000.0, 0.0), (6000.0, 6000.0), (3000.0, 6000.0), (3000.0, 3000.0), (0.0, 3000.0))
    walls = Polygon(house_behind(outline, [3, 4]))
    assert walls.contains(Point(1000, 5000))
    assert walls.intersection(Polygon(outline)).area < 1.0
    assert walls.boundary.intersection(Polygon(outline).boundary).length == pytest.approx(6000.0, abs=1.0)
    with pytest.raises(SiteError, match="follow each other"):
        house_behind(outline, [0, 3])


def test_doors_far_from_any_wall_are_left_out_and_told() -> None:
    far = door("garage door", (0.0, -9000.0), (2000.0, -9000.0), 0.0, 2100.0)
    found = take_in("x", [flat("deck", RECTANGLE, 150.0)], [hollow("house", HOUSE, 2600.0)], doors=[far])
    assert found.site.house is not None and not found.site.house.openings
    assert any("garage door" in line for line in found.told)


# Obstacles


def test_a_section_through_a_cone_is_a_circle_of_its_radius() -> None:
    turns = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    foot = np.stack([400 * np.cos(turns), 400 * np.sin(turns), np.zeros(720)], axis=1)
    cone = Solid("cone", np.vstack([foot, [0.0, 0.0, 800.0]]), np.array([(i, (i + 1) % 720, 720) for i in range(720)]))
    assert section_at(cone, 200.0).area == pytest.approx(np.pi * 300**2, rel=1e-3)
    # Between two levels its shadow is that of the lower one.
    assert shadow_between(cone, 200.0, 400.0).area == pytest.approx(np.pi * 300**2, rel=1e-3)


def test_boards_go_round_a_trunk_and_not_round_its_crown() -> None:
    trunk, crown = box(2000, -1600, 2300, -1300), box(0, -3000, 4000, 0)
    parts = [prism("t", trunk, -300.0, 2500.0), prism("c", crown, 2200.0, 5000.0)]
    at = len(parts[0].vertices)
    tree = Solid(
        "apple tree",
        np.vstack([part.vertices for part in parts]),
        np.vstack([parts[0].triangles, parts[1].triangles + at]),
        "tree",
    )
    (found,) = take_in("x", [flat("deck", RECTANGLE, 150.0)], obstacles=[tree]).site.obstacles
    assert found.kind == "tree"
    assert obstacle_polygon(found).symmetric_difference(trunk).area < 1.0


def test_a_cover_under_the_boards_gets_a_panel_over_it() -> None:
    cover = prism("manhole", box(2000, -1600, 2600, -1150), -100.0, 5.0, "cover")
    (found,) = take_in("x", [flat("deck", RECTANGLE, 150.0)], obstacles=[cover]).site.obstacles
    assert (found.kind, found.treatment) == ("cover", "hatch")


@pytest.mark.parametrize(
    "thing",
    [prism("lamp", box(1000, -1000, 1200, -800), 2000, 2400), prism("lamp", box(9000, 0, 9100, 100), 0, 2400)],
    ids=["overhead", "beside"],
)
def test_what_does_not_meet_the_boards_is_left_out_and_told(thing: Solid) -> None:
    found = take_in("x", [flat("deck", RECTANGLE, 150.0)], obstacles=[thing])
    assert not found.site.obstacles
    assert any("'lamp'" in line for line in found.told)


# Several decks


def test_further_outlines_are_decks_of_their_own() -> None:
    upper = [(5000.0, 0.0), (8000.0, 0.0), (8000.0, -3000.0), (5000.0, -3000.0)]
    post = prism("post", box(4950, -1050, 5050, -950), -500.0, 3000.0, "post")
    drawn = [flat("deck", RECTANGLE, 150.0), flat("terrace", upper, 450.0)]
    site = take_in("x", drawn, obstacles=[post]).site
    assert [(deck.name, deck.surface) for deck in site.decks] == [("terrace", 450.0)]
    assert len(site.obstacles) == 1  # one post, though it meets both
    assert len({zone.deck for zone in design(site).zones}) == 2

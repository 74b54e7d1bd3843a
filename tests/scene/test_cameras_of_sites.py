"""Where cameras stand on sites that were not drawn for them: the demo scenes, and sites made by chance."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from courseline.engine import design, read_site
from courseline.engine.layout.obstacles import obstacle_polygon
from courseline.engine.scene import build_scene
from courseline.engine.scene.model import Camera, SceneModel
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site
from generated_sites import generated_site
from shapely.geometry import Point, Polygon
from standing import cameras_in_plants

DEMO = Path(__file__).parents[2] / "demo_scenes"
CHANCE = (3, 5, 6, 13, 20, 28)
QUICK = ("one_wall", "house_corner", "chance 3")
EYE_LEVEL = ("garden", "doorway", "corner")
SITES = {
    **{path.stem: lambda path=path: read_site(path) for path in sorted(DEMO.glob("*.toml"))},
    **{f"chance {number}": lambda number=number: with_a_house(number) for number in CHANCE},
}


def with_a_house(number: int) -> Site:
    """A site made by chance, with a house beside the first edge of its deck that stands at one."""
    raw = generated_site(number)
    ring = raw["deck"]["outline"]
    edge = (raw["deck"]["house_edges"] or [0])[0]
    (x0, y0), (x1, y1) = ring[edge], ring[(edge + 1) % len(ring)]
    out = (4_000.0 if Polygon(ring).exterior.is_ccw else -4_000.0) / math.dist((x0, y0), (x1, y1))
    dx, dy = out * (y1 - y0), -out * (x1 - x0)
    house = Polygon([(x0, y0), (x1, y1), (x1 + dx, y1 + dy), (x0 + dx, y0 + dy)])
    if house.intersection(Polygon(ring)).area < 1.0:
        raw["house"] = {"walls": [list(each) for each in house.exterior.coords[:-1]]}
        raw["deck"]["house_edges"] = [edge]
    return site_from_table(raw)


@pytest.fixture(
    scope="module", params=[name if name in QUICK else pytest.param(name, marks=pytest.mark.long) for name in SITES]
)
def seen(request) -> tuple[Site, SceneModel]:
    site = SITES[request.param]()
    return site, build_scene(design(site, "quick"))


def at_eye_level(model: SceneModel) -> list[Camera]:
    found = [camera for camera in model.cameras if camera.name in EYE_LEVEL]
    assert [camera.name for camera in found] == list(EYE_LEVEL)
    return found


@pytest.mark.slow
def test_no_camera_stands_in_a_wall_or_in_what_rises(seen: tuple[Site, SceneModel]) -> None:
    site, model = seen
    rising = [
        obstacle_polygon(each)
        for each in site.obstacles
        if each.kind not in ("gully", "cover") and each.treatment != "hatch"
    ]
    for camera in at_eye_level(model):
        spot = Point(camera.position[:2])
        assert site.house is None or Polygon(site.house.walls).distance(spot) >= 300.0, camera.name
        assert all(shape.distance(spot) >= 300.0 for shape in rising), camera.name


def test_no_camera_stands_in_a_hedge_or_a_tree(seen: tuple[Site, SceneModel]) -> None:
    assert cameras_in_plants(seen[1]) == []


def test_verticals_are_straight_and_lenses_natural(seen: tuple[Site, SceneModel]) -> None:
    """From 20 mm, below which corners of a room are drawn out, to 50 mm (common practice, no source)."""
    _, model = seen
    for camera in at_eye_level(model):
        assert camera.pitch == 0.0
        assert 20.0 <= camera.lens <= 50.0
        assert abs(camera.shift_y) <= 0.4


def test_the_deck_is_in_every_picture(seen: tuple[Site, SceneModel]) -> None:
    site, model = seen
    decks = [Polygon(site.deck.outline), *(Polygon(deck.outline) for deck in site.decks)]
    for camera in at_eye_level(model):
        half = math.degrees(math.atan(18 / camera.lens))
        x, y = camera.position[:2]
        ways = [math.radians(camera.heading + share * half) for share in (-0.9, -0.45, 0.0, 0.45, 0.9)]
        spots = [Point(x + far * math.sin(w), y + far * math.cos(w)) for w in ways for far in range(1_500, 6_000, 250)]
        assert any(deck.contains(spot) for deck in decks for spot in spots), camera.name

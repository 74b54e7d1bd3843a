"""The close view shows what differs between choices, and stands where a camera can stand."""

from __future__ import annotations

from functools import cache
from math import cos, hypot, radians, sin, tan
from pathlib import Path

import pytest
from courseline.engine import design, read_site
from courseline.engine.plan import Plan
from courseline.engine.scene.choices import build_scenes
from courseline.engine.scene.differing import BOARDS, where_they_differ
from courseline.engine.scene.model import Camera, SceneModel
from courseline.engine.variants import variants
from shapely.geometry import Point, Polygon

DEMO = Path(__file__).parents[2] / "demo_scenes"
VARIED = [("one_wall", "pattern"), ("house_corner", "border")]


@cache
def compared(name: str, vary: str) -> tuple[list[Plan], tuple[SceneModel, ...]]:
    plans = [design(choice.site, "quick") for choice in variants(read_site(DEMO / f"{name}.toml"), vary)]
    return plans, build_scenes(plans)


def shown(camera: Camera, surface: float) -> Point:
    """The place on the boards in the middle of the picture."""
    ahead = (camera.position[2] - surface) / tan(radians(-camera.pitch))
    way = radians(camera.heading)
    return Point(camera.position[0] + ahead * sin(way), camera.position[1] + ahead * cos(way))


@pytest.mark.slow
@pytest.mark.parametrize(("name", "vary"), VARIED)
def test_every_choice_shows_the_same_place_and_no_two_show_the_same_boards(name: str, vary: str) -> None:
    plans, scenes = compared(name, vary)
    assert len({scene.cameras[-1] for scene in scenes}) == 1
    camera, site = scenes[0].cameras[-1], plans[0].site
    width = site.boards.width
    round_it = shown(camera, site.deck.surface).buffer(BOARDS / 2 * width)
    first, *others = [
        sorted(
            round(part.area)
            for part in (Polygon(piece.polygon.outer).intersection(round_it) for piece in plan.pieces)
            if part.area > width
        )
        for plan in plans
    ]
    assert any(other != first for other in others)
    assert Polygon(site.house.walls).distance(Point(camera.position[:2])) >= 150.0
    assert hypot(camera.position[0] - round_it.centroid.x, camera.position[1] - round_it.centroid.y) < 3_000.0


@pytest.mark.slow
def test_a_border_is_seen_where_it_turns() -> None:
    plans, scenes = compared("house_corner", "border")
    place = shown(scenes[0].cameras[-1], plans[0].site.deck.surface)
    bordered = next(plan for plan in plans if any(piece.kind == "border" for piece in plan.pieces))
    rows = [Polygon(piece.polygon.outer) for piece in bordered.pieces if piece.kind == "border"]
    assert min(row.distance(place) for row in rows) < bordered.site.boards.width
    assert min(place.distance(Point(corner)) for corner in bordered.site.deck.outline) < 600.0


@pytest.mark.slow
@pytest.mark.parametrize("vary", ["side", "direction"])
def test_boards_of_another_face_or_direction_are_seen_as_two_boards(vary: str) -> None:
    plans = [design(choice.site, "quick") for choice in variants(read_site(DEMO / "one_wall.toml"), vary)]
    _, scenes = compared("one_wall", "pattern")
    assert where_they_differ(plans, scenes[0]) is None

"""The scenes of choices: one house for all, and a close view that two boards fill."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from courseline.engine import design, read_site
from courseline.engine.plan import Plan
from courseline.engine.scene import assemble, build_scene
from courseline.engine.scene.choices import build_scenes
from courseline.engine.scene.model import Camera, SceneModel
from courseline.engine.scene.two_boards import SHAPE, two_boards
from courseline.engine.variants import variants
from shapely.geometry import Polygon

SCENE = Path(__file__).parents[2] / "demo_scenes" / "one_wall.toml"
DECK = ("boards", "blocks", "fixings", "materials", "cameras")


@pytest.fixture(scope="module")
def turned() -> tuple[list[Plan], tuple[SceneModel, ...]]:
    plans = [design(choice.site, "quick") for choice in variants(read_site(SCENE), "direction")]
    return plans, build_scenes(plans)


@pytest.mark.slow
def test_choices_share_house_garden_and_views(turned: tuple[list[Plan], tuple[SceneModel, ...]]) -> None:
    _, scenes = turned
    first, *others = scenes
    for scene in others:
        for name in SceneModel.__dataclass_fields__:
            if name not in DECK:
                assert getattr(scene, name) is getattr(first, name), name
        assert scene.cameras[:-1] == first.cameras[:-1]
        assert scene.boards != first.boards


@pytest.mark.slow
def test_each_choice_has_the_boards_that_it_has_alone(turned: tuple[list[Plan], tuple[SceneModel, ...]]) -> None:
    for plan, scene in zip(*turned, strict=True):
        alone = build_scene(plan)
        assert (scene.boards, scene.blocks, scene.fixings) == (alone.boards, alone.blocks, alone.fixings)
        assert scene.materials == alone.materials


@pytest.mark.slow
def test_the_house_is_made_once(
    turned: tuple[list[Plan], tuple[SceneModel, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    plans, _ = turned
    made = []
    for name in ("_house", "garden", "cameras"):
        real = getattr(assemble, name)
        monkeypatch.setattr(assemble, name, lambda *given, real=real, name=name: (made.append(name), real(*given))[1])
    build_scenes(plans)
    assert sorted(made) == ["_house", "cameras", "garden"]


@pytest.mark.slow
def test_choices_of_two_jobs_are_refused(turned: tuple[list[Plan], tuple[SceneModel, ...]]) -> None:
    plans, _ = turned
    site = plans[1].site
    other = replace(plans[1], site=replace(site, house=replace(site.house, height=3000.0)))
    with pytest.raises(ValueError, match="are not those of"):
        build_scenes([plans[0], other])
    lower = replace(plans[1], site=replace(site, deck=replace(site.deck, surface=120.0)))
    with pytest.raises(ValueError, match="are not those of"):
        build_scenes([plans[0], lower])


def seen(camera: Camera, points: np.ndarray) -> np.ndarray:
    """Project points (n, 3) onto the picture: shares of half its width and half its height, (n, 2)."""
    heading, pitch = np.radians(camera.heading), np.radians(camera.pitch)
    ahead = np.array([np.sin(heading) * np.cos(pitch), np.cos(heading) * np.cos(pitch), np.sin(pitch)])
    right = np.array([np.cos(heading), -np.sin(heading), 0.0])
    away = points - np.array(camera.position)
    depth = away @ ahead
    half = 36.0 / camera.lens / 2
    return np.stack([away @ right / depth / half, away @ np.cross(right, ahead) / depth / half * SHAPE], axis=1)


@pytest.mark.slow
def test_two_whole_boards_fill_the_close_view(turned: tuple[list[Plan], tuple[SceneModel, ...]]) -> None:
    for plan, scene in zip(*turned, strict=True):
        camera = scene.cameras[-1]
        assert camera.name == "two boards"
        shown = []
        for piece in plan.pieces:
            ring = np.array([(x, y, piece.top) for x, y in piece.polygon.outer])
            frame = Polygon([(-1, -1), (1, -1), (1, 1), (-1, 1)])
            part = Polygon(seen(camera, ring)).buffer(0).intersection(frame).area / frame.area
            shown.append((part, piece))
        shares = sorted((part for part, _ in shown), reverse=True)
        assert shares[0] + shares[1] > 0.94  # the rest is the gaps: 3 of 302 mm each, wider where they are near
        assert shares[1] > 0.40
        assert shares[2] < 0.01
        two = sorted(shown, key=lambda each: each[0])[-2:]
        assert {piece.width for _, piece in two} == {plan.site.boards.width}


@pytest.mark.slow
def test_boards_in_the_sun_are_chosen() -> None:
    """With the sun behind the house and the deck in its shade but for its far end, the view goes to that end."""
    site = read_site(SCENE)
    plan = design(site, "quick")
    scene = build_scene(plan)
    for elevation, reach in ((80.0, -3700.0), (60.0, -3700.0), (45.0, -3700.0)):
        behind = replace(scene, sun=replace(scene.sun, azimuth=0.0, elevation=elevation))
        shade = -(site.house.height - site.deck.surface) / np.tan(np.radians(elevation))
        y = two_boards(plan, behind).position[1]
        assert reach - 1500.0 < y < shade


@pytest.mark.slow
def test_without_two_whole_boards_the_close_view_serves() -> None:
    plan = design(read_site(SCENE), "quick")
    scene = build_scene(plan)
    close = next(camera for camera in scene.cameras if camera.name == "close")
    assert two_boards(replace(plan, pieces=()), scene) == replace(close, name="two boards")

import dataclasses
import math

import pytest
from courseline.engine.decode import decode
from courseline.engine.errors import SiteError
from courseline.engine.layout.obstacles import obstacle_polygon
from courseline.engine.scene import build_scene
from courseline.engine.spec import House, Look, Obstacle, View
from plans import HOUSE, OBSTACLES, SURFACE, small_plan
from shapely.geometry import LineString, Point, Polygon
from standing import cameras_in_plants

EYE = 1600.0
ACUTE = House(walls=((0, 0), (6000, 0), (9000, -5000), (9500, 5200), (-400, 6000)), openings=HOUSE.openings[:1])
BACKWARDS = House(walls=HOUSE.walls[::-1])


@pytest.mark.slow
@pytest.mark.parametrize("house", [HOUSE, ACUTE, BACKWARDS, None])
@pytest.mark.parametrize("name", ["garden", "doorway", "corner"])
def test_nobody_stands_in_a_wall_or_an_obstacle(house, name):
    camera = next(each for each in build_scene(small_plan(house)).cameras if each.name == name)
    spot = Point(camera.position[:2])
    if house is not None:
        assert Polygon(house.walls).distance(spot) >= 300.0
    for obstacle in OBSTACLES:
        if obstacle.kind not in ("gully", "cover"):
            assert obstacle_polygon(obstacle).distance(spot) >= 300.0


@pytest.mark.slow
@pytest.mark.parametrize("name", ["garden", "doorway"])
def test_the_eye_is_a_standing_persons_and_verticals_are_straight(name):
    plan = small_plan()
    camera = next(each for each in build_scene(plan).cameras if each.name == name)
    on_deck = Polygon(plan.site.deck.outline).covers(Point(camera.position[:2]))
    assert camera.position[2] == EYE + (SURFACE if on_deck else 0.0)
    assert camera.pitch == 0.0
    assert 20.0 <= camera.lens <= 35.0


@pytest.mark.slow
@pytest.mark.parametrize("house", [HOUSE, None])
def test_the_corner_view_shows_a_corners_foot_with_deck_round_it_and_straight_verticals(house):
    plan = small_plan(house)
    camera = next(each for each in build_scene(plan).cameras if each.name == "corner")
    assert camera.pitch == 0.0
    corners = [(6000, 0), (6000, -2250), (0, 0)] if house else plan.site.deck.outline
    seen = []
    for x, y in corners:
        away = math.hypot(x - camera.position[0], y - camera.position[1])
        turn = math.degrees(math.atan2(x - camera.position[0], y - camera.position[1])) - camera.heading
        down = (camera.position[2] - SURFACE) / away * camera.lens / 36  # shares of the picture's width, 36 mm
        seen.append(abs((turn + 180) % 360 - 180) < 0.1 and abs(-down - camera.shift_y) < 9 / 16 / 2)
    assert seen.count(True) == 1


@pytest.mark.slow
def test_one_sees_from_a_garden_chair():
    plan = small_plan()
    sitting = dataclasses.replace(plan, site=dataclasses.replace(plan.site, look=Look(eye="sitting")))
    for camera, standing in zip(build_scene(sitting).cameras[:2], build_scene(plan).cameras[:2], strict=True):
        on_deck = Polygon(plan.site.deck.outline).covers(Point(camera.position[:2]))
        assert camera.position[2] - (SURFACE if on_deck else 0.0) == 1150.0 < standing.position[2]


@pytest.mark.slow
def test_one_sees_from_any_height_that_is_asked_for():
    plan = small_plan()
    from_steps = dataclasses.replace(plan, site=dataclasses.replace(plan.site, look=Look(eye=1_350.0)))
    for camera in build_scene(from_steps).cameras[:2]:
        on_deck = Polygon(plan.site.deck.outline).covers(Point(camera.position[:2]))
        assert camera.position[2] - (SURFACE if on_deck else 0.0) == 1_350.0


@pytest.mark.parametrize(
    ("written", "unit", "eye"),
    [("sitting", "mm", "sitting"), (1400, "mm", 1400.0), (1.4, "m", 1400.0), ("1.4 m", "mm", 1400.0)],
)
def test_an_eye_is_a_name_or_a_height(written, unit, eye):
    assert decode({"eye": written}, Look, unit).eye == eye


@pytest.mark.parametrize("written", ["stood", 100, "40 cm 2", 3001])
def test_any_other_eye_is_refused(written):
    with pytest.raises(SiteError, match="eye"):
        decode({"eye": written}, Look)


@pytest.mark.slow
def test_no_camera_hangs_in_a_hedge_or_a_crown():
    assert cameras_in_plants(build_scene(small_plan())) == []


@pytest.mark.slow
def test_the_garden_view_looks_at_the_glass_over_the_deck():
    plan = small_plan()
    camera = build_scene(plan).cameras[0]
    spot, door = Point(camera.position[:2]), Point(2700, -50)
    assert not LineString([spot, door]).crosses(Polygon(HOUSE.walls))
    assert Polygon(plan.site.deck.outline).intersects(LineString([spot, door]))
    bearing = math.degrees(math.atan2(door.x - spot.x, door.y - spot.y))
    turn = (bearing - camera.heading + 180) % 360 - 180
    assert abs(turn) < math.degrees(math.atan(18 / camera.lens))


@pytest.mark.slow
def test_a_post_is_not_stood_right_in_front_of():
    free = build_scene(small_plan(obstacles=())).cameras[0]
    post = Obstacle(name="new", kind="post", centre=free.position[:2], diameter=200)
    moved = build_scene(small_plan(obstacles=(post,))).cameras[0]
    assert Point(free.position[:2]).distance(Point(moved.position[:2])) > 300.0


@pytest.mark.slow
def test_the_close_view_aims_at_boards():
    plan = small_plan()
    camera = next(each for each in build_scene(plan).cameras if each.name == "close")
    ahead = (camera.position[2] - SURFACE) / math.tan(math.radians(-camera.pitch))
    bearing = math.radians(camera.heading)
    aim = Point(camera.position[0] + ahead * math.sin(bearing), camera.position[1] + ahead * math.cos(bearing))
    assert Polygon(plan.site.deck.outline).buffer(-450).contains(aim)


@pytest.mark.slow
def test_a_view_of_ones_own_looks_from_one_point_to_another():
    plan = small_plan()
    look = Look(view=View(start=(0, -5000, 2000), target=(3000, -1000, -3000), lens=35))
    model = build_scene(dataclasses.replace(plan, site=dataclasses.replace(plan.site, look=look)))
    assert model.view == "own"
    camera = model.cameras[-1]
    assert (camera.position, camera.lens) == ((0, -5000, 2000), 35)
    assert (camera.heading, camera.pitch) == pytest.approx((36.87, -45.0), abs=0.01)


@pytest.mark.slow
def test_a_view_of_ones_own_that_is_nearly_level_keeps_verticals_straight():
    look = Look(view=View(start=(0, -5000, 1600), target=(3000, -1000, 350), lens=36))
    plan = small_plan()
    camera = build_scene(dataclasses.replace(plan, site=dataclasses.replace(plan.site, look=look))).cameras[-1]
    # 1250 down in 5000 along: a quarter of the lens, which is as long as the sensor is wide
    assert (camera.heading, camera.pitch, camera.shift_y) == pytest.approx((36.87, 0.0, -0.25), abs=0.01)

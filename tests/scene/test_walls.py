import math

import numpy as np
import pytest
from courseline.engine.scene.brickwork import SOLDIER
from courseline.engine.scene.walls import REVEAL, shell, walls_of
from courseline.engine.spec import House, Opening
from plans import HOUSE, SURFACE


def area(mesh, faces):
    total = 0.0
    for face in faces:
        points = np.array([mesh.vertices[corner] for corner in face])
        fan = np.cross(points[1:-1] - points[0], points[2:] - points[0])
        total += np.linalg.norm(fan.sum(axis=0)) / 2
    return total


def on_face(mesh, wall):
    """Those of a wall's faces that lie in its outer face."""
    x, y = wall.start
    return [
        face
        for face in mesh.faces
        if all(
            abs((mesh.vertices[c][0] - x) * wall.out[0] + (mesh.vertices[c][1] - y) * wall.out[1]) < 1e-6 for c in face
        )
    ]


def test_a_wall_is_cut_round_its_opening():
    wall = walls_of(HOUSE, SURFACE)[0]
    mesh = shell(wall, 0.0, 2600.0, brick=True)
    assert area(mesh, on_face(mesh, wall)) == pytest.approx(6000 * 2600 - 3600 * 2100)


def test_reveals_are_as_deep_as_a_brick():
    wall = walls_of(HOUSE, SURFACE)[0]
    mesh = shell(wall, 0.0, 2600.0, brick=True)
    inner = [face for face in mesh.faces if face not in on_face(mesh, wall)]
    assert REVEAL == 102.5
    assert area(mesh, inner) == pytest.approx(REVEAL * (2 * 2100 + 3600))


def test_soldiers_stand_over_the_opening_and_no_stretchers_behind_them():
    wall = walls_of(HOUSE, SURFACE)[0]
    mesh = shell(wall, 0.0, 2600.0, brick=True)
    soldiers = [face for face, tag in zip(mesh.faces, mesh.tags, strict=True) if tag[1] == 0.0]
    assert area(mesh, [face for face in soldiers if face in on_face(mesh, wall)]) == pytest.approx(3600 * SOLDIER)


def test_a_ring_may_run_either_way_round():
    backwards = House(
        walls=HOUSE.walls[::-1],
        openings=(Opening(wall=4, offset=1500, width=3600, height=2100, sill=150, kind="folding", leaves=4),),
    )
    forwards, reverse = walls_of(HOUSE, SURFACE), walls_of(backwards, SURFACE)
    here = next(wall for wall in reverse if wall.holes)
    assert here.number == 4
    hole, twin = here.holes[0], forwards[0].holes[0]
    assert here.at(hole.start, 0, 0) == pytest.approx(forwards[0].at(twin.start, 0, 0))
    assert here.at(hole.end, 0, 0) == pytest.approx(forwards[0].at(twin.end, 0, 0))
    assert here.out == pytest.approx((0, -1))


def test_a_door_never_starts_below_the_boards():
    house = House(walls=HOUSE.walls, openings=(Opening(wall=0, offset=900, width=900, height=2000, kind="door"),))
    hole = walls_of(house, SURFACE)[0].holes[0]
    assert (hole.bottom, hole.top) == (SURFACE, SURFACE + 2000)


def test_brick_coordinates_are_true_lengths():
    wall = walls_of(HOUSE, SURFACE)[0]
    mesh = shell(wall, 0.0, 2600.0, brick=True)
    at = 0
    for face in mesh.faces:
        uv = mesh.uv[at : at + len(face)]
        at += len(face)
        points = [mesh.vertices[corner] for corner in face]
        for i in range(len(face)):
            true = math.dist(points[i], points[i - 1])
            assert math.dist(uv[i], uv[i - 1]) == pytest.approx(true, rel=0.016, abs=1e-6)


def test_walls_out_of_square_stay_closed():
    walls = walls_of(House(walls=((0, 0), (5000, 700), (6000, 4000), (-300, 4100))), SURFACE)
    for wall, following in zip(walls, (*walls[1:], walls[0]), strict=True):
        assert wall.at(wall.length, 0, 0)[:2] == pytest.approx(following.start)

"""The model for a phone, read back by libraries that know nothing of us: trimesh for glTF, OpenUSD for USDZ."""

from __future__ import annotations

import io
import json
import struct
import zipfile
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from courseline.engine import design, read_site
from courseline.engine.phone import Meshed, PhoneModel, Picture, Skin, phone_model
from courseline.engine.phone.atlas import SKIN, swatches
from courseline.engine.phone.geometry import triangulated
from courseline.engine.phone.glb import glb
from courseline.engine.phone.tiles import HEIGHTS, OVERLAP, WIDTH, wall_tile
from courseline.engine.phone.usdz import index_of_refraction, usdz
from courseline.engine.plan import Plan
from courseline.engine.scene.walls import walls_of
from courseline.engine.spec import House
from shapely.geometry import Polygon

SCENES = Path(__file__).parents[2] / "demo_scenes"
MM = 0.001
EXACT = 0.0005
"""Half a millimetre [m]: the files hold single-precision numbers."""


@cache
def plan_of(name: str) -> Plan:
    return design(read_site(SCENES / f"{name}.toml"), "quick")


@cache
def model_of(name: str) -> PhoneModel:
    return phone_model(plan_of(name))


def skins_of(model: PhoneModel) -> dict[str, Skin]:
    """Shade everything plainly but what has a picture, which is one of two pixels here."""
    image = pytest.importorskip("PIL.Image")
    file = io.BytesIO()
    image.new("RGB", (2, 2), (120, 100, 80)).save(file, "JPEG")
    picture = Picture(file.getvalue(), file.getvalue())
    pictured = {SKIN, *model.tiles}
    return {
        mesh.skin: Skin((0.2, 0.15, 0.1), 0.6, 0.016, picture=picture if mesh.skin in pictured else None)
        for mesh in model.meshes
    }


@cache
def glb_of(name: str) -> bytes:
    return glb(model_of(name), skins_of(model_of(name)))


def read_glb(content: bytes):
    """Read a file by trimesh, each mesh with its equal corners made one, by its name."""
    trimesh = pytest.importorskip("trimesh")
    scene = trimesh.load_scene(io.BytesIO(content), file_type="glb")
    shapes = {name: shape.copy() for name, shape in scene.geometry.items()}
    for shape in shapes.values():
        shape.merge_vertices(merge_norm=True, merge_tex=True)
    return scene, shapes


def bodies(faces: np.ndarray) -> int:
    """Count what hangs together: corners of a triangle are one, until nothing more is to be joined."""
    of = np.arange(faces.max() + 1)
    while True:
        least = of[faces].min(axis=1)
        joined = of.copy()
        np.minimum.at(joined, faces.ravel(), np.repeat(least, 3))
        if (joined == of).all():
            return len(np.unique(of[np.unique(faces)]))
        of = joined


def outline(plan: Plan) -> np.ndarray:
    return np.array(plan.site.deck.outline) * MM


@pytest.mark.slow
def test_the_deck_is_as_large_as_its_outline_and_lies_at_its_height() -> None:
    plan = plan_of("one_wall")
    _, shapes = read_glb(glb_of("one_wall"))
    deck = shapes["Deck"]
    wide, deep = np.ptp(outline(plan), axis=0)
    # glTF's y is up, its z towards the viewer (glTF 2.0, 3.4): what is north of the plan lies at -z.
    x, y, z = deck.bounds[1] - deck.bounds[0]
    assert x == pytest.approx(wide, abs=EXACT)
    assert y == pytest.approx(plan.site.boards.thickness * MM, abs=EXACT)
    assert deep - (plan.site.gaps.wall + 1) * MM <= z <= deep + EXACT
    assert deck.bounds[1][1] == pytest.approx(plan.site.deck.surface * MM, abs=EXACT)


@pytest.mark.slow
def test_the_deck_holds_every_board_whole() -> None:
    plan = plan_of("one_wall")
    _, shapes = read_glb(glb_of("one_wall"))
    deck = shapes["Deck"]
    assert bodies(deck.faces) == len(plan.pieces)
    pieces = [Polygon(piece.polygon.outer, piece.polygon.holes) for piece in plan.pieces]
    whole = sum(piece.area for piece in pieces) * plan.site.boards.thickness * MM**3
    assert deck.volume == pytest.approx(whole, rel=1e-4)  # positive too: every face looks out


@pytest.mark.slow
def test_the_frame_is_that_of_the_plan() -> None:
    plan = plan_of("house_corner")
    _, shapes = read_glb(glb_of("house_corner"))
    sections = [np.linalg.norm(np.subtract(m.end, m.start)) * m.section[0] * m.section[1] for m in plan.members]
    assert shapes["Frame"].volume == pytest.approx(sum(sections) * MM**3, rel=1e-4)


@pytest.mark.slow
def test_the_walls_stand_where_the_site_file_has_them() -> None:
    plan, model = plan_of("house_corner"), model_of("house_corner")
    _, shapes = read_glb(glb_of("house_corner"))
    walls = (np.array(plan.site.house.walls) - model.centre) * MM
    low, high = shapes["Wall"].bounds
    assert (low[0], -high[2]) == pytest.approx(tuple(walls.min(axis=0)), abs=EXACT)
    assert (high[0], -low[2]) == pytest.approx(tuple(walls.max(axis=0)), abs=EXACT)
    assert high[1] == pytest.approx(plan.site.house.height * MM, abs=EXACT)


def test_a_site_far_from_its_origin_stands_about_the_models_own() -> None:
    site = read_site(SCENES / "one_wall.toml")
    low, high = np.array(site.deck.outline).min(axis=0), np.array(site.deck.outline).max(axis=0)
    assert model_of("one_wall").centre == pytest.approx(tuple((low + high) / 2), abs=0.5)


@pytest.mark.slow
def test_equal_plans_give_equal_bytes() -> None:
    again = phone_model(design(read_site(SCENES / "one_wall.toml"), "quick"))
    assert glb(again, skins_of(again)) == glb_of("one_wall")
    assert usdz(again, skins_of(again)) == usdz(model_of("one_wall"), skins_of(again))


def test_the_file_says_of_itself_what_the_standard_asks() -> None:
    """Header and chunks of a .glb (glTF 2.0, 4.4)."""
    content = glb_of("one_wall")
    magic, version, length = struct.unpack_from("<4sII", content)
    assert (magic, version, length) == (b"glTF", 2, len(content))
    size, kind = struct.unpack_from("<I4s", content, 12)
    assert (size % 4, kind) == (0, b"JSON")
    said = json.loads(content[20 : 20 + size])
    rest, kind = struct.unpack_from("<I4s", content, 20 + size)
    assert (rest % 4, kind, 28 + size + rest) == (0, b"BIN\0", len(content))
    assert said["buffers"][0]["byteLength"] <= rest
    assert all(view["byteOffset"] % 4 == 0 for view in said["bufferViews"])


def test_a_board_shows_the_part_of_a_strip_that_its_place_in_the_stock_gives() -> None:
    plan, model = plan_of("one_wall"), model_of("one_wall")
    deck, atlas = model.meshes[0], model.atlas
    ends = np.cumsum(deck.sizes)
    tops: dict[float, list[tuple[float, float]]] = {}
    for start, end in zip(ends - deck.sizes, ends, strict=True):
        z = deck.corners[start:end, 2]
        if np.ptp(z) == 0 and z[0] == plan.site.deck.surface:
            u, v = deck.uv[start:end].T
            strip, share = divmod(v.mean() * atlas.height, atlas.width)
            assert share == pytest.approx(atlas.width / 2, abs=atlas.width / 2)
            assert 0 <= strip < 6
            tops.setdefault(strip, []).append((u.min() * atlas.reach, u.max() * atlas.reach))
    assert len(tops) == 6  # no strip is left out
    shown = sorted(round(high - low) for spans in tops.values() for low, high in spans)
    assert shown == sorted(round(piece.length) for piece in plan.pieces)


def test_strips_are_as_light_on_the_whole_as_the_colour_that_was_asked_for() -> None:
    laid = swatches(model_of("one_wall").atlas)
    firsts, thirds = laid.randoms[:, 0], laid.randoms[:, 2]
    strips = {tuple(row) for row in np.column_stack([firsts, thirds])}
    assert np.mean([first + third for first, third in strips]) == pytest.approx(1.0)
    assert np.ptp([first for first, _ in strips]) > 0.5


@pytest.mark.parametrize("bond", ["stretcher", "flemish", "english"])
def test_brickwork_repeats_without_a_cut_brick(bond: str) -> None:
    house = House(walls=((0, 0), (1, 0), (1, 1)), bond=bond)
    (surface,) = wall_tile(house).surfaces
    edges: dict[float, set[float]] = {}
    for face, tag in zip(surface.faces, surface.tags, strict=True):
        corners = np.array([surface.vertices[i] for i in face])
        if tag[0] > 0 and np.ptp(corners[:, 2]) == 0 and corners[0, 2] > -0.1:  # the face of a brick, no arris
            edges.setdefault(corners[:, 1].min().round(), set()).add(corners[:, 0].min().round(1))
    assert len(edges) == round(HEIGHTS["brick"] / 75)
    begun = {low: sorted(at for at in left if 1 < at < OVERLAP) for low, left in edges.items()}
    again = {low: sorted(at - WIDTH for at in left if WIDTH + 1 < at < WIDTH + OVERLAP) for low, left in edges.items()}
    assert any(begun.values())
    for low, left in begun.items():
        assert left == pytest.approx(again[low], abs=1.0)


def test_a_plain_square_becomes_two_triangles_that_look_up() -> None:
    corners = np.array([(0, 0, 0), (1000, 0, 0), (1000, 2000, 0), (0, 2000, 0)], float)
    shape = triangulated(Meshed("one", "one", corners, np.array([4], np.int32), np.zeros((4, 2))))
    assert shape.corners.tolist() == [[0, 0, 0], [1, 0, 0], [1, 0, -2], [0, 0, -2]]
    assert shape.normals.tolist() == [[0, 1, 0]] * 4
    assert shape.indices.tolist() == [[0, 1, 2], [0, 2, 3]]


@pytest.mark.parametrize(
    ("uv", "tangent"),
    [
        ([(0, 0), (1, 0), (1, 1), (0, 1)], (1, 0, 0, 1)),
        ([(1, 0), (0, 0), (0, 1), (1, 1)], (-1, 0, 0, -1)),  # mirrored
        ([(0, 0), (0, 1), (-1, 1), (-1, 0)], (0, 0, 1, 1)),  # u towards -y, which is +z with y up
    ],
)
def test_tangents_run_where_u_grows(uv: list[tuple[int, int]], tangent: tuple[int, ...]) -> None:
    """By glTF 2.0 (3.7.2.1) the bitangent is the cross product of normal and tangent, times the tangent's w."""
    corners = np.array([(0, 0, 0), (1000, 0, 0), (1000, 2000, 0), (0, 2000, 0)], float)
    shape = triangulated(Meshed("one", "one", corners, np.array([4], np.int32), np.array(uv, float)))
    assert np.allclose(shape.tangents, [tangent] * 4, atol=1e-6)


def test_tangents_of_all_that_has_a_relief_lie_in_its_surface() -> None:
    model = model_of("house_corner")
    for mesh in model.meshes:
        shape = triangulated(mesh)
        ways, sides = shape.tangents[:, :3], shape.tangents[:, 3]
        assert np.allclose(np.linalg.norm(ways, axis=1), 1.0, atol=1e-5)
        assert np.allclose((ways * shape.normals).sum(axis=1), 0.0, atol=1e-5)
        assert set(np.unique(sides)) <= {-1.0, 1.0}
        if mesh.skin not in {SKIN, *model.tiles}:
            continue
        for a, b, c in shape.indices[:: max(1, len(shape.indices) // 200)]:
            change = np.array([shape.uv[b] - shape.uv[a], shape.uv[c] - shape.uv[a]], float)
            edges = np.array([shape.corners[b] - shape.corners[a], shape.corners[c] - shape.corners[a]], float)
            if abs(np.linalg.det(change)) < 1e-9:
                continue
            along_u, along_v = np.linalg.solve(change, edges)
            assert along_u @ ways[a] / np.linalg.norm(along_u) > 0.999
            assert (np.cross(shape.normals[a], ways[a]) @ along_v) * sides[a] > 0.0


def test_usdz_is_a_plain_zip_with_every_file_on_64_bytes() -> None:
    """OpenUSD, USDZ File Format Specification: nothing compressed, aligned to 64 bytes, the scene first."""
    content = usdz(model_of("one_wall"), skins_of(model_of("one_wall")))
    with zipfile.ZipFile(io.BytesIO(content)) as opened:
        assert opened.testzip() is None
        entries = opened.infolist()
        assert entries[0].filename == "model.usda"
        assert len(entries) == 1 + 2 * 3
        for entry in entries:
            name, extra = struct.unpack_from("<HH", content, entry.header_offset + 26)
            assert (entry.header_offset + 30 + name + extra) % 64 == 0
            assert entry.compress_type == zipfile.ZIP_STORED


@pytest.mark.slow
def test_openusd_reads_the_same_sizes_and_finds_no_fault(tmp_path: Path) -> None:
    usd = pytest.importorskip("pxr.Usd")
    from pxr import UsdGeom, UsdShade

    path = tmp_path / "deck.usdz"
    path.write_bytes(usdz(model_of("house_corner"), skins_of(model_of("house_corner"))))
    stage = usd.Stage.Open(str(path))
    assert (UsdGeom.GetStageMetersPerUnit(stage), UsdGeom.GetStageUpAxis(stage)) == (1.0, "Y")
    _, shapes = read_glb(glb_of("house_corner"))
    boxes = UsdGeom.BBoxCache(usd.TimeCode.Default(), ["default"])
    meshes = [prim for prim in stage.Traverse() if prim.IsA(UsdGeom.Mesh)]
    assert len(meshes) == len(shapes)
    for prim, shape in zip(meshes, (shapes[mesh.name] for mesh in model_of("house_corner").meshes), strict=True):
        box = boxes.ComputeWorldBound(prim).ComputeAlignedRange()
        assert np.array([box.GetMin(), box.GetMax()]) == pytest.approx(shape.bounds, abs=EXACT)
        material, _ = UsdShade.MaterialBindingAPI(prim).ComputeBoundMaterial()
        assert material.ComputeSurfaceSource()[0].GetIdAttr().Get() == "UsdPreviewSurface"
    validation = pytest.importorskip("pxr.UsdValidation")
    every = validation.ValidationRegistry().GetOrLoadAllValidators()
    found = validation.ValidationContext(every).Validate(stage)
    assert [fault.GetErrorAsString() for fault in found] == []


def test_gloss_as_an_index_of_refraction() -> None:
    """Glass of 1.5 reflects 4 % square on (glTF 2.0, appendix B)."""
    assert index_of_refraction(0.04) == pytest.approx(1.5)


def test_walls_go_down_to_the_foot_of_the_frame_and_keep_their_openings() -> None:
    plan = plan_of("one_wall")
    _, shapes = read_glb(glb_of("one_wall"))
    foot = min(min(m.start[2], m.end[2]) - m.section[1] / 2 for m in plan.members) * MM
    assert shapes["Wall"].bounds[0][1] == pytest.approx(min(foot, 0.0), abs=EXACT)
    walls = walls_of(plan.site.house, 0.0)
    holes = sum((hole.end - hole.start) * (hole.top - hole.bottom) for wall in walls for hole in wall.holes)
    gross = sum(wall.length for wall in walls) * (plan.site.house.height - min(foot, 0.0) / MM)
    normals = shapes["Wall"].face_normals
    out = [
        np.abs(normals @ (wall.out[0], 0.0, -wall.out[1])) > 0.99 for wall in walls[:2]
    ]  # two of four: the others are parallel to them
    faced = shapes["Wall"].area_faces[out[0] | out[1]].sum()
    reveals = shapes["Wall"].area - faced
    assert reveals > 0
    assert faced >= (gross - holes) * MM**2 - 1e-3

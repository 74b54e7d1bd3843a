"""A border and a fascia as Blender holds them, in metres, measured by Blender's own means."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

bpy = pytest.importorskip("bpy", reason="needs Blender's Python module")
import bmesh  # noqa: E402 - only where Blender is
import numpy as np  # noqa: E402
from courseline.build import build_deck  # noqa: E402
from courseline.engine import design, read_site  # noqa: E402
from courseline.engine.plan import Area, Piece  # noqa: E402
from courseline.engine.scene import build_scene  # noqa: E402

pytestmark = pytest.mark.slow

SCENE = Path(__file__).parents[2] / "demo_scenes" / "one_wall.toml"
ARRISES = 0.002
"""What the round arrises take of a board's section, at most, as a share."""


@pytest.fixture(scope="module")
def plan():
    return design(read_site(SCENE))


def along_the_front(plan, kind, depth, **of_piece):
    """Lay a piece along the whole of the edge farthest from the wall, mitred at both ends, `depth` mm deep in plan."""
    west, south, east, _ = bounds_of(plan)
    ring = ((west, south), (east, south), (east - depth, south + depth), (west + depth, south + depth))
    return Piece(
        id=f"A-{kind}", zone="A", course=1, kind=kind, polygon=Area(ring), length=east - west, stock="S1",
        cuts=("mitre",), face="grain", direction=0.0, **of_piece,
    )  # fmt: skip


def bounds_of(plan):
    corners = np.array(plan.site.deck.outline)
    return (*corners.min(axis=0), *corners.max(axis=0))


def mesh_of(plan, piece):
    bpy.ops.wm.read_factory_settings(use_empty=True)
    deck = build_deck(build_scene(replace(plan, pieces=(piece,), fixings=())), bpy.context.scene)
    return next(thing.data for thing in deck.all_objects if thing.get("courseline_part") == "boards")


def volume_and_extent(mesh):
    """Volume [m3], and the least and greatest coordinates [m]."""
    solid = bmesh.new()
    solid.from_mesh(mesh)
    volume = solid.calc_volume(signed=True)
    solid.free()
    points = np.array([vertex.co for vertex in mesh.vertices])
    return volume, points.min(axis=0), points.max(axis=0)


def test_a_mitred_border_board_fills_its_outline_and_lies_at_the_top(plan):
    boards = plan.site.boards
    piece = along_the_front(plan, "border", boards.width, width=boards.width, top=520.0)
    volume, low, high = volume_and_extent(mesh_of(plan, piece))
    west, south, east, _ = bounds_of(plan)
    solid = (east - west - boards.width) * boards.width * boards.thickness / 1e9
    assert solid * (1 - ARRISES) < volume < solid
    assert low == pytest.approx(np.array([west, south, 520.0 - boards.thickness]) / 1000, abs=1e-6)
    assert high == pytest.approx(np.array([east, south + boards.width, 520.0]) / 1000, abs=1e-6)


def test_a_fascia_stands_upright_on_its_footprint(plan):
    boards, height = plan.site.boards, 110.0
    piece = along_the_front(plan, "fascia", boards.thickness, width=height, top=128.0)
    volume, low, high = volume_and_extent(mesh_of(plan, piece))
    west, south, east, _ = bounds_of(plan)
    solid = (east - west - boards.thickness) * boards.thickness * height / 1e9
    assert solid * (1 - ARRISES) < volume < solid
    assert low == pytest.approx(np.array([west, south, 128.0 - height]) / 1000, abs=1e-6)
    assert high == pytest.approx(np.array([east, south + boards.thickness, 128.0]) / 1000, abs=1e-6)


def test_what_the_material_of_a_board_reads_is_on_the_mesh(plan):
    boards = plan.site.boards
    mesh = mesh_of(plan, along_the_front(plan, "nosing", boards.width, width=boards.width, top=520.0))
    nodes = [node for material in mesh.materials for node in material.node_tree.nodes]
    read = {node.attribute_name for node in nodes if node.type == "ATTRIBUTE" and node.attribute_type == "GEOMETRY"}
    assert "board_open" in read
    assert read <= set(mesh.attributes.keys())
    opened = [
        face.center.y
        for face, value in zip(mesh.polygons, mesh.attributes["board_open"].data, strict=True)
        if value.value
    ]
    assert opened == pytest.approx([bounds_of(plan)[1] / 1000])

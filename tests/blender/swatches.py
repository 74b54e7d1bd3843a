"""Boards and cards laid out to be measured, and the light and pictures to measure them in."""

from __future__ import annotations

from pathlib import Path

import bpy
import numpy as np
from colours import to_linear
from courseline import render
from courseline.build.boards import add_boards
from courseline.engine.plan import Area
from courseline.engine.scene.model import BoardShape, Material
from courseline.materials import material_for
from courseline.materials.nodes import clear_tree

WIDTH, PITCH, LENGTH, COUNT = 140.0, 145.0, 600.0, 4
"""Boards and courses of the swatches below [mm]."""
BROWN, ANTHRACITE, SAND = "#7a6a5c", "#45474a", "#b8a88c"
MARGIN = 8
"""Arris and gap that are left out of a swatch's boards on either side [mm]."""


def swatch_material(side: str, colour: str, weathered: float = 0.0) -> Material:
    return Material(f"board {side}", "board", (colour,), weathered)


def lay_swatch(scene, side: str, colour: str, count: int = COUNT, weathered: float = 0.0, width: float = WIDTH) -> None:
    """Lay some boards side by side from the origin, each of a stock board of its own."""
    outline = Area(((0, -width / 2), (LENGTH, -width / 2), (LENGTH, width / 2), (0, width / 2)))
    boards = [
        BoardShape(
            f"A-{i}", f"stock-{i}", "broad", side, (0.0, i * PITCH, 0.0), 0.0, outline, width=width, thickness=22.0,
            from_end=0.0,
        )
        for i in range(count)
    ]  # fmt: skip
    materials = {
        f"board {side}": swatch_material(side, colour, weathered),
        "board grooved far": Material("board grooved far", "board far", (colour,), weathered),
        "board end": Material("board end", "board end", (colour,)),
    }
    add_boards(scene.collection, boards, lambda key: material_for(materials[key]))


def lay_plate(scene, name: str, material: bpy.types.Material, corners: list[tuple[float, float, float]]) -> None:
    """Lay one flat face [m], its corners anticlockwise as seen from its front."""
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata(corners, [], [tuple(range(len(corners)))])
    mesh.materials.append(material)
    scene.collection.objects.link(bpy.data.objects.new(name, mesh))


def level(x: float, y: float, across: float, deep: float, z: float = 0.0) -> list[tuple[float, float, float]]:
    """Give the corners of a level rectangle that begins at a place [m]."""
    return [(x, y, z), (x + across, y, z), (x + across, y + deep, z), (x, y + deep, z)]


def matt(name: str, reflectance: float) -> bpy.types.Material:
    """Make a matt grey card's material."""
    card = bpy.data.materials.new(name)
    graph = clear_tree(card)
    diffuse = graph.add("ShaderNodeBsdfDiffuse")
    graph.feed(diffuse.inputs["Color"], (reflectance,) * 3)
    graph.feed(graph.add("ShaderNodeOutputMaterial").inputs["Surface"], diffuse.outputs[0])
    return card


def flat_light(scene) -> None:
    """Light a scene evenly from all sides: a white card then shows as white."""
    scene.world = bpy.data.worlds.new("flat")
    graph = clear_tree(scene.world)
    background = graph.add("ShaderNodeBackground")
    graph.feed(background.inputs["Color"], (1.0, 1.0, 1.0))
    graph.feed(graph.add("ShaderNodeOutputWorld").inputs["Surface"], background.outputs[0])


def eye_at(scene, place: tuple[float, float, float], width: float, pitch: float = 0.0) -> None:
    """Look from a place [m], without perspective, at so many metres of width: down, or up by `pitch` [rad] to +y."""
    data = bpy.data.cameras.new("eye")
    data.type, data.ortho_scale = "ORTHO", width
    eye = bpy.data.objects.new("eye", data)
    scene.collection.objects.link(eye)
    eye.location, eye.rotation_euler = place, (pitch, 0, 0)
    scene.camera = eye


def from_above(scene, folder: Path, centre: tuple[float, float], width: float, size: tuple[int, int]) -> np.ndarray:
    """Render square on from above [mm]; return linear colours (rows from the bottom, columns, 3)."""
    eye_at(scene, (centre[0] / 1000, centre[1] / 1000, 2.0), width / 1000)
    render.set_up(scene, render.Quality(*size, samples=32, noise=0.001))
    scene.cycles.use_denoising = False
    settings = scene.render.image_settings
    settings.file_format, settings.color_depth = "OPEN_EXR", "32"
    scene.render.filepath = str(folder / "above.exr")
    bpy.ops.render.render(write_still=True)
    return pixels_of(folder / "above.exr")


def delivered(scene, folder: Path, size: tuple[int, int], samples: int = 32) -> np.ndarray:
    """Render the 8-bit picture as a client gets it; return the linear light that it shows, (rows, columns, 3)."""
    picture = folder / "delivered.png"
    render.render_still(scene, picture, render.Quality(*size, samples=samples, noise=0.01))
    return to_linear(pixels_of(picture, raw=True))


def pixels_of(path: Path, *, raw: bool = False) -> np.ndarray:
    """Read a picture, its rows from the bottom; `raw` as the file holds it, else in linear light."""
    image = bpy.data.images.load(str(path), check_existing=False)
    if raw:
        image.colorspace_settings.name = "Non-Color"
    columns, rows = image.size
    pixels = np.array(image.pixels[:]).reshape(rows, columns, -1)[..., :3]
    bpy.data.images.remove(image)
    return pixels


def swatch(scene, folder: Path, side: str, colour: str) -> np.ndarray:
    """Return the boards of a swatch in flat light at 1 mm a pixel: (boards, across, along, 3), edges left out."""
    lay_swatch(scene, side, colour)
    flat_light(scene)
    columns, rows = 300, int(COUNT * PITCH)
    seen = from_above(scene, folder, (LENGTH / 2, (COUNT - 1) / 2 * PITCH), max(columns, rows), (columns, rows))
    starts = [round(i * PITCH + (PITCH - WIDTH) / 2) + MARGIN for i in range(COUNT)]
    return np.stack([seen[start : start + int(WIDTH) - 2 * MARGIN] for start in starts])

"""Our materials baked into pictures: what each throws back in light that is even from all sides, and its relief.

So the shade in grooves and joints is in the picture, as no viewer would work it out, and the mean of the picture is the
colour that was asked for.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import bpy
import numpy as np

from ..build.meshes import new_mesh, set_attribute, set_uv
from ..build.scale import MM
from ..build.surfaces import mesh_of
from ..engine.phone.atlas import PIXELS, SKIN, Swatches, swatches
from ..engine.phone.model import PhoneModel, Picture, Tile
from ..engine.phone.tiles import OVERLAP
from ..materials import material_for
from ..materials.nodes import clear_tree
from ..render import Progress

NAME = "Courseline phone"
TILE_PIXELS = {"wall": 1024, "roof": 512}
"""Width of a repeating picture: two millimetres of wall, four of roof, to a pixel (ours)."""
SAMPLES = {"DIFFUSE": 6, "NORMAL": 2}
"""Rays for each pixel: open faces need one, grooves and joints some (ours, judged by eye)."""
BOARDS_SHARE = 0.55
"""The boards' share of the time that all pictures take (ours, measured)."""
REACH = 0.05
"""How far above and below its plane a picture takes in what lies there [m] (ours)."""
QUALITY = 88
"""Of the JPEG files (ours: below it grain blurs and joints fray)."""


@dataclass(frozen=True, slots=True)
class _Job:
    """Objects under the rectangle `size` [m] from the origin, to be pictured at so many pixels."""

    things: Sequence[bpy.types.Object]
    size: tuple[float, float]
    pixels: tuple[int, int]


def pictures_for(model: PhoneModel, tell: Progress) -> dict[str, Picture]:
    """Bake every picture of a model, by the key of its skin; nothing of it stays in the file that is open."""
    made = {}
    with _studio() as scene:
        tell(0.0, "picturing the boards")
        materials = {key: material_for(material) for key, material in model.materials.items()}
        laid = _lay(scene, swatches(model.atlas), materials)
        job = _Job([laid], (model.atlas.reach * MM, model.atlas.height * MM), PIXELS)
        made[SKIN] = _picture(_bake(scene, job, "DIFFUSE"), _bake(scene, job, "NORMAL"))
        bpy.data.objects.remove(laid)
        for number, (key, tile) in enumerate(model.tiles.items()):
            tell(BOARDS_SHARE + (1 - BOARDS_SHARE) * number / len(model.tiles), f"picturing the {key}")
            made[key] = _tile(scene, tile, materials[key], TILE_PIXELS[key])
    return made


def _tile(scene: bpy.types.Scene, tile: Tile, material: bpy.types.Material, columns: int) -> Picture:
    """Picture a little more than what repeats, and blend the rest into the beginning."""
    things = []
    for surface in tile.surfaces:
        things.append(bpy.data.objects.new(NAME, mesh_of(surface, lambda _: material)))
        scene.collection.objects.link(things[-1])
    width, height = tile.size
    scale = columns / width
    pixels = round((width + OVERLAP) * scale), round(height * scale)
    job = _Job(things, ((width + OVERLAP) * MM, height * MM), pixels)
    seamless = [_seamless(_bake(scene, job, kind), columns) for kind in ("DIFFUSE", "NORMAL")]
    for thing in things:
        bpy.data.objects.remove(thing)
    return _picture(*seamless)


def _seamless(pixels: np.ndarray, columns: int) -> np.ndarray:
    """Blend what lies to the right of a picture's columns into its beginning, so that it repeats unseen."""
    over = pixels.shape[1] - columns
    share = ((np.arange(over) + 0.5) / over)[:, None]
    start = share * pixels[:, :over] + (1 - share) * pixels[:, columns:]
    return np.concatenate([start, pixels[:, over:columns]], axis=1)


def _lay(scene: bpy.types.Scene, laid: Swatches, materials: dict[str, bpy.types.Material]) -> bpy.types.Object:
    mesh = new_mesh(NAME, laid.vertices, np.arange(len(laid.vertices)), laid.corners)
    set_attribute(mesh, "board_co", "FLOAT_VECTOR", "POINT", laid.board_co * MM)
    set_attribute(mesh, "board_random", "FLOAT_VECTOR", "FACE", laid.randoms)
    set_attribute(mesh, "board_across", "FLOAT_VECTOR", "FACE", laid.across)
    set_attribute(mesh, "board_open", "BOOLEAN", "FACE", laid.is_open)
    keys = sorted(set(laid.keys))
    for key in keys:
        mesh.materials.append(materials[key])
    mesh.polygons.foreach_set("material_index", np.array([keys.index(key) for key in laid.keys], np.int32))
    thing = bpy.data.objects.new(NAME, mesh)
    scene.collection.objects.link(thing)
    return thing


def _bake(scene: bpy.types.Scene, job: _Job, kind: str) -> np.ndarray:
    """Bake onto a plate over the objects; return linear colours or normals, (rows from the bottom, columns, 3)."""
    columns, rows = job.pixels
    image = bpy.data.images.new(NAME, columns, rows, alpha=False, float_buffer=True)
    image.colorspace_settings.name = "Non-Color"
    plate = _plate(scene, job.size, image)
    scene.cycles.samples = SAMPLES[kind]
    layer = scene.view_layers[0]
    layer.update()
    for thing in scene.collection.objects:
        thing.select_set(thing in job.things or thing == plate, view_layer=layer)
    layer.objects.active = plate
    try:
        with bpy.context.temp_override(
            scene=scene,
            view_layer=layer,
            active_object=plate,
            object=plate,
            selected_objects=[*job.things, plate],
            selected_editable_objects=[*job.things, plate],
        ):
            bpy.ops.object.bake(
                type=kind,
                pass_filter={"DIRECT", "INDIRECT", "COLOR"},
                use_selected_to_active=True,
                cage_extrusion=REACH,
                max_ray_distance=2 * REACH,
                margin=2,
                normal_space="TANGENT",
            )
        pixels = np.empty(columns * rows * 4, np.float32)
        image.pixels.foreach_get(pixels)
        return pixels.reshape(rows, columns, 4)[..., :3].astype(float)
    finally:
        bpy.data.batch_remove([plate.data.materials[0], plate.data, image])


def _plate(scene: bpy.types.Scene, size: tuple[float, float], image: bpy.types.Image) -> bpy.types.Object:
    """Lay a plate that takes the picture."""
    width, height = (length / MM for length in size)
    corners = np.array([(0.0, 0.0, 0.0), (width, 0.0, 0.0), (width, height, 0.0), (0.0, height, 0.0)])
    mesh = new_mesh(NAME, corners, np.arange(4), np.array([4]))
    set_uv(mesh, np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) / MM)
    material = bpy.data.materials.new(NAME)
    graph = clear_tree(material)
    graph.tree.nodes.active = graph.add("ShaderNodeTexImage", image=image)
    mesh.materials.append(material)
    plate = bpy.data.objects.new(NAME, mesh)
    scene.collection.objects.link(plate)
    return plate


@contextmanager
def _studio() -> Iterator[bpy.types.Scene]:
    """Give an empty scene in white light from all sides, and take it away again with all that was made for it."""
    kinds = ("meshes", "materials", "images", "worlds", "objects", "scenes")
    before = {kind: set(getattr(bpy.data, kind)) for kind in kinds}
    scene = bpy.data.scenes.new(NAME)
    scene.world = bpy.data.worlds.new(NAME)
    graph = clear_tree(scene.world)
    background = graph.add("ShaderNodeBackground")
    graph.feed(background.inputs["Color"], (1.0, 1.0, 1.0))
    graph.feed(graph.add("ShaderNodeOutputWorld").inputs["Surface"], background.outputs[0])
    scene.world.cycles.sampling_method = "NONE"  # even light is met wherever a ray goes: aiming only adds noise
    scene.render.engine = "CYCLES"
    scene.cycles.use_adaptive_sampling = scene.cycles.use_denoising = False
    scene.cycles.diffuse_bounces = 3
    try:
        yield scene
    finally:
        made = [block for kind in kinds for block in getattr(bpy.data, kind) if block not in before[kind]]
        bpy.data.batch_remove(made)


def _picture(colour: np.ndarray, normal: np.ndarray) -> Picture:
    shown = np.where(colour <= 0.0031308, colour * 12.92, 1.055 * np.maximum(colour, 1e-9) ** (1 / 2.4) - 0.055)
    return Picture(colour=_jpeg(shown), normal=_jpeg(normal))


def _jpeg(pixels: np.ndarray) -> bytes:
    """Write values as they are [0 to 1] to a JPEG."""
    rows, columns, _ = pixels.shape
    image = bpy.data.images.new(NAME, columns, rows, alpha=False)
    try:
        full = np.ones((rows, columns, 4), np.float32)
        full[..., :3] = np.clip(pixels, 0.0, 1.0)
        image.pixels.foreach_set(full.ravel())
        image.file_format = "JPEG"
        with tempfile.TemporaryDirectory(prefix="courseline-") as folder:
            file = Path(folder) / "picture.jpg"
            image.filepath_raw = str(file)
            image.save(quality=QUALITY)
            return file.read_bytes()
    finally:
        bpy.data.images.remove(image)

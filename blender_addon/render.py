"""Light, exposure and the still picture: Cycles with its denoiser, calibrated on a card in the scene's own light.

A picture that a client chooses a colour from must show that colour. So the view transform is Standard, which
gives a colour back as it is, where AgX, Filmic and Khronos neutral shift it by 2 to 7 dE2000. What Standard
alone does badly is white fascia in the sun, which it clips: a shoulder above `SHOULDER` rolls that off and leaves
every tone below it, all boards and bricks among them, untouched.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from math import atan, exp, radians, sin
from pathlib import Path

import bpy
import numpy as np

from .materials.nodes import PIXEL_ANGLE, clear_tree
from .materials.sky import SKY_SHARE, SUN_SHARE, VEIL_SHARE, strengths_of

Progress = Callable[[float, str], None]
"""Called with the share done [0 to 1] and what is going on."""

SHOULDER = 0.72
"""Linear light up to which the picture shows a tone as it is; white card in full light is 1. Whites of powder coat, of
0.88, still come within dE2000 2 of themselves."""
SHOULDER_END = 4.0
"""Linear light at which the shoulder has flattened out."""
CARD_TIP = radians(30.0)
"""The steepest that a low sun need meet the white card [rad] (ours)."""
LUMINANCE = (0.2126, 0.7152, 0.0722)
"""Of linear red, green and blue (IEC 61966-2-1)."""
_GPU_KINDS = ("OPTIX", "CUDA", "HIP", "METAL", "ONEAPI")


@dataclass(frozen=True, slots=True)
class Quality:
    """Size of the picture [pixels], most samples a pixel, and the noise at which a pixel is good enough.

    `clean` has the denoiser first clean what it is told of colours and slopes: slow, but else glass shows specks.
    """

    width: int
    height: int
    samples: int
    noise: float
    clean: bool = True


QUALITIES = {
    "draft": Quality(width=640, height=360, samples=4, noise=0.10, clean=False),
    "client": Quality(width=1920, height=1080, samples=10, noise=0.05),
}


def calibrate(scene: bpy.types.Scene) -> None:
    """Set the light: a white card lying in the open comes out as white 1.0, `SKY_SHARE` of it from the sky.

    Sun and clear sky are measured one by one on a card in a scene made for it and removed after, so nothing in
    `scene` is touched but the strengths of its sky. With the light itself set, the view's exposure stays 0 and an
    albedo in full light is shown as the colour that it is.

    The card lies flat, as boards do, so that a board in the sun has the colour it was chosen for. Light from a sun
    lower than `CARD_TIP` meets such a card so aslant that everything upright would be burnt out: from there on the card
    is tipped, as a photographer holds it, until the sun meets it as steeply as that.

    Raises
    ------
    ValueError
        If the scene's world is not one of `materials.sky.sky_for`.
    """
    strengths = strengths_of(scene.world)
    parts = (strengths.sun, strengths.clear, strengths.veil)
    seen = []
    for part in parts[:2]:
        for each in parts:
            each.default_value = float(each == part)
        seen.append(_see_card(scene.world))
    sun, clear = seen
    # Tipping the card changes by the cosine law what the sun gives it; the sky's part hardly changes.
    tipped = sin(max(strengths.elevation, CARD_TIP)) / sin(strengths.elevation)
    strengths.sun.default_value = SUN_SHARE / (sun * tipped)
    # An even sky of radiance 1 makes a white card as bright as itself: that part needs no measuring.
    strengths.clear.default_value = SKY_SHARE * (1 - VEIL_SHARE) / clear
    strengths.veil.default_value = SKY_SHARE * VEIL_SHARE


def set_up(scene: bpy.types.Scene, quality: Quality) -> None:
    """Make a scene render at a quality: Cycles, denoised, the view transform, and what materials need to know."""
    render, cycles = scene.render, scene.cycles
    render.engine = "CYCLES"
    render.resolution_x, render.resolution_y, render.resolution_percentage = quality.width, quality.height, 100
    cycles.device = "GPU" if _gpu_ready() else "CPU"
    cycles.samples, cycles.adaptive_threshold = quality.samples, quality.noise
    cycles.use_adaptive_sampling, cycles.adaptive_min_samples = True, 6
    cycles.use_light_tree = False  # there is nothing to aim at but the sky
    cycles.use_denoising = _choose_denoiser(cycles, quality.clean)
    # A deck in daylight: two bounces of soft light, the sky in the glass, and no caustics, which only add noise.
    cycles.max_bounces, cycles.diffuse_bounces, cycles.glossy_bounces = 4, 2, 2
    cycles.transmission_bounces, cycles.transparent_max_bounces = 2, 8
    cycles.caustics_reflective = cycles.caustics_refractive = False
    cycles.sample_clamp_indirect, cycles.blur_glossy = 4.0, 0.5
    _set_view(scene)
    if scene.camera:
        # The sensor's width spans the picture's width; the mean angle of a pixel is near enough for any lens here.
        camera = scene.camera.data
        half = camera.sensor_width / (2 * camera.lens) if camera.type == "PERSP" else 0.0
        scene[PIXEL_ANGLE] = 2 * atan(half) / quality.width


def render_still(scene: bpy.types.Scene, path: Path | str, quality: Quality, progress: Progress | None = None) -> None:
    """Render the scene's camera to an 8-bit PNG, which appears at `path` only once it is whole.

    Parameters
    ----------
    scene : bpy.types.Scene
        With camera and world set; its render settings are set to `quality`.
    path : Path or str
        Where the PNG goes; its folder is made if need be.
    quality : Quality
    progress : callable, optional
        Told the share done and Cycles' own time left.
    """
    path = Path(path).resolve()
    path.parent.mkdir(parents=True, exist_ok=True)
    set_up(scene, quality)
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".rendering-") as folder:
        part = Path(folder) / "still.png"
        with _output(scene, part, "PNG"), _reporting(progress):
            bpy.ops.render.render(write_still=True, scene=scene.name)
        part.replace(path)


def _see_card(world: bpy.types.World) -> float:
    """Render a white, matt card under a sky from above; return its mean luminance."""
    scene = bpy.data.scenes.new("Courseline card")
    mesh = bpy.data.meshes.new("Courseline card")
    material = bpy.data.materials.new("Courseline card")
    camera = bpy.data.cameras.new("Courseline card")
    made = [material, mesh, camera]
    try:
        graph = clear_tree(material)
        matt = graph.add("ShaderNodeBsdfDiffuse")
        graph.feed(matt.inputs["Color"], (1.0, 1.0, 1.0))
        graph.feed(graph.add("ShaderNodeOutputMaterial").inputs["Surface"], matt.outputs[0])
        mesh.from_pydata([(-1, -1, 0), (1, -1, 0), (1, 1, 0), (-1, 1, 0)], [], [(0, 1, 2, 3)])
        mesh.materials.append(material)
        camera.type, camera.ortho_scale = "ORTHO", 0.5
        for name, data in (("Courseline card", mesh), ("Courseline card camera", camera)):
            scene.collection.objects.link(bpy.data.objects.new(name, data))
        card, eye = scene.collection.objects
        if card.type == "CAMERA":
            card, eye = eye, card
        eye.location.z = 2.0
        scene.world, scene.camera = world, eye
        scene.render.engine = "CYCLES"
        scene.render.resolution_x = scene.render.resolution_y = 8
        scene.cycles.samples, scene.cycles.use_adaptive_sampling, scene.cycles.use_denoising = 256, False, False
        with tempfile.TemporaryDirectory(prefix="courseline-") as folder:
            file = Path(folder) / "card.exr"
            with _output(scene, file, "OPEN_EXR"):
                bpy.ops.render.render(write_still=True, scene=scene.name)
            picture = bpy.data.images.load(str(file), check_existing=False)
            pixels = np.empty(8 * 8 * 4, np.float32)
            picture.pixels.foreach_get(pixels)
            bpy.data.images.remove(picture)
        return float(pixels.reshape(-1, 4)[:, :3].mean(axis=0) @ LUMINANCE)
    finally:
        bpy.data.batch_remove([*scene.collection.objects, *made, scene])


@contextmanager
def _output(scene: bpy.types.Scene, file: Path, kind: str) -> Iterator[None]:
    """Let the scene write a picture of a kind to a file, then write where it wrote before."""
    settings = scene.render.image_settings
    before = (scene.render.filepath, settings.file_format, settings.color_mode, settings.color_depth)
    scene.render.filepath = str(file)
    settings.file_format = kind
    settings.color_mode = "RGB"
    settings.color_depth = "8" if kind == "PNG" else "32"
    try:
        yield
    finally:
        scene.render.filepath, settings.file_format, settings.color_mode, settings.color_depth = before


@contextmanager
def _reporting(progress: Progress | None) -> Iterator[None]:
    """Pass Cycles' status on while a picture is rendered."""
    if progress is None:
        yield
        return

    def report(status: object, *_: object) -> None:
        sample = re.search(r"Sample (\d+)/(\d+)", str(status))
        if sample:
            done, of = map(int, sample.groups())
            left = re.search(r"Remaining:\s*([\d:.]+)", str(status))
            progress(done / of, f"rendering, {_spoken(left[1])} left" if left else "rendering")

    bpy.app.handlers.render_stats.append(report)
    try:
        progress(0.0, "preparing the picture")
        yield
        progress(1.0, "picture done")
    finally:
        bpy.app.handlers.render_stats.remove(report)


def _spoken(clock: str) -> str:
    """Turn Cycles' `01:23.45` into `1 min 23 s`."""
    minutes, seconds = divmod(round(sum(float(part) * 60**i for i, part in enumerate(reversed(clock.split(":"))))), 60)
    return f"{minutes} min {seconds} s" if minutes else f"{seconds} s"


def _set_view(scene: bpy.types.Scene) -> None:
    """Show light as it is up to the shoulder, and roll off what is brighter."""
    scene.display_settings.display_device = "sRGB"
    view = scene.view_settings
    view.view_transform, view.look, view.exposure, view.gamma = "Standard", "None", 0.0, 1.0
    view.use_curve_mapping = True
    mapping = view.curve_mapping
    mapping.initialize()
    mapping.clip_max_x, mapping.extend = SHOULDER_END, "HORIZONTAL"
    room = 1 - SHOULDER
    lights = [0.0, SHOULDER, 0.76, 0.82, 0.9, 1.0, 1.2, 1.5, 2.0, 3.0, SHOULDER_END]
    shown = [x if x <= SHOULDER else SHOULDER + room * (1 - exp(-(x - SHOULDER) / room)) for x in lights]
    # One for each colour: the fourth, for all three, sees only what those have let through.
    for curve in mapping.curves[:3]:
        while len(curve.points) > 2:
            curve.points.remove(curve.points[1])
        while len(curve.points) < len(lights):
            curve.points.new(0.5, 0.5)
        for point, light, tone in zip(curve.points, lights, shown, strict=True):
            point.location, point.handle_type = (light, tone), "VECTOR"
    mapping.update()


def _choose_denoiser(cycles: bpy.types.PropertyGroup, clean: bool) -> bool:
    """Choose Open Image Denoise and return whether this Blender has it; some distributions build without it."""
    try:
        cycles.denoiser = "OPENIMAGEDENOISE"
    except TypeError:
        return False
    cycles.denoising_input_passes, cycles.denoising_quality = "RGB_ALBEDO_NORMAL", "BALANCED"
    cycles.denoising_prefilter = "ACCURATE" if clean else "FAST"
    return True


def _gpu_ready() -> bool:
    """Return whether Cycles has a GPU to use; without a window, where no one could have chosen it, choose it."""
    preferences = bpy.context.preferences.addons["cycles"].preferences
    if preferences.compute_device_type == "NONE" and bpy.app.background:
        for kind in _GPU_KINDS:
            try:
                devices = preferences.get_devices_for_type(kind)
            except (TypeError, ValueError):  # this Blender was built without that kind
                continue
            if any(device.type == kind for device in devices):
                preferences.compute_device_type = kind
                for device in devices:
                    device.use = device.type == kind
                break
    return preferences.has_active_device()

"""Does a job in a windowed Blender and takes the README's pictures of our tab: the whole window, and every panel.

Run with `blender --python .ci/show_sidebar.py`, the extension installed and nothing over the window. COURSELINE_SITE
names the site file for `sidebar.jpg`, COURSELINE_PICTURES the folder for it, `from_model.jpg` and two sheets of panels.
"""

import os
import subprocess
import sys
import tempfile
import traceback
from collections.abc import Iterator
from importlib import import_module
from math import radians
from pathlib import Path

import bmesh
import bpy
from mathutils import Euler
from PIL import Image

OUT = Path(os.environ["COURSELINE_PICTURES"])
EDGE = 12
"""Room round each panel on a sheet [px]."""
TABS = 22
"""Width of the strip of tabs beside the panels [px]."""
BORDER = 8
"""Height of what frames the sidebar at its foot [px]."""
PATIENCE = 240
"""How often the order is looked for, twice a second."""
GROUNDS = {"Deck outline": [(1, 0), (1, -3.6), (7, -3.6), (7, 0)]}
BLOCKS = {
    "House": ((0, 0, 0), (7, 5, 2.6)),
    "Kitchen wing": ((7, -2, 0), (10, 5, 2.6)),
    "Sail post": ((2, -2.4, -0.5), (2.1, -2.3, 2.5)),
    "Garden doors": ((3, -0.02, 0.15), (5.4, 0.06, 2.25)),
}
"""A house of two blocks, what stands in the way, a door, and the deck between them [m]."""


def ours(name: str) -> object:
    """Give a module of the installed extension."""
    root = next(each for each in sys.modules if each.startswith("bl_ext.") and each.endswith(".courseline"))
    return import_module(f"{root}.{name}" if name else root)


def view() -> tuple[bpy.types.Window, bpy.types.Area]:
    """Find the largest 3D view."""
    window = bpy.context.window_manager.windows[0]
    views = [area for area in window.screen.areas if area.type == "VIEW_3D"]
    return window, max(views, key=lambda area: area.width * area.height)


def in_view(kind: str = "WINDOW"):
    """Be in a region of that view."""
    window, area = view()
    region = next(region for region in area.regions if region.type == kind)
    return bpy.context.temp_override(window=window, area=area, region=region)


def photograph() -> Image.Image:
    """Take the view with its sidebar; the window lies at the screen's corner, and ImageMagick takes the screen."""
    window, area = view()
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["import", "-window", "root", f"{folder}/screen.png"], check=True)
        screen = Image.open(f"{folder}/screen.png").convert("RGB")
    top = window.height - area.y - area.height
    return screen.crop((area.x, top, area.x + area.width, top + area.height))


def photograph_panels() -> Image.Image:
    """Take what the sidebar shows, down to the last thing on it."""
    _, area = view()
    region = next(region for region in area.regions if region.type == "UI")
    whole = photograph()
    left, top = region.x - area.x, area.height - (region.y - area.y) - region.height
    panels = whole.crop((left, top, left + region.width - TABS, top + region.height))
    middle, foot = panels.width // 2, panels.height - BORDER
    bottom = max(y for y in range(foot) if panels.getpixel((middle, y)) != panels.getpixel((middle, foot)))
    return panels.crop((0, 0, panels.width, bottom + 3))


def show_only(*names: str) -> None:
    """Have these panels in the tab and no other, open if the tab has not shown them before."""
    panels = [each for each in ours("registration").CLASSES if issubclass(each, bpy.types.Panel)]
    for each in reversed(panels):
        if each.is_registered:
            bpy.utils.unregister_class(each)
    for each in panels:
        if each.__name__ in names:
            each.bl_options = set()
            bpy.utils.register_class(each)


def save_sheet(name: str, panels: list[Image.Image]) -> None:
    """Put panels side by side and write them."""
    width = sum(each.width + EDGE for each in panels) + EDGE
    sheet = Image.new("RGB", (width, max(each.height for each in panels) + 2 * EDGE), "white")
    left = EDGE
    for each in panels:
        sheet.paste(each, (left, EDGE))
        left += each.width + EDGE
    sheet.save(OUT / f"{name}.jpg", quality=88)


def open_tab() -> None:
    """Turn the sidebar, which lies beside the view, to our tab."""
    _, area = view()
    next(region for region in area.regions if region.type == "UI").active_panel_category = "Courseline"
    area.tag_redraw()


def model() -> None:
    """Model a house and an outline, as a user has them."""
    for name, (low, high) in BLOCKS.items():
        shape = bmesh.new()
        for corner in bmesh.ops.create_cube(shape)["verts"]:
            corner.co = [a if c < 0 else b for a, b, c in zip(low, high, corner.co, strict=True)]
        add(name, shape)
    for name, ring in GROUNDS.items():
        shape = bmesh.new()
        shape.faces.new([shape.verts.new((x, y, 0.15)) for x, y in ring])
        add(name, shape)


def add(name: str, shape: bmesh.types.BMesh) -> None:
    """Add an object to the scene."""
    mesh = bpy.data.meshes.new(name)
    shape.to_mesh(mesh)
    bpy.context.scene.collection.objects.link(bpy.data.objects.new(name, mesh))


def pick(role: str, *names: str) -> None:
    """Select things and press the button."""
    for each in bpy.context.view_layer.objects:
        each.select_set(each.name in names)
    bpy.ops.courseline.pick(role=role)


def job() -> Iterator[float]:
    """Do a job, panel by panel; between steps the window is drawn, for so many seconds."""
    scene = bpy.context.scene
    settings, comparison, order = scene.courseline, scene.courseline_comparison, ours("order")
    background = ours("operators.background")
    for each in list(bpy.data.objects):
        bpy.data.objects.remove(each)
    bpy.context.preferences.system.use_region_overlap = False
    view()[1].spaces.active.show_region_ui = True
    yield 2.0
    model()
    yield 1.0
    with in_view():
        pick("house", "House", "Kitchen wing")
        pick("obstacle", "Sail post")
        pick("door", "Garden doors")
        pick("outline", "Deck outline")
        settings.job = "The Old Mill"
        bpy.ops.courseline.take_in()
        settings.side, settings.run, settings.border = "grooved", "out", 2
        bpy.ops.courseline.build_deck()
    show_only("SitePanel", "ModelPanel")
    open_tab()
    yield 2.0
    first = [photograph_panels()]
    show_only("BoardsPanel", "GapsPanel", "EdgesPanel", "FramePanel")
    yield 2.0
    first.append(photograph_panels())
    show_only("BuildPanel", "QuantitiesPanel", "ChecksPanel")
    yield 1.0
    first.append(photograph_panels())
    save_sheet("panels_site", first)
    with in_view():
        bpy.ops.courseline.outline_as_line()
        bpy.ops.object.select_all(action="DESELECT")
    space = view()[1].spaces.active
    space.region_3d.view_rotation = Euler((radians(58), 0.0, radians(-24))).to_quaternion()
    space.region_3d.view_location, space.region_3d.view_distance = (5.2, -1.0, 0.5), 11.5
    space.shading.show_cavity, space.shading.cavity_type = True, "BOTH"
    space.overlay.show_extras = False
    yield 3.0
    photograph().save(OUT / "from_model.jpg", quality=85)

    settings.run = "along"
    for _ in range(PATIENCE):
        yield 0.5
        if not settings.is_draft and order.found(settings):
            break
    show_only("QuantitiesPanel", "ItemsPanel")
    yield 2.0
    second = [photograph_panels()]
    with in_view():
        bpy.ops.courseline.show_choices()
    show_only("ShowPanel", "ComparePanel", "HandOverPanel")
    yield 2.0
    second.append(photograph_panels())
    comparison.views = {"garden", "doorway", "above"}
    with tempfile.TemporaryDirectory() as folder, in_view():
        bpy.ops.courseline.picture_choices("EXEC_DEFAULT", directory=folder)
        for _ in range(PATIENCE):
            yield 0.5
            if background.current() is None or background.current().share > 0.05:
                break
        second.append(photograph_panels())
        background.stop_all()
    save_sheet("panels_show", second)


def whole() -> Iterator[float]:
    """Build the deck of a site file and look at it from above, in colours that show every joint."""
    bpy.data.objects.remove(bpy.data.objects["Cube"])
    settings = bpy.context.scene.courseline
    _, area = view()
    space = area.spaces.active
    space.show_region_ui = True
    yield 2.0
    open_tab()
    with in_view():
        bpy.ops.courseline.open_site(filepath=os.environ["COURSELINE_SITE"])
        settings.view, settings.show_edges = "above", True
        bpy.ops.courseline.build_deck()
        bpy.ops.courseline.look_through()
    garden = next(each for each in bpy.data.collections if each.get("courseline_part") == "Garden")
    for each in garden.objects:  # without a graphics card plants take minutes to draw
        each.hide_viewport = each.get("courseline_part") == "plant" or each.name.startswith("grass")
    space.shading.type, space.shading.color_type = "SOLID", "MATERIAL"
    space.shading.show_cavity, space.shading.cavity_type = True, "BOTH"
    space.region_3d.view_camera_zoom, space.region_3d.view_camera_offset = 12, (0.06, 0.0)
    space.overlay.show_extras = space.overlay.show_relationship_lines = False
    yield 4.0
    photograph().save(OUT / "sidebar.jpg", quality=85)


def run(steps: Iterator[float]) -> None:
    """Go on step by step, and end Blender."""

    def tick() -> float:
        try:
            return next(steps)
        except StopIteration:
            os._exit(0)  # preferences stay as they are on disk
        except Exception:
            traceback.print_exc()
            os._exit(1)

    bpy.app.timers.register(tick, first_interval=3.0, persistent=True)


def both() -> Iterator[float]:
    """Take all pictures."""
    yield from whole()
    bpy.ops.wm.read_homefile(app_template="")
    yield 2.0
    yield from job()


run(both())

"""Builds a site in a windowed Blender and opens our tab beside it, for a picture of the window.

Run with `blender --python .ci/show_sidebar.py`, the extension installed, COURSELINE_SITE naming the site file.
"""

import os

import bpy


def view_and_area() -> tuple[bpy.types.Window, bpy.types.Area]:
    """Find the largest 3D view."""
    window = bpy.context.window_manager.windows[0]
    views = [area for area in window.screen.areas if area.type == "VIEW_3D"]
    return window, max(views, key=lambda area: area.width * area.height)


def build() -> None:
    """Open, build and look at the deck from above, in colours that show every joint."""
    window, area = view_and_area()
    region = next(region for region in area.regions if region.type == "WINDOW")
    with bpy.context.temp_override(window=window, area=area, region=region):
        bpy.data.objects.remove(bpy.data.objects["Cube"])
        bpy.ops.courseline.open_site(filepath=os.environ["COURSELINE_SITE"])
        bpy.context.scene.courseline.view = "above"
        bpy.context.scene.courseline.show_edges = True
        bpy.ops.courseline.build_deck()
        bpy.ops.courseline.look_through()
    space = area.spaces.active
    space.shading.type, space.shading.color_type = "SOLID", "MATERIAL"
    space.shading.show_cavity, space.shading.cavity_type = True, "BOTH"
    space.shading.show_shadows, space.shading.shadow_intensity = True, 0.35
    space.region_3d.view_camera_zoom, space.region_3d.view_camera_offset = 12, (0.06, 0.0)
    space.overlay.show_extras = space.overlay.show_relationship_lines = False
    space.show_region_ui = True
    bpy.app.timers.register(open_tab, first_interval=2.0)


def open_tab() -> None:
    """Turn the sidebar to our tab, once it has been drawn."""
    _, area = view_and_area()
    next(region for region in area.regions if region.type == "UI").active_panel_category = "Courseline"
    area.tag_redraw()


bpy.app.timers.register(build, first_interval=3.0)

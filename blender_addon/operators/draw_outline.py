"""Starts the outline of a deck: a closed line to be dragged into shape, or the faces that are selected."""

from __future__ import annotations

from typing import ClassVar

import bmesh
import bpy
from mathutils import Matrix

from .. import ids, properties
from ..build.scale import MM, units_per_metre
from .pick import pick
from .polls import is_own_scene

SIZE = (4.0, 3.0)
"""What is drawn to begin with [m]."""


class DrawOutline(bpy.types.Operator):
    """Draw a rectangle at the 3D cursor, to be dragged into the outline of the deck corner by corner."""

    bl_idname = ids.DRAW_OUTLINE
    bl_label = "Draw Outline"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs to be out of edit mode."""
        if not is_own_scene(cls, context):
            return False
        if context.mode == "OBJECT":
            return True
        cls.poll_message_set("Leave edit mode first")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Add the line at the height of the boards and begin to edit it."""
        settings, metre = properties.of(context), units_per_metre(context.scene)
        curve = bpy.data.curves.new("Deck outline", "CURVE")
        curve.dimensions = "3D"
        spline = curve.splines.new("POLY")
        spline.points.add(3)
        width, depth = SIZE
        corners = ((0, 0), (width, 0), (width, depth), (0, depth))
        for point, (x, y) in zip(spline.points, corners, strict=True):
            point.co = (x * metre, y * metre, 0.0, 1.0)
        spline.use_cyclic_u = True
        thing = bpy.data.objects.new("Deck outline", curve)
        cursor = context.scene.cursor.location
        thing.location = (cursor.x, cursor.y, settings.height * MM * metre)
        context.collection.objects.link(thing)
        for other in context.selected_objects:
            other.select_set(False)
        thing.select_set(True)
        context.view_layer.objects.active = thing
        pick(settings, thing, "outline")
        if not bpy.app.background:
            bpy.ops.object.mode_set(mode="EDIT")
        return {"FINISHED"}


class OutlineFromFaces(bpy.types.Operator):
    """Make the outline of the deck from the faces selected in edit mode; the mesh itself stays as it is."""

    bl_idname = ids.OUTLINE_FROM_FACES
    bl_label = "From Selected Faces"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a mesh in edit mode."""
        if context.mode == "EDIT_MESH":
            return True
        cls.poll_message_set("Edit a mesh and select the faces of the deck first")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Copy the faces, as they lie in the world, into an object of their own."""
        source = context.edit_object
        if not isinstance(source.data, bpy.types.Mesh):
            return {"CANCELLED"}
        faces = [face for face in bmesh.from_edit_mesh(source.data).faces if face.select]
        if not faces:
            self.report({"ERROR"}, "No face is selected: select the faces that the deck covers")
            return {"CANCELLED"}
        corners = list(dict.fromkeys(vertex for face in faces for vertex in face.verts))
        places = {vertex: number for number, vertex in enumerate(corners)}
        mesh = bpy.data.meshes.new("Deck outline")
        world: Matrix = source.matrix_world
        mesh.from_pydata(
            [world @ vertex.co for vertex in corners], [], [[places[vertex] for vertex in face.verts] for face in faces]
        )
        thing = bpy.data.objects.new("Deck outline", mesh)
        thing.display_type = "WIRE"
        thing.hide_render = True
        context.collection.objects.link(thing)
        pick(properties.of(context), thing, "outline")
        return {"FINISHED"}

"""Shader nodes written as sums: `tone = 1 + 0.1 * (fibre - 0.5)` makes the nodes that compute it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import bpy

Colour = tuple[float, float, float]

GLOSS_SHARE = 0.6
"""Most of a dark colour's darkest part that gloss makes up (ours)."""

PIXEL_ANGLE = "courseline_pixel_angle"
"""Scene property: the angle that one pixel of the picture takes up [rad]; `render` sets it, materials read it."""

SUN_AT = "courseline_sun"
"""World property: the direction to the sun, of length 1; `sky` sets it, materials read it."""


def linear(colour: str) -> Colour:
    """Turn `#rrggbb` into linear red, green and blue [0 to 1] (IEC 61966-2-1)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return red, green, blue


@dataclass(frozen=True, slots=True)
class Signal:
    """A number that a node gives, with the arithmetic of numbers."""

    graph: Graph
    socket: bpy.types.NodeSocket

    def __add__(self, other: Signal | float) -> Signal:
        return self.graph.math("ADD", self, other)

    def __sub__(self, other: Signal | float) -> Signal:
        return self.graph.math("SUBTRACT", self, other)

    def __mul__(self, other: Signal | float) -> Signal:
        return self.graph.math("MULTIPLY", self, other)

    def __truediv__(self, other: Signal | float) -> Signal:
        return self.graph.math("DIVIDE", self, other)

    def __rsub__(self, other: float) -> Signal:
        return self.graph.math("SUBTRACT", other, self)

    __radd__ = __add__
    __rmul__ = __mul__

    def floor(self) -> Signal:
        """Return the whole number below."""
        return self.graph.math("FLOOR", self)

    def fraction(self) -> Signal:
        """Return what is left above the whole number below."""
        return self.graph.math("FRACT", self)

    def abs(self) -> Signal:
        """Return the size without the sign."""
        return self.graph.math("ABSOLUTE", self)

    def above(self, limit: Signal | float) -> Signal:
        """Return 1 where above `limit`, else 0."""
        return self.graph.math("GREATER_THAN", self, limit)

    def step(self, start: float, end: float, first: float = 0.0, last: float = 1.0) -> Signal:
        """Go smoothly from `first` at `start` to `last` at `end`, and stay there."""
        return self.graph.ramp("SMOOTHSTEP", self, start, end, first, last)

    def scale(self, start: float, end: float, first: float, last: float) -> Signal:
        """Go straight from `first` at `start` to `last` at `end`, and stay there."""
        return self.graph.ramp("LINEAR", self, start, end, first, last)


Number = Signal | float
Socket = bpy.types.NodeSocket
Vector = Socket | Sequence[float]


class Graph:
    """The nodes of one tree under construction."""

    def __init__(self, tree: bpy.types.NodeTree) -> None:
        self.tree = tree

    def add(self, kind: str, **settings: object) -> bpy.types.Node:
        """Add a node of a Blender type name and set its properties."""
        node = self.tree.nodes.new(kind)
        for name, value in settings.items():
            setattr(node, name, value)
        return node

    def feed(self, socket: Socket, value: Signal | Socket | float | Sequence[float]) -> None:
        """Link a value to an input, or set the input to it."""
        if isinstance(value, Signal):
            value = value.socket
        if isinstance(value, bpy.types.NodeSocket):
            self.tree.links.new(value, socket)
        elif socket.type == "RGBA" and len(value) == 3:
            socket.default_value = (*value, 1.0)
        else:
            socket.default_value = value

    def math(self, operation: str, *values: Number) -> Signal:
        """Apply one operation of the Math node."""
        node = self.add("ShaderNodeMath", operation=operation)
        for socket, value in zip(node.inputs, values, strict=False):
            self.feed(socket, value)
        return Signal(self, node.outputs[0])

    def smaller(self, *values: Number) -> Signal:
        """Return the smallest of some values, of which the first is a signal."""
        least = values[0]
        for value in values[1:]:
            least = self.math("MINIMUM", least, value)
        return least

    def ramp(self, kind: str, value: Signal, start: float, end: float, first: float, last: float) -> Signal:
        """Map a range onto another with the Map Range node; it stays at its ends outside."""
        node = self.add("ShaderNodeMapRange", interpolation_type=kind)
        for socket, number in zip(node.inputs, (value, start, end, first, last), strict=False):
            self.feed(socket, number)
        return Signal(self, node.outputs[0])

    def vector(self, x: Number = 0.0, y: Number = 0.0, z: Number = 0.0) -> Socket:
        """Make a vector of three numbers."""
        node = self.add("ShaderNodeCombineXYZ")
        for socket, value in zip(node.inputs, (x, y, z), strict=True):
            self.feed(socket, value)
        return node.outputs[0]

    def split(self, vector: Socket) -> tuple[Signal, Signal, Signal]:
        """Take a vector or colour apart."""
        node = self.add("ShaderNodeSeparateXYZ")
        self.feed(node.inputs[0], vector)
        x, y, z = node.outputs
        return Signal(self, x), Signal(self, y), Signal(self, z)

    def combine(self, operation: str, first: Vector, second: Vector | None = None) -> Socket:
        """Apply one operation of the Vector Math node that gives a vector."""
        node = self.add("ShaderNodeVectorMath", operation=operation)
        self.feed(node.inputs[0], first)
        if second is not None:
            self.feed(node.inputs[1], second)
        return node.outputs["Vector"]

    def dot(self, first: Vector, second: Vector) -> Signal:
        """Return the scalar product of two vectors."""
        node = self.add("ShaderNodeVectorMath", operation="DOT_PRODUCT")
        self.feed(node.inputs[0], first)
        self.feed(node.inputs[1], second)
        return Signal(self, node.outputs["Value"])

    def times(self, colour: Vector, factor: Number) -> Socket:
        """Multiply a colour or vector by a number."""
        node = self.add("ShaderNodeVectorMath", operation="SCALE")
        self.feed(node.inputs[0], colour)
        self.feed(node.inputs["Scale"], factor)
        return node.outputs[0]

    def mix(self, share: Number, first: Vector, second: Vector) -> Socket:
        """Blend two colours: `first` at share 0, `second` at share 1."""
        node = self.add("ShaderNodeMix", data_type="RGBA")
        self.feed(node.inputs["Factor"], share)
        colours = [socket for socket in node.inputs if socket.type == "RGBA"]
        self.feed(colours[0], first)
        self.feed(colours[1], second)
        return next(socket for socket in node.outputs if socket.type == "RGBA")

    def noise(self, at: Socket, scale: float = 1.0, detail: float = 2.0, roughness: float = 0.5) -> Signal:
        """Return smooth noise about 0.5 at a place."""
        node = self.add("ShaderNodeTexNoise")
        for name, value in (("Vector", at), ("Scale", scale), ("Detail", detail), ("Roughness", roughness)):
            self.feed(node.inputs[name], value)
        return Signal(self, node.outputs[0])

    def fibre(self, at: Socket, detail: float = 0.0) -> Signal:
        """Return smooth noise about 0.5 at a place on a flat face (x, y), at half the cost of `noise`."""
        node = self.add("ShaderNodeTexNoise", noise_dimensions="2D")
        for name, value in (("Vector", at), ("Scale", 1.0), ("Detail", detail), ("Roughness", 0.5)):
            self.feed(node.inputs[name], value)
        return Signal(self, node.outputs[0])

    def leaning(self, towards: Vector, slope: Signal) -> Socket:
        """Return the normal of a face that rises by `slope` against a level direction, square to the face."""
        normal = self.add("ShaderNodeNewGeometry").outputs["Normal"]
        return self.combine("NORMALIZE", self.combine("ADD", normal, self.times(towards, slope)))

    def dice(self, at: Socket) -> Socket:
        """Return three even random numbers [0 to 1] that belong to a place."""
        node = self.add("ShaderNodeTexWhiteNoise", noise_dimensions="3D")
        self.feed(node.inputs["Vector"], at)
        return node.outputs["Color"]

    def attribute(self, name: str) -> Socket:
        """Read a vector attribute of the mesh."""
        return self.add("ShaderNodeAttribute", attribute_name=name).outputs["Vector"]

    def position(self) -> Socket:
        """Return where the surface is [m], in the world."""
        return self.add("ShaderNodeNewGeometry").outputs["Position"]

    def uv(self) -> Socket:
        """Return the UV coordinates, which our meshes give in metres."""
        return self.add("ShaderNodeUVMap", uv_map="UVMap").outputs[0]

    def pixel(self) -> Signal:
        """Return how much of a surface seen square on one pixel covers [m]: what is finer cannot be seen."""
        angle = self.add("ShaderNodeAttribute", attribute_type="VIEW_LAYER", attribute_name=PIXEL_ANGLE)
        distance = self.add("ShaderNodeLightPath").outputs["Ray Length"]
        return Signal(self, distance) * Signal(self, angle.outputs["Fac"])

    def sun(self) -> Socket:
        """Return the direction to the sun of the scene's world; none has one that `sky` did not make."""
        return self.add("ShaderNodeAttribute", attribute_type="VIEW_LAYER", attribute_name=SUN_AT).outputs["Vector"]

    def lines_seen(self, along: Vector, pitch: float) -> Signal:
        """Return how many pixels lie between lines on a face that run so, `pitch` [m] apart: only for camera rays."""
        angle = self.add("ShaderNodeAttribute", attribute_type="VIEW_LAYER", attribute_name=PIXEL_ANGLE)
        distance = Signal(self, self.add("ShaderNodeCameraData").outputs["View Distance"])
        place = self.add("ShaderNodeNewGeometry")
        towards = place.outputs["Incoming"]
        steep = self.dot(place.outputs["Normal"], towards).abs()
        end_on = self.dot(along, towards)
        breadth = self.math("SQRT", self.math("MAXIMUM", 1 - end_on * end_on, 1e-6))
        pixel = self.math("MAXIMUM", distance * Signal(self, angle.outputs["Fac"]), 1e-9)
        return steep * pitch / (breadth * pixel)

    def bump(self, height: Signal, depth: float, share: Number = 1.0, over: Socket | None = None) -> Socket:
        """Return the normal of a relief whose height 0 to 1 stands for `depth` [m]; `share` fades it."""
        node = self.add("ShaderNodeBump")
        self.feed(node.inputs["Height"], height)
        self.feed(node.inputs["Distance"], depth)
        self.feed(node.inputs["Strength"], share)
        if over is not None:
            self.feed(node.inputs["Normal"], over)
        return node.outputs[0]


def clear_tree(block: bpy.types.Material | bpy.types.World) -> Graph:
    """Empty the node tree of a material or world, ready to be filled."""
    if bpy.app.version < (5, 0, 0):  # from 5.0 on every material and world has its tree
        block.use_nodes = True
    block.node_tree.nodes.clear()
    return Graph(block.node_tree)


def surface(
    graph: Graph,
    colour: Vector,
    *,
    roughness: Number,
    specular: Number = 0.5,
    metallic: float = 0.0,
    normal: Socket | None = None,
) -> bpy.types.Node:
    """End a material in one Principled surface and return its node."""
    shader = graph.add("ShaderNodeBsdfPrincipled")
    graph.feed(shader.inputs["Base Color"], colour)
    graph.feed(shader.inputs["Roughness"], roughness)
    graph.feed(shader.inputs["Specular IOR Level"], specular)
    graph.feed(shader.inputs["Metallic"], metallic)
    if normal is not None:
        graph.feed(shader.inputs["Normal"], normal)
    output = graph.add("ShaderNodeOutputMaterial")
    graph.feed(output.inputs["Surface"], shader.outputs[0])
    return shader


def let_through(graph: Graph, shader: bpy.types.Node, share: Signal) -> None:
    """Let a share of what lies behind a surface be seen through it, as if the surface were not there."""
    clear = graph.add("ShaderNodeBsdfTransparent")
    mixed = graph.add("ShaderNodeMixShader")
    output = next(node for node in graph.tree.nodes if node.type == "OUTPUT_MATERIAL")
    graph.feed(mixed.inputs[0], share)
    graph.feed(mixed.inputs[1], shader.outputs[0])
    graph.feed(mixed.inputs[2], clear.outputs[0])
    graph.feed(output.inputs["Surface"], mixed.outputs[0])


def split_gloss(colour: Colour, specular: float) -> tuple[Colour, float]:
    """Part a colour into what comes from within and what its gloss adds, as specular level, seen square on.

    A colour is measured with its gloss included, and a surface of index 1.5 reflects 4 % square on (Fresnel);
    Blender's specular level halves or doubles that about 0.5. So gloss can be no more than the darkest part.
    """
    gloss = min(0.08 * specular, GLOSS_SHARE * min(colour))
    red, green, blue = ((c - gloss) / (1 - gloss) for c in colour)
    return (red, green, blue), gloss / 0.08

"""Writes a model as USDZ, which an iPhone's own viewer opens: a package of one scene and its pictures.

USDZ (Pixar, OpenUSD documentation, "USDZ File Format Specification"): a zip archive with nothing compressed, whose
files begin at multiples of 64 bytes and whose first file is the scene. Shading is by UsdPreviewSurface.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Iterable, Mapping, Sequence
from math import sqrt

import numpy as np
import numpy.typing as npt

from ..version import VERSION
from .geometry import triangulated
from .model import Meshed, PhoneModel, Skin

ALIGNMENT = 64
SCENE = "model.usda"
_SPARE = 0x1986
"""Number of the extra field that fills the space before a file; readers pass over what they do not know."""
_MIDNIGHT = (0, 33)
"""Time and date of every entry, 1 January 1980: equal models give equal bytes."""


def usdz(model: PhoneModel, skins: Mapping[str, Skin]) -> bytes:
    """Write a model and its skins, by key, as the bytes of a .usdz file; equal models give equal bytes."""
    pictures: dict[str, bytes] = {}
    for key in dict.fromkeys(mesh.skin for mesh in model.meshes):
        picture = skins[key].picture
        if picture is not None:
            pictures[_picture(key, "colour")] = picture.colour
            pictures[_picture(key, "relief")] = picture.normal
    return _package([(SCENE, _scene(model, skins).encode()), *pictures.items()])


def _package(files: Iterable[tuple[str, bytes]]) -> bytes:
    """Zip files uncompressed, each at a multiple of 64 bytes."""
    body, directory, count = bytearray(), bytearray(), 0
    for name, content in files:
        path, start = name.encode("ascii"), len(body)
        spare = -(start + 30 + len(path) + 4) % ALIGNMENT
        extra = struct.pack("<HH", _SPARE, spare) + bytes(spare)
        time, date = _MIDNIGHT
        common = struct.pack(
            "<HHHHHIIIHH", 20, 0, 0, time, date, zlib.crc32(content), len(content), len(content), len(path), len(extra)
        )
        body += b"PK\3\4" + common + path + extra + content
        entry = struct.pack("<H", 20) + common + struct.pack("<HHHII", 0, 0, 0, 0, start)
        directory += b"PK\1\2" + entry + path + extra
        count += 1
    end = struct.pack("<4sHHHHIIH", b"PK\5\6", 0, 0, count, count, len(directory), len(body), 0)
    return bytes(body + directory + end)


def _scene(model: PhoneModel, skins: Mapping[str, Skin]) -> str:
    meshes = "\n".join(_mesh(mesh, skins[mesh.skin]) for mesh in model.meshes)
    looks = "\n".join(_material(key, skins[key]) for key in dict.fromkeys(mesh.skin for mesh in model.meshes))
    return f"""#usda 1.0
(
    defaultPrim = "Model"
    doc = "Courseline {VERSION}"
    metersPerUnit = 1
    upAxis = "Y"
)

def Xform "Model" (
    kind = "component"
    displayName = {_quoted(model.name)}
)
{{
{meshes}

    def Scope "Looks"
    {{
{looks}
    }}
}}
"""


def _mesh(mesh: Meshed, skin: Skin) -> str:
    shape = triangulated(mesh)
    corners = shape.indices.reshape(-1)
    low, high = shape.corners.min(axis=0), shape.corners.max(axis=0)
    uv = ""
    if skin.picture is not None:
        uv = f"""
        texCoord2f[] primvars:st = {_rows(shape.uv)} (
            interpolation = "vertex"
        )"""
    return f"""
    def Mesh "{_name(mesh.name)}" (
        prepend apiSchemas = ["MaterialBindingAPI"]
    )
    {{
        uniform bool doubleSided = 1
        uniform token subdivisionScheme = "none"
        float3[] extent = {_rows(np.stack([low, high]))}
        int[] faceVertexCounts = [{", ".join(["3"] * len(shape.indices))}]
        int[] faceVertexIndices = [{", ".join(map(str, corners.tolist()))}]
        point3f[] points = {_rows(shape.corners)}
        normal3f[] normals = {_rows(shape.normals)} (
            interpolation = "vertex"
        ){uv}
        rel material:binding = </Model/Looks/{_name(mesh.skin)}>
    }}"""


def _material(key: str, skin: Skin) -> str:
    place = f"/Model/Looks/{_name(key)}"
    if skin.picture is None:
        colour = f"color3f inputs:diffuseColor = {_row(skin.colour)}"
        normal = pictures = ""
    else:
        colour = f"color3f inputs:diffuseColor.connect = <{place}/Colour.outputs:rgb>"
        normal = f"""
                normal3f inputs:normal.connect = <{place}/Relief.outputs:rgb>"""
        pictures = _pictures(key, place)
    return f"""
        def Material "{_name(key)}"
        {{
            token outputs:surface.connect = <{place}/Surface.outputs:surface>

            def Shader "Surface"
            {{
                uniform token info:id = "UsdPreviewSurface"
                {colour}
                float inputs:roughness = {skin.roughness:.4g}
                float inputs:metallic = {skin.metallic:.4g}
                float inputs:ior = {index_of_refraction(skin.gloss):.4f}{normal}
                token outputs:surface
            }}{pictures}
        }}"""


def _pictures(key: str, place: str) -> str:
    # Normals are stored as 0 to 1, and are to be read as -1 to 1.
    signed = (
        "float4 inputs:scale = (2, 2, 2, 1)\n                float4 inputs:bias = (-1, -1, -1, 0)\n                "
    )
    kinds = (("Colour", "colour", "sRGB", ""), ("Relief", "relief", "raw", signed))
    reader = """

            def Shader "Places"
            {
                uniform token info:id = "UsdPrimvarReader_float2"
                string inputs:varname = "st"
                float2 outputs:result
            }"""
    return reader + "".join(
        f"""

            def Shader "{name}"
            {{
                uniform token info:id = "UsdUVTexture"
                asset inputs:file = @{_picture(key, part)}@
                token inputs:sourceColorSpace = "{space}"
                token inputs:wrapS = "repeat"
                token inputs:wrapT = "repeat"
                {more}float2 inputs:st.connect = <{place}/Places.outputs:result>
                float3 outputs:rgb
            }}"""
        for name, part, space, more in kinds
    )


def index_of_refraction(gloss: float) -> float:
    """Give the index of a surface that reflects a share square on (Fresnel, against air)."""
    root = sqrt(gloss)
    return (1 + root) / (1 - root)


def _picture(key: str, part: str) -> str:
    return f"pictures/{_name(key)}_{part}.jpg"


def _name(text: str) -> str:
    """Make a name of letters, digits and underscores, as USD wants it."""
    return re.sub(r"\W", "_", text, flags=re.ASCII)


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", " ") + '"'


def _row(values: Sequence[float] | npt.NDArray[np.float32]) -> str:
    return "(" + ", ".join(f"{value:.6g}" for value in values) + ")"


def _rows(values: npt.NDArray[np.float32]) -> str:
    return "[" + ", ".join(map(_row, values.tolist())) + "]"

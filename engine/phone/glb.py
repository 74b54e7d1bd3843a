"""Writes a model as binary glTF, which browsers and Android's viewer open: one file, nothing beside it.

glTF 2.0 (Khronos, ISO/IEC 12113:2022): metres, y up, triangles with their front anticlockwise, metallic-roughness
shading. How much a surface mirrors square on is told by the extension KHR_materials_specular.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from ..version import VERSION
from .geometry import Triangles, triangulated
from .model import PhoneModel, Skin

_FLOAT, _UNSIGNED = 5126, 5125
_VERTICES, _INDICES = 34962, 34963
_LINEAR, _MIPMAPPED, _REPEAT = 9729, 9987, 10497
_JSON, _BIN = 0x4E4F534A, 0x004E4942
PLAIN_GLOSS = 0.04
"""What a glTF surface reflects square on if nothing is said: index of refraction 1.5 (glTF 2.0, appendix B)."""
SPECULAR = "KHR_materials_specular"


def glb(model: PhoneModel, skins: Mapping[str, Skin]) -> bytes:
    """Write a model and its skins, by key, as the bytes of a .glb file; equal models give equal bytes."""
    file = _File()
    materials = {key: file.material(key, skins[key]) for key in dict.fromkeys(mesh.skin for mesh in model.meshes)}
    nodes: list[dict[str, Any]] = [{"name": model.name, "children": list(range(1, len(model.meshes) + 1))}]
    meshes = []
    for number, mesh in enumerate(model.meshes):
        primitive = file.primitive(triangulated(mesh), materials[mesh.skin], skins[mesh.skin].picture is not None)
        meshes.append({"name": mesh.name, "primitives": [primitive]})
        nodes.append({"name": mesh.name, "mesh": number})
    content: dict[str, Any] = {
        "asset": {"version": "2.0", "generator": f"Courseline {VERSION}"},
        "extensionsUsed": [SPECULAR],
        "scene": 0,
        "scenes": [{"name": model.name, "nodes": [0]}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": file.materials,
        "accessors": file.accessors,
        "bufferViews": file.views,
        "buffers": [{"byteLength": len(file.data)}],
    }
    if file.images:
        content["images"] = file.images
        content["textures"] = [{"sampler": 0, "source": number} for number in range(len(file.images))]
        content["samplers"] = [{"magFilter": _LINEAR, "minFilter": _MIPMAPPED, "wrapS": _REPEAT, "wrapT": _REPEAT}]
    text = json.dumps(content, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    chunks = [struct.pack("<II", len(part), kind) + part for part, kind in ((text, _JSON), (bytes(file.data), _BIN))]
    return struct.pack("<4sII", b"glTF", 2, 12 + sum(map(len, chunks))) + b"".join(chunks)


class _File:
    """The parts of a file under construction."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, int]] = []
        self.accessors: list[dict[str, Any]] = []
        self.images: list[dict[str, Any]] = []
        self.materials: list[dict[str, Any]] = []

    def material(self, name: str, skin: Skin) -> int:
        """Add a material; return its number."""
        shading: dict[str, Any] = {"metallicFactor": skin.metallic, "roughnessFactor": round(skin.roughness, 4)}
        made: dict[str, Any] = {"name": name, "pbrMetallicRoughness": shading}
        if skin.picture is None:
            shading["baseColorFactor"] = [*(round(part, 5) for part in skin.colour), 1.0]
        else:
            shading["baseColorTexture"] = {"index": self._image(f"{name} colour", skin.picture.colour)}
            made["normalTexture"] = {"index": self._image(f"{name} relief", skin.picture.normal)}
        if skin.gloss != PLAIN_GLOSS and not skin.metallic:
            made["extensions"] = {SPECULAR: {"specularFactor": round(min(skin.gloss / PLAIN_GLOSS, 1.0), 4)}}
        self.materials.append(made)
        return len(self.materials) - 1

    def primitive(self, shape: Triangles, material: int, pictured: bool) -> dict[str, Any]:
        """Add the arrays of a mesh; return what ties them together."""
        attributes = {
            "POSITION": self._accessor(shape.corners, "VEC3", bounds=True),
            "NORMAL": self._accessor(shape.normals, "VEC3"),
        }
        if pictured:
            # glTF counts v from the picture's top.
            down = np.column_stack([shape.uv[:, 0], 1 - shape.uv[:, 1]]).astype(np.float32)
            attributes["TEXCOORD_0"] = self._accessor(down, "VEC2")
            attributes["TANGENT"] = self._accessor(shape.tangents, "VEC4")
        indices = self._accessor(shape.indices.reshape(-1), "SCALAR", kind=_UNSIGNED, target=_INDICES)
        return {"attributes": attributes, "indices": indices, "material": material}

    def _accessor(
        self,
        values: npt.NDArray[Any],
        shape: str,
        *,
        kind: int = _FLOAT,
        target: int = _VERTICES,
        bounds: bool = False,
    ) -> int:
        made: dict[str, Any] = {
            "bufferView": self._view(values.astype(values.dtype.newbyteorder("<")).tobytes(), target),
            "componentType": kind,
            "count": len(values),
            "type": shape,
        }
        if bounds:
            made |= {"min": values.min(axis=0).tolist(), "max": values.max(axis=0).tolist()}
        self.accessors.append(made)
        return len(self.accessors) - 1

    def _image(self, name: str, jpeg: bytes) -> int:
        self.images.append({"name": name, "mimeType": "image/jpeg", "bufferView": self._view(jpeg)})
        return len(self.images) - 1

    def _view(self, content: bytes, target: int | None = None) -> int:
        view = {"buffer": 0, "byteOffset": len(self.data), "byteLength": len(content)}
        self.views.append(view if target is None else view | {"target": target})
        self.data += content + bytes(-len(content) % 4)
        return len(self.views) - 1

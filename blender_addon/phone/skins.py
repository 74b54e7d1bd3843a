"""How a viewer shades what a model is made of: our materials in the few words that all viewers know."""

from __future__ import annotations

from ..engine.phone.atlas import SKIN
from ..engine.phone.model import PhoneModel, Picture, Skin
from ..engine.scene.model import Material
from ..materials.boards import DULL, ROUGHEN, ROUGHNESS, SPECULAR, aged
from ..materials.nodes import linear, split_gloss
from ..materials.plain import FINISHES
from ..render import Progress
from .pictures import pictures_for

GLASS = Skin(colour=(0.012, 0.015, 0.016), roughness=0.05, gloss=0.08)
"""Glass as seen from outside by day, dark and mirroring: panes that one sees through are drawn wrong by some viewers
(by eye)."""
MATT_ROUGHNESS, MATT_SPECULAR = 0.88, 0.12
"""Of what our materials shade by nodes: brick, stone, slate, timber (by eye, no source)."""


def skins_for(model: PhoneModel, tell: Progress) -> dict[str, Skin]:
    """Make the skin of every mesh, by its key."""
    pictures = pictures_for(model, tell)
    skins = {SKIN: _board(model.materials[f"board {model.atlas.faces[0]}"], pictures[SKIN])}
    for mesh in model.meshes:
        if mesh.skin in model.colours:
            skins[mesh.skin] = Skin(model.colours[mesh.skin], MATT_ROUGHNESS, 0.08 * MATT_SPECULAR)
        elif mesh.skin not in skins:
            skins[mesh.skin] = _plain(model.materials[mesh.skin], pictures.get(mesh.skin))
    return skins


def _board(material: Material, picture: Picture) -> Skin:
    worn = material.weathered
    inner, gloss = split_gloss(aged(linear(material.colours[0]), worn), SPECULAR * (1 - DULL * worn))
    return Skin(inner, ROUGHNESS + ROUGHEN * worn, 0.08 * gloss, picture=picture)


def _plain(material: Material, picture: Picture | None) -> Skin:
    if material.kind == "glass":
        return GLASS
    finish = FINISHES.get(material.kind)
    colour = linear(material.colours[0])
    if finish is not None and finish.metallic:
        return Skin(colour, finish.roughness, 0.04, finish.metallic)
    specular = MATT_SPECULAR if finish is None else finish.specular
    inner, gloss = split_gloss(colour, specular)
    return Skin(inner, MATT_ROUGHNESS if finish is None else finish.roughness, 0.08 * gloss, picture=picture)

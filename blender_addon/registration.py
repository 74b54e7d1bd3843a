"""All that Blender is told of: two lists, registered in order and unregistered in reverse."""

from __future__ import annotations

import bpy
from bpy.props import PointerProperty

from . import ids
from .operators import build_deck, look_through, open_site, render_picture, write_plan
from .panels import boards, build, hand_over, quantities, show, site
from .properties import DeckSettings, FailedCheck, Figure, TakeoffRow

CLASSES = (
    Figure,
    TakeoffRow,
    FailedCheck,
    DeckSettings,
    open_site.OpenSite,
    build_deck.BuildDeck,
    look_through.LookThrough,
    render_picture.RenderPicture,
    write_plan.WritePlan,
    site.SitePanel,
    boards.BoardsPanel,
    build.BuildPanel,
    quantities.QuantitiesPanel,
    quantities.ChecksPanel,
    quantities.ItemsPanel,
    show.ShowPanel,
    hand_over.HandOverPanel,
)
POINTERS = ((bpy.types.Scene, ids.SETTINGS, DeckSettings),)


def register() -> None:
    """Register every class, then hang our properties on their owners."""
    for cls in CLASSES:
        bpy.utils.register_class(cls)
    for owner, name, group in POINTERS:
        setattr(owner, name, PointerProperty(type=group))


def unregister() -> None:
    """Undo `register`, last first. What scenes remember stays in the file."""
    for owner, name, _ in reversed(POINTERS):
        delattr(owner, name)
    for cls in reversed(CLASSES):
        bpy.utils.unregister_class(cls)

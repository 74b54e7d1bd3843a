"""All that Blender is told of: two lists, registered in order and unregistered in reverse."""

from __future__ import annotations

import bpy
from bpy.props import PointerProperty

from . import ids, live, order, overlay, update
from .comparison_settings import ComparisonSettings
from .operators import (
    background,
    build_deck,
    choose_board,
    compare,
    draw_outline,
    look_through,
    open_site,
    outline_as_line,
    pick,
    presets,
    render_picture,
    save_site,
    take_in,
    write_phone_model,
    write_plan,
)
from .panels import boards, build, hand_over, quantities, show, site
from .panels import compare as compare_panel
from .properties import DeckSettings, Edge, FailedCheck, Figure, Picked, TakeoffRow

CLASSES = (
    Picked,
    Edge,
    Figure,
    TakeoffRow,
    FailedCheck,
    DeckSettings,
    ComparisonSettings,
    draw_outline.DrawOutline,
    draw_outline.OutlineFromFaces,
    outline_as_line.OutlineAsLine,
    pick.Pick,
    pick.Unpick,
    take_in.TakeIn,
    open_site.OpenSite,
    save_site.SaveSite,
    choose_board.ChooseBoard,
    choose_board.ChooseColour,
    presets.PresetMenu,
    presets.BoardPreset,
    build_deck.BuildDeck,
    look_through.LookThrough,
    render_picture.RenderPicture,
    compare.ShowChoices,
    compare.LayChoice,
    compare.RemoveChoices,
    compare.PictureChoices,
    write_plan.WritePlan,
    write_phone_model.WritePhoneModel,
    site.SitePanel,
    site.ModelPanel,
    boards.BoardsPanel,
    boards.GapsPanel,
    boards.EdgesPanel,
    boards.FramePanel,
    build.BuildPanel,
    quantities.QuantitiesPanel,
    quantities.ChecksPanel,
    quantities.ItemsPanel,
    show.ShowPanel,
    compare_panel.ComparePanel,
    hand_over.HandOverPanel,
)
POINTERS = (
    (bpy.types.Scene, ids.SETTINGS, DeckSettings),
    (bpy.types.Scene, ids.COMPARISON, ComparisonSettings),
)


def register() -> None:
    """Register every class, then hang our properties on their owners."""
    for cls in CLASSES:
        bpy.utils.register_class(cls)
    for owner, name, group in POINTERS:
        setattr(owner, name, PointerProperty(type=group))  # type: ignore[func-returns-value]
    live.start(update.show_boards, update.settle)
    overlay.start()


def unregister() -> None:
    """Undo `register`, last first. What scenes remember stays in the file."""
    background.stop_all()
    order.leave_off()
    overlay.stop()
    live.stop()
    for owner, name, _ in reversed(POINTERS):
        delattr(owner, name)
    for cls in reversed(CLASSES):
        bpy.utils.unregister_class(cls)

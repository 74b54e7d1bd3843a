"""Chooses the board, and one of the colours that it is sold in."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import bpy

from .. import bridge, ids, live, properties
from ..engine import CourselineError
from ..engine.catalogue import board_colours, catalogue_of
from ..engine.choose import board_names, with_board
from .polls import has_site

_kept: dict[str, list[tuple[str, str, str]]] = {}
"""Names that menus show: Blender keeps no reference to them itself."""


def _boards(operator: bpy.types.Operator, context: bpy.types.Context) -> list[tuple[str, str, str]]:
    """Boards of the user's table and of the one that comes with the add-on."""
    table = table_of(properties.of(context))
    try:
        names = board_names(catalogue_of(table.name if table else None, table.parent if table else Path()))
    except CourselineError:
        names = ()
    _kept["boards"] = [(name, name, f"Lay {name} boards, at their own size and price") for name in names]
    return _kept["boards"]


def _colours(operator: bpy.types.Operator, context: bpy.types.Context) -> list[tuple[str, str, str]]:
    """Colours that the board in hand is sold in."""
    settings = properties.of(context)
    known = board_colours(bridge.site_in_hand(settings)) if settings.site_json else {}
    _kept["colours"] = [(colour, name.capitalize(), f"{name.capitalize()}, {colour}") for name, colour in known.items()]
    return _kept["colours"]


def table_of(settings: properties.DeckSettings) -> Path | None:
    """Return the user's own product table, if there is one."""
    return Path(bpy.path.abspath(settings.product_table)) if settings.product_table else None


class ChooseBoard(bpy.types.Operator):
    """Lay another board; its size, lengths, colour and price come from the product table."""

    bl_idname = ids.CHOOSE_BOARD
    bl_label = "Choose Board"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    board: bpy.props.EnumProperty(name="Board", description="The board to lay", items=_boards)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a site."""
        return has_site(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Put the board into the site with all choices kept; its own colour comes with it."""
        settings = properties.of(context)
        try:
            if not self.board:
                raise CourselineError("My products: the table cannot be read, or has no boards; see PRODUCT_FILE.md")
            site = with_board(bridge.chosen_site(settings), self.board, table_of(settings))
        except CourselineError as fault:
            self.report({"ERROR"}, str(fault))
            return {"CANCELLED"}
        run, angle = settings.run, settings.angle
        bridge.remember_site(settings, site)
        with live.quiet():
            settings.run, settings.angle = run, angle
        live.request(context.scene)
        return {"FINISHED"}


class ChooseColour(bpy.types.Operator):
    """Choose one of the colours that the board is sold in."""

    bl_idname = ids.CHOOSE_COLOUR
    bl_label = "Choose Colour"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    colour: bpy.props.EnumProperty(name="Colour", description="The colour to lay", items=_colours)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs a site."""
        return has_site(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Choose it."""
        properties.of(context).colour = bridge.rgb(self.colour)
        return {"FINISHED"}

"""What the deck takes, and what is wrong with it."""

from __future__ import annotations

from typing import ClassVar

import bpy

from .. import bridge, ids, properties
from .base import SidebarPanel, write_lines


class QuantitiesPanel(SidebarPanel, bpy.types.Panel):
    """The figures that decide."""

    bl_idname = ids.QUANTITIES_PANEL
    bl_label = "Quantities"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        settings = properties.of(context)
        if not bridge.is_built(settings):
            write_lines(self.layout, context, "Build the deck to see what it takes.", icon="INFO")
            return
        column = self.layout.column()
        column.enabled = not settings.is_draft  # greyed while they are those of the deck before
        write_figures(column, [(figure.name, figure.value) for figure in settings.figures])
        column = self.layout.column()
        column.use_property_split, column.use_property_decorate = True, False
        column.prop(settings, "spare")
        column.prop(settings, "product_table")
        if not settings.failed:
            self.layout.label(text="All checks pass", icon="CHECKMARK")


class ChecksPanel(SidebarPanel, bpy.types.Panel):
    """What is wrong with the deck, rule by rule."""

    bl_idname = ids.CHECKS_PANEL
    bl_parent_id = ids.QUANTITIES_PANEL
    bl_label = "To see to"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Shown while a check fails."""
        return bool(properties.of(context).failed)

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        for number, check in enumerate(properties.of(context).failed, 1):
            write_lines(self.layout, context, f"{number}. {check.name}", icon="ERROR")


class ItemsPanel(SidebarPanel, bpy.types.Panel):
    """The whole order, item by item."""

    bl_idname = ids.ITEMS_PANEL
    bl_parent_id = ids.QUANTITIES_PANEL
    bl_label = "All items"
    bl_options: ClassVar[set[str]] = {"DEFAULT_CLOSED"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Shown once there is a deck."""
        return bridge.is_built(properties.of(context))

    def draw(self, context: bpy.types.Context) -> None:
        """Draw the panel."""
        for row in properties.of(context).takeoff:
            item = self.layout.column(align=True)
            write_lines(item, context, row.name)
            write_figures(item, [(row.order, row.price)])


def write_figures(layout: bpy.types.UILayout, figures: list[tuple[str, str]]) -> None:
    """Write pairs in two columns, the second to the right."""
    column = layout.column(align=True)
    for name, value in figures:
        row = column.row()
        row.label(text=name)
        right = row.row()
        right.alignment = "RIGHT"
        right.label(text=value)

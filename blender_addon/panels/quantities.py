"""What the deck takes, and what is wrong with it."""

from __future__ import annotations

from typing import ClassVar

import bpy

from .. import bridge, ids, order, properties
from .base import SidebarPanel, write_lines

TO_FOLLOW, MAY_BE_LESS, AS_ORDERED = "Estimate; order to follow", "Estimate; order may be less", "As it will be ordered"
"""What the figures are: planned in no time, or as the command line and the buttons write them."""


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
        known = order.found(settings) if settings.is_estimate else None
        # One line in every case: panels below would jump.
        if settings.is_draft:
            order.leave_off()
            write_lines(column, context, TO_FOLLOW, icon="SORTTIME")
        elif settings.is_estimate and known is None:
            sought = order.look_for(settings)
            write_lines(column, context, TO_FOLLOW if sought else MAY_BE_LESS, icon="SORTTIME" if sought else "INFO")
        else:
            write_lines(column, context, AS_ORDERED, icon="CHECKMARK")
        write_figures(column, known.figures if known else [(each.name, each.value) for each in settings.figures])
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
        settings = properties.of(context)
        known = order.found(settings) if settings.is_estimate else None
        rows = known.rows if known else [(row.name, row.order, row.price) for row in settings.takeoff]
        for what, count, price in rows:
            item = self.layout.column(align=True)
            write_lines(item, context, what)
            write_figures(item, [(count, price)])


def write_figures(layout: bpy.types.UILayout, figures: list[tuple[str, str]]) -> None:
    """Write pairs in two columns, the second to the right."""
    column = layout.column(align=True)
    for name, value in figures:
        row = column.row()
        row.label(text=name)
        right = row.row()
        right.alignment = "RIGHT"
        right.label(text=value)

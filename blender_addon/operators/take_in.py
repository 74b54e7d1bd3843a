"""Takes the site in from the scene."""

from __future__ import annotations

from typing import ClassVar

import bpy

from .. import bridge, ids, properties, reading
from ..engine import CourselineError, SiteError
from ..engine.takein import Found, take_in
from .polls import picked_any


class TakeIn(bpy.types.Operator):
    """Make out the site from what was picked: outline, walls, doors and what stands in the way; choices stay."""

    bl_idname = ids.TAKE_IN
    bl_label = "Take In the Site"
    bl_options: ClassVar[set[str]] = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Needs an outline."""
        return picked_any(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Read what was picked; what cannot be made out leaves the site in hand as it was."""
        settings = properties.of(context)
        try:
            found = _found(context)
        except CourselineError as fault:
            self.report({"ERROR"}, str(fault))
            return {"CANCELLED"}
        had_house = any(each.role == "house" for each in settings.picked)
        bridge.remember_site(settings, found.site)
        settings.around = "deck" if had_house else "all"
        for line in found.told:
            self.report({"WARNING"}, line)
        deck = found.site.deck
        self.report({"INFO"}, f"{len(deck.outline)} edges, {len(deck.house_edges or ())} of them at the house")
        return {"FINISHED"}


def _found(context: bpy.types.Context) -> Found:
    """The site as picked.

    Raises
    ------
    CourselineError
        If something picked is no longer there, or cannot be made out.
    """
    scene, settings, depsgraph = context.scene, properties.of(context), context.evaluated_depsgraph_get()
    of_role: dict[str, list[properties.Picked]] = {role: [] for role, _, _ in properties.ROLES}
    for each in settings.picked:
        if each.thing is None or scene.objects.get(each.thing.name) is not each.thing:
            name = f"'{each.thing.name}'" if each.thing else "an object on the list"
            raise CourselineError(f"{name} is no longer in this scene: take it off the list, or pick it again")
        of_role[each.role].append(each)
    try:
        like = bridge.chosen_site(settings) if settings.site_json else None
    except SiteError:  # the choices did not fit the site as it was: then they begin anew
        like = bridge.site_in_hand(settings)
    return take_in(
        settings.job or "Deck",
        [reading.drawing(each.thing, scene, depsgraph) for each in of_role["outline"]],
        [reading.solid(each.thing, scene, depsgraph, "other") for each in of_role["house"]],
        [reading.solid(each.thing, scene, depsgraph, each.kind) for each in of_role["obstacle"]],
        [reading.doorway(each.thing, scene, depsgraph, each.door) for each in of_role["door"]],
        height=settings.height,
        wall_edges=[edge.number for edge in settings.edges if edge.at_house],
        like=like,
    )

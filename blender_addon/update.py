"""The deck in the scene brought up to date: its boards alone while a choice is made, or all of it."""

from __future__ import annotations

from dataclasses import replace

import bpy

from . import bridge, build
from .build.boarding import change_boarding, draw_slabs, turn_over
from .build.fit import fit
from .engine import CourselineError, design
from .engine.collector import collector_at_rest
from .engine.plan import Plan
from .engine.preview import Previews, lie_alike
from .engine.refresh import boarding_of, ground_key
from .engine.scene import build_scene
from .engine.spec import Site
from .properties import DeckSettings, of_scene

_previews = Previews()


def show_boards(scene: bpy.types.Scene) -> bool:
    """Lay the boards as chosen, and nothing else; what cannot be laid is told, and the deck stays.

    Returns
    -------
    bool
        Whether anything was changed.
    """
    settings = of_scene(scene)
    deck = _deck(scene)
    if deck is None or _as_built(settings) or _is_shared(deck, scene):
        return False
    try:
        with collector_at_rest():
            site = bridge.chosen_site(settings)
            if _looks_alike(site, bridge.built_site(settings)) and turn_over(deck, site):
                settings.fault, settings.is_draft = "", True
                return True
            shown = _previews.of(site)
    except CourselineError as fault:
        settings.fault = bridge.in_words(fault)
        return False
    draw_slabs(deck, shown.boards, bridge.rgb(site.boards.colour), scene)
    settings.joint_places = bridge.places_text(shown.joints)
    settings.fault, settings.is_draft = "", True
    return True


def _as_built(settings: DeckSettings) -> bool:
    """Whether the deck shows the choices already; then whatever could not be built is chosen no more."""
    if bridge.is_stale(settings):
        return False
    settings.fault = ""
    return True


def _looks_alike(site: Site, built: Site) -> bool:
    """Whether the boards as built show the choices, but for the face that is up."""
    same_colour = (site.boards.colour, site.look.weathered) == (built.boards.colour, built.look.weathered)
    return same_colour and lie_alike(site, built)


def settle(scene: bpy.types.Scene) -> bool:
    """Plan the deck as chosen and build it, if there is one; what cannot be planned is told, and the deck stays.

    Returns
    -------
    bool
        Whether anything was changed.
    """
    settings = of_scene(scene)
    if _deck(scene) is None or (_as_built(settings) and not settings.is_draft):
        return False
    try:
        build_as_chosen(scene)
    except CourselineError as fault:
        settings.fault = bridge.in_words(fault)
        return False
    return True


def build_as_chosen(scene: bpy.types.Scene) -> Plan:
    """Plan first and touch the scene last: what cannot be planned leaves the last good deck alone.

    Raises
    ------
    CourselineError
        If the site as chosen cannot be planned.
    """
    settings = of_scene(scene)
    plan = design(bridge.chosen_site(settings))
    ground = f"{settings.around} {ground_key(plan)}"
    deck = _deck(scene)
    if deck is not None and _is_shared(deck, scene) and deck in scene.collection.children[:]:
        scene.collection.children.unlink(deck)  # the other scene's figures tell of it as it is
        deck = None
    if deck is not None and ground == settings.built_ground and deck[build.collection.DECK] == plan.name:
        change_boarding(deck, boarding_of(plan), scene)
    else:
        model = build_scene(plan)
        if settings.around == "deck":
            model = replace(model, surfaces=(), plantings=())
        if bridge.is_built(settings):
            build.remove_deck(scene, bridge.built_site(settings).name)
        deck = build.build_deck(model, scene)
        fit(deck.all_objects, scene)
    bridge.remember_plan(settings, plan)
    settings.built_ground = ground
    return plan


def _is_shared(deck: bpy.types.Collection, scene: bpy.types.Scene) -> bool:
    """Whether another scene with a deck of its own shows the same, as a linked copy of the scene does."""
    others = (other for other in bpy.data.scenes if other != scene and bridge.is_built(of_scene(other)))
    return any(deck in other.collection.children_recursive for other in others)


def _deck(scene: bpy.types.Scene) -> bpy.types.Collection | None:
    """The deck that was built in a scene, if it is still there."""
    settings = of_scene(scene)
    return build.find_deck(scene, bridge.built_site(settings).name) if bridge.is_built(settings) else None

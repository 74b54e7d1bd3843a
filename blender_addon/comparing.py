"""Pictures of all choices from the same cameras, taken in a copy of the user's own file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import bpy

from . import build
from .build.choices import lay_choice, remove_choices
from .engine.comparison import compare_choices, shots_of, write_comparison
from .engine.errors import SiteError
from .engine.scene.shots import Shot
from .engine.spec import Site
from .engine.variants import Varied
from .materials.sky import sky_for
from .render import Progress, Quality, calibrate, render_still
from .studio import close_up_of, quiet

OWN_CAMERA = "mine"
"""The view of the camera that the user has made the scene's own."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What differs, after what files are called, views besides the sheet's, how good pictures are, and the scene."""

    vary: Varied
    stem: str
    views: tuple[str, ...]
    quality: Quality
    scene: str


def compare_in_file(site: Site, asked: Asked, file: Path, folder: Path, tell: Progress) -> None:
    """Open a file that holds the deck, picture every choice in it, and write the comparison into a folder.

    The file on disk stays as it is. Choices have a folder each: the sheet's picture, a close-up, further views and the
    plan.

    Raises
    ------
    SiteError
        If the file holds no such deck, or a choice cannot be planned.
    """
    tell(0.0, "planning the choices")
    made = compare_choices(site, asked.vary)
    shots = shots_of(made, folder, asked.stem)
    with quiet():
        bpy.ops.wm.open_mainfile(filepath=str(file))
        scene = bpy.data.scenes[asked.scene]
        deck = build.find_deck(scene, site.name)
        if deck is None:
            raise SiteError("deck", repr(site.name), "is no longer in this scene: build it again")
        lay_choice(deck, scene, scene.view_layers[0], "")
        remove_choices(scene)
        own = scene.camera if scene.camera is not None and not build.is_ours(scene.camera) else None
        scene.world = sky_for(made.scenes[0].sun)
        calibrate(scene)
        for number, shot in enumerate(shots):
            build.change_boards(deck, made.scenes[number], scene)
            start, end = number / len(shots), (number + 1) / len(shots)
            _take(shot, made.choices[number].label, deck, own, asked, scene, _between(tell, start, end))
    write_comparison(made, shots, folder, asked.stem)
    tell(1.0, "done")


def _take(
    shot: Shot,
    label: str,
    deck: bpy.types.Collection,
    own: bpy.types.Object | None,
    asked: Asked,
    scene: bpy.types.Scene,
    tell: Progress,
) -> None:
    further = [view for view in asked.views if view != shot.model.view and (view != OWN_CAMERA or own is not None)]
    wanted = [
        (shot.model.view, shot.picture, asked.quality),
        (shot.close_view, shot.close_up, close_up_of(asked.quality)),
        *((view, shot.picture.with_name(f"{asked.stem}-{view}.png"), asked.quality) for view in further),
    ]
    for place, (view, picture, size) in enumerate(wanted):
        if view == OWN_CAMERA:
            scene.camera = own
        else:
            build.look_through(scene, deck, view)
        told = _between(tell, place / len(wanted), (place + 1) / len(wanted))
        render_still(scene, picture, size, lambda done, note, told=told: told(done, f"{label}, {note}"))


def _between(tell: Progress, start: float, end: float) -> Progress:
    return lambda done, note: tell(start + done * (end - start), note)

"""From a scene model to a picture and the .blend it was taken in, for Blender without a window."""

from __future__ import annotations

import io
import os
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, redirect_stdout
from dataclasses import fields, replace
from pathlib import Path

import bpy

from .build import build_deck, change_boards, look_through, remove_deck
from .build.collection import DECK
from .engine.scene.model import SceneModel
from .engine.scene.shots import Shot
from .engine.scene.two_boards import SHAPE
from .materials.sky import sky_for
from .render import QUALITIES, Progress, Quality, calibrate, render_still, set_up

RENDER_SHARE = (0.05, 0.97)
"""Between which shares of the whole the rendering itself is told as done (ours, measured on a client picture)."""
CLOSE_UP_SHARE = 0.3
"""The close-up's share of the rendering of a picture that has one (ours, measured on a client picture)."""
CLOSE_UP_WIDTH = 0.625
"""Width of a close-up over that of the picture: as sharp as a sheet prints it (ours)."""


def picture(
    model: SceneModel,
    out_png: Path,
    out_blend: Path | None = None,
    quality: str = "draft",
    progress: Progress | None = None,
) -> None:
    """Build a scene from nothing, render its view, and save it.

    Whatever is open in this process is dropped: in a window use `build.build_deck` and `render` instead.

    Parameters
    ----------
    model : SceneModel
    out_png : Path
        The picture; its folder is made if need be.
    out_blend : Path, optional
        The file it was taken in, with everything in it.
    quality : {"draft", "client"}
    progress : callable, optional
        Told the share done [0 to 1] and what is going on.
    """
    pictures([Shot(model, out_png, out_blend)], quality, progress)


def pictures(shots: Sequence[Shot], quality: str = "draft", progress: Progress | None = None) -> None:
    """As `picture`, for several choices: house, garden and light are made once, and again only where a model differs.

    Parameters
    ----------
    shots : sequence of Shot
        Each .blend holds its own choice and nothing of the others.
    quality : {"draft", "client"}
    progress : callable, optional
        Told the share of all that is done [0 to 1] and what is going on.
    """
    tell = progress or say_nothing
    with quiet():
        bpy.ops.wm.read_factory_settings(use_empty=True)
        scene = bpy.context.scene
        deck, shown = None, None
        for number, shot in enumerate(shots):

            def told(done: float, note: str, number: int = number) -> None:
                tell((number + done) / len(shots), note)

            told(0.0, "building")
            if deck is not None and shown is not None and _same_place(shown, shot.model):
                change_boards(deck, shot.model, scene)
            else:
                deck = _fresh_deck(shot.model, scene, deck, told)
            shown = shot.model
            _take(shot, deck, scene, quality, told)
        tell(1.0, "done")


def _same_place(one: SceneModel, other: SceneModel) -> bool:
    """Whether two models differ in their decks or in the view alone. What is the very same record is equal at once."""
    return all(
        getattr(one, part.name) == getattr(other, part.name)
        for part in fields(SceneModel)
        if part.name not in ("boards", "blocks", "fixings", "materials", "cameras", "view")
    )


def _fresh_deck(
    model: SceneModel, scene: bpy.types.Scene, before: bpy.types.Collection | None, tell: Progress
) -> bpy.types.Collection:
    """Build everything, and set the light."""
    if before is not None:
        remove_deck(scene, before[DECK])
    deck = build_deck(model, scene)
    scene.world = sky_for(model.sun)
    tell(RENDER_SHARE[0] / 2, "measuring the light")
    calibrate(scene)
    return deck


def _take(shot: Shot, deck: bpy.types.Collection, scene: bpy.types.Scene, quality: str, tell: Progress) -> None:
    """Render what a shot asks for, and save the file."""
    start, end = RENDER_SHARE
    near = end - (end - start) * CLOSE_UP_SHARE if shot.close_up else end
    wanted = QUALITIES[quality]
    render_still(scene, shot.picture, wanted, _between(tell, start, near))
    if shot.close_up is not None:
        look_through(scene, deck, shot.close_view)
        render_still(scene, shot.close_up, close_up_of(wanted), _between(tell, near, end, "close-up, "))
        look_through(scene, deck, shot.model.view)
        set_up(scene, wanted)  # the file saved next is that of the view
    if shot.blend is not None:
        tell(end, "saving")
        scene.render.filepath = f"//{shot.picture.name}"
        _save(shot.blend.resolve())


def close_up_of(wanted: Quality) -> Quality:
    """Give the size and quality of the close-up that goes with a picture."""
    width = round(wanted.width * CLOSE_UP_WIDTH)
    return replace(wanted, width=width, height=round(width / SHAPE), samples=2 * wanted.samples)


def _between(tell: Progress, start: float, end: float, what: str = "") -> Progress:
    """Tell a part's progress as that of the whole."""
    return lambda done, note: tell(start + done * (end - start), what + note)


def say_nothing(_done: float, _note: str) -> None:
    """Take the place of a progress callback that is not wanted."""


def _save(path: Path) -> None:
    """Save the open file under a name that it gets only once it is whole."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".saving-") as folder:
        part = Path(folder) / path.name
        with redirect_stdout(io.StringIO()):  # Python is told here, not C, that a part file was saved
            bpy.ops.wm.save_as_mainfile(filepath=str(part), compress=True, check_existing=False)
        part.replace(path)


@contextmanager
def quiet() -> Iterator[None]:
    """Keep Blender's own chatter off the terminal: it writes below Python, and would tear a progress bar apart."""
    sys.stdout.flush()
    kept = os.dup(1)
    before = sys.stdout
    ours = os.fdopen(os.dup(1), "w", buffering=1, encoding="utf-8")
    try:
        with Path(os.devnull).open("w") as nowhere:
            os.dup2(nowhere.fileno(), 1)
        if _is_terminal_stream(before):
            sys.stdout = ours
        yield
    finally:
        sys.stdout = before
        os.dup2(kept, 1)
        os.close(kept)
        ours.close()


def _is_terminal_stream(stream: object) -> bool:
    """Return whether a stream writes to the descriptor that is being silenced (a test's capture does not)."""
    try:
        return stream.fileno() == 1  # type: ignore[attr-defined]
    except (AttributeError, OSError, ValueError):
        return False

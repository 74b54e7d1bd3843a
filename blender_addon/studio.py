"""From a scene model to a picture and the .blend it was taken in, for Blender without a window."""

from __future__ import annotations

import io
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stdout
from dataclasses import replace
from pathlib import Path

import bpy

from .build import build_deck, look_through
from .engine.scene.model import SceneModel
from .materials.sky import sky_for
from .render import QUALITIES, Progress, calibrate, render_still, set_up

RENDER_SHARE = (0.05, 0.97)
"""Between which shares of the whole the rendering itself is told as done (ours, measured on a client picture)."""
CLOSE_VIEW = "close"
"""The view that shows the boards from near by (see `engine.scene.cameras`)."""


def picture(
    model: SceneModel,
    out_png: Path,
    out_blend: Path | None = None,
    quality: str = "draft",
    progress: Progress | None = None,
    close_up: Path | None = None,
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
    close_up : Path, optional
        A second picture, half as wide and high, of the boards from near by: for the comparison sheet.
    """
    tell = progress or _say_nothing
    start, end = RENDER_SHARE
    with _quiet():
        tell(0.0, "building")
        bpy.ops.wm.read_factory_settings(use_empty=True)
        scene = bpy.context.scene
        deck = build_deck(model, scene)
        scene.world = sky_for(model.sun)
        tell(start / 2, "measuring the light")
        calibrate(scene)
        render_still(scene, out_png, QUALITIES[quality], lambda done, note: tell(start + done * (end - start), note))
        if close_up is not None:
            tell(end, "close-up")
            _render_close_up(deck, scene, close_up, quality)
        if out_blend is not None:
            tell(end, "saving")
            scene.render.filepath = f"//{Path(out_png).name}"
            _save(Path(out_blend).resolve())
        tell(1.0, "done")


def _say_nothing(_done: float, _note: str) -> None:
    """Take the place of a progress callback that is not wanted."""


def _render_close_up(deck: bpy.types.Collection, scene: bpy.types.Scene, path: Path, quality: str) -> None:
    """Render the boards from near by, in the same light, and leave the scene's camera as it was."""
    view, wanted = scene.camera, QUALITIES[quality]
    try:
        look_through(scene, deck, CLOSE_VIEW)
        render_still(
            scene, path, replace(wanted, width=wanted.width // 2, height=wanted.height // 2, samples=2 * wanted.samples)
        )
    finally:
        scene.camera = view
        set_up(scene, wanted)  # the file saved next is that of the view


def _save(path: Path) -> None:
    """Save the open file under a name that it gets only once it is whole."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".saving-") as folder:
        part = Path(folder) / path.name
        with redirect_stdout(io.StringIO()):  # Python is told here, not C, that a part file was saved
            bpy.ops.wm.save_as_mainfile(filepath=str(part), compress=True, check_existing=False)
        part.replace(path)


@contextmanager
def _quiet() -> Iterator[None]:
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

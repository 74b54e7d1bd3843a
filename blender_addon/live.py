"""Choices shown while they are made: boards at every step of the mouse, everything else once it rests.

A change only notes that a scene is out of date. A timer of Blender's then lays the boards alone, and plans the whole
deck when nothing has changed for `REST`. Timers run between the steps of a drag, and never inside another operator.
Without a window no timer runs: there the Build button does the whole.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import bpy
from bpy.app.handlers import persistent

REST = 0.4
"""How long nothing must have changed until the whole deck is planned [s] (ours)."""
STEP = 0.01
"""How often we look while something is to be done [s] (ours)."""

Work = Callable[[bpy.types.Scene], None]


class _State:
    """What is to be done, in this session; nothing of it is saved."""

    show: Work | None = None
    settle: Work | None = None
    changed: dict[str, float]
    shown: set[str]
    quiet = 0

    def __init__(self) -> None:
        self.changed, self.shown = {}, set()


_state = _State()


def start(show: Work, settle: Work) -> None:
    """Begin to listen.

    Parameters
    ----------
    show : callable
        Lays the boards of a scene, in no time.
    settle : callable
        Plans the deck of a scene and builds it whole.
    """
    _state.show, _state.settle = show, settle
    for handlers in _handlers():
        handlers.append(_after)


def stop() -> None:
    """Listen no more."""
    if bpy.app.timers.is_registered(_tick):
        bpy.app.timers.unregister(_tick)
    for handlers in _handlers():
        if _after in handlers:
            handlers.remove(_after)
    _state.__init__()  # type: ignore[misc]
    _state.show = _state.settle = None


@contextmanager
def quiet() -> Iterator[None]:
    """Set properties without their changes being noted."""
    _state.quiet += 1
    try:
        yield
    finally:
        _state.quiet -= 1


def request(scene: bpy.types.Scene) -> None:
    """Note that the choices of a scene have changed."""
    if _state.quiet or bpy.app.background or _state.show is None:
        return
    _state.changed[scene.name] = time.monotonic()
    _state.shown.discard(scene.name)
    if not bpy.app.timers.is_registered(_tick):
        bpy.app.timers.register(_tick, first_interval=0.0)


def redraw() -> None:
    """Have every 3D view drawn again."""
    for window in bpy.context.window_manager.windows if bpy.context.window_manager else ():
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                area.tag_redraw()


def _handlers() -> tuple[list, list, list]:
    handlers = bpy.app.handlers
    return handlers.undo_post, handlers.redo_post, handlers.load_post


@persistent
def _after(*_: object) -> None:
    """After undo, redo or loading, finish what was caught half way: boards as they were being chosen."""
    for scene in bpy.data.scenes:
        if scene.courseline.is_draft:
            request(scene)


def _tick() -> float | None:
    """Do what is due; return in how many seconds to look again."""
    if bpy.app.is_job_running("RENDER"):
        return REST
    for name, at in list(_state.changed.items()):
        scene = bpy.data.scenes.get(name)
        if scene is None or _state.show is None or _state.settle is None:
            del _state.changed[name]
        elif name not in _state.shown:
            _state.shown.add(name)
            _state.show(scene)
            redraw()
        elif time.monotonic() - at > REST:
            del _state.changed[name]
            _state.settle(scene)
            redraw()
    return STEP if _state.changed else None

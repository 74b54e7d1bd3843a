"""Choices shown while they are made: boards at every step of the mouse, everything else once it rests.

A change lays the boards at once, so that they belong to the step which the change itself is for undo. When nothing
has changed for `REST`, a timer plans the whole deck and pushes a step of its own: Blender's undo takes harm from what
is removed outside its steps. Boards half way are no place to stop at, so undo and redo go on past them.
Without a window no timer runs: there the Build button does the whole.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import bpy
from bpy.app.handlers import persistent

from . import ids

REST = 0.4
"""How long nothing must have changed until the whole deck is planned [s] (ours)."""
STEP = 0.1
"""How often we look whether it has [s] (ours)."""

Work = Callable[[bpy.types.Scene], bool]
"""Does something to a scene, and tells whether it did."""


@dataclass
class _State:
    """What is to be done, in this session; nothing of it is saved."""

    show: Work | None = None
    settle: Work | None = None
    changed: dict[str, float] = field(default_factory=dict)
    quiet: int = 0


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
    for handlers, handler in _handlers():
        handlers.append(handler)


def stop() -> None:
    """Listen no more."""
    for timer in (_tick, _go_back, _go_on):
        if bpy.app.timers.is_registered(timer):
            bpy.app.timers.unregister(timer)
    for handlers, handler in _handlers():
        if handler in handlers:
            handlers.remove(handler)
    _state.show = _state.settle = None
    _state.changed.clear()


@contextmanager
def quiet() -> Iterator[None]:
    """Set properties without their changes being noted."""
    _state.quiet += 1
    try:
        yield
    finally:
        _state.quiet -= 1


def request(scene: bpy.types.Scene) -> None:
    """Show the choices of a scene, which have changed, and have the rest follow."""
    if _state.quiet or bpy.app.background or _state.show is None:
        return
    if not _rendering():
        _state.show(scene)
    _settle_soon(scene)
    redraw()


def _rendering() -> bool:
    return bool(bpy.app.is_job_running("RENDER"))  # type: ignore[func-returns-value]  # the stubs know no answer


def redraw() -> None:
    """Have every 3D view drawn again."""
    for window in bpy.context.window_manager.windows if bpy.context.window_manager else ():
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                area.tag_redraw()


def is_at_rest() -> bool:
    """Tell whether nothing waits to be planned, and no picture is being made."""
    return not _state.changed and not _rendering()


def _settle_soon(scene: bpy.types.Scene) -> None:
    _state.changed[scene.name] = time.monotonic()
    _run(_tick)


def _run(timer: Callable[[], float | None]) -> None:
    if not bpy.app.timers.is_registered(timer):
        bpy.app.timers.register(timer, first_interval=STEP)


def _tick() -> float | None:
    """Plan what has rested; return in how many seconds to look again."""
    if _rendering():
        return REST
    for name, at in list(_state.changed.items()):
        scene: bpy.types.Scene | None = bpy.data.scenes.get(name)
        if scene is None or _state.settle is None:
            del _state.changed[name]
        elif time.monotonic() - at > REST:
            del _state.changed[name]
            if _state.settle(scene):
                with _in_window() as found:
                    if found:
                        bpy.ops.ed.undo_push(message="Plan the Deck")
            redraw()
    return STEP if _state.changed else None


def _handlers() -> tuple[tuple[list[Any], Callable[..., None]], ...]:
    handlers = bpy.app.handlers
    return (handlers.undo_post, _undone), (handlers.redo_post, _redone), (handlers.load_post, _loaded)


def _drafts() -> list[bpy.types.Scene]:
    """Scenes whose boards are half way."""
    return [scene for scene in bpy.data.scenes if getattr(scene, ids.SETTINGS).is_draft]


@persistent
def _undone(*_: object) -> None:
    """After undo, go on to the step before the boards were half way; what waited to be planned is gone."""
    _state.changed.clear()
    if _drafts() and not bpy.app.background:
        _run(_go_back)


@persistent
def _redone(*_: object) -> None:
    """After redo, go on to the step in which the deck was planned."""
    _state.changed.clear()
    if _drafts() and not bpy.app.background:
        _run(_go_on)


@persistent
def _loaded(*_: object) -> None:
    """After loading, plan what was saved half way."""
    if not bpy.app.background:
        for scene in _drafts():
            _settle_soon(scene)


def _go_back() -> None:
    _step_on(bpy.ops.ed.undo)


def _go_on() -> None:
    _step_on(bpy.ops.ed.redo)


def _step_on(step: Any) -> None:
    """Undo or redo on, past all steps at which boards are half way; at the last of all, plan it: no other is lost."""
    with _in_window() as found:
        while found and _drafts() and step.poll():
            if "FINISHED" not in step():
                break
    for scene in _drafts():
        _settle_soon(scene)


@contextmanager
def _in_window() -> Iterator[bool]:
    """Be in a window, as undo asks for; tells whether there is one."""
    windows = bpy.context.window_manager.windows if bpy.context.window_manager else ()
    for window in windows:
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                region = next(each for each in area.regions if each.type == "WINDOW")
                with bpy.context.temp_override(window=window, area=area, region=region):
                    yield True
                return
    yield False

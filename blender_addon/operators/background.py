"""Buttons whose work is done in the background: progress in the status bar and the panel, Esc to stop."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import bpy

from ..jobs import Job, start

TICK = 0.3
"""How often a job is looked at [s] (ours)."""

_current: Job | None = None


def current() -> Job | None:
    """Give the job that is being done, if any."""
    return _current


def is_free(operator: type[bpy.types.Operator]) -> bool:
    """Tell whether another job can be started."""
    if _current is None:
        return True
    operator.poll_message_set("Wait for the pictures being made, or press Esc to stop them")
    return False


def stop_all() -> None:
    """Stop what is being done: the add-on is being disabled."""
    global _current
    if _current is not None:
        _current.stop()
        _current = None


class Background:
    """Mixed into an operator that starts one job; without a window it waits for the job's end."""

    _timer: bpy.types.Timer | None = None
    _job: Job | None = None

    def begin(
        self, context: bpy.types.Context, kind: str, asked: dict[str, Any], out: Path, *, save_copy: bool = False
    ) -> set[str]:
        """Start a job and go on, or tell why that cannot be; it may work on a copy of the file that is open."""
        global _current
        try:
            self._job = _current = start(kind, asked, out, _save_copy if save_copy else None)
        except OSError as fault:
            self.report({"ERROR"}, f"{out} cannot be written ({fault.strerror})")
            return {"CANCELLED"}
        if bpy.app.background or context.window is None:
            self._job.wait()
            return self._end(context)
        self._timer = context.window_manager.event_timer_add(TICK, window=context.window)
        context.window_manager.modal_handler_add(self)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        """Tell how far the job has come; everything else goes on as ever."""
        job = self._job
        if job is not _current:  # stopped by others
            return self._leave(context, {"CANCELLED"})
        if event.type == "ESC" and event.value == "PRESS":
            job.stop()
            self.report({"INFO"}, "Stopped; nothing was written")
            return self._leave(context, {"CANCELLED"})
        if event.type != "TIMER":
            return {"PASS_THROUGH"}
        if job.is_over():
            return self._end(context)
        context.workspace.status_text_set(f"{job.note} ({job.share:.0%})   Esc: stop")
        _redraw(context)
        return {"PASS_THROUGH"}

    def cancel(self, context: bpy.types.Context) -> None:
        """End with Blender."""
        stop_all()

    def _end(self, context: bpy.types.Context) -> set[str]:
        if self._job.fault:
            self._job.drop()
            self.report({"ERROR"}, self._job.fault)
            return self._leave(context, {"CANCELLED"})
        kept = self._job.keep()
        self.report({"INFO"}, f"Wrote {_files(kept)}")
        return self._leave(context, {"FINISHED"})

    def _leave(self, context: bpy.types.Context, result: set[str]) -> set[str]:
        global _current
        if _current is self._job:
            _current = None
        if self._timer is not None:
            context.window_manager.event_timer_remove(self._timer)
            context.workspace.status_text_set(None)
            _redraw(context)
        return result


def _save_copy(file: Path) -> None:
    """Save the open file as it is now; it keeps its own name."""
    bpy.ops.wm.save_as_mainfile(filepath=str(file), copy=True, check_existing=False)


def _files(kept: list[Path]) -> str:
    return str(kept[0]) if len(kept) == 1 else f"{len(kept)} files to {kept[0].parent}"


def _redraw(context: bpy.types.Context) -> None:
    for window in context.window_manager.windows:
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                area.tag_redraw()

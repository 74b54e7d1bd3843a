"""The order as it will be written, worked out by a Blender in the background once nothing changes any more.

While choices are made the deck is planned in no time, and its figures are an estimate. The order is looked for longer,
as long as on the command line. What is found is kept in this session and shown in the panel in the estimate's place;
the scene is not touched, so there is nothing to be undone.
"""

from __future__ import annotations

import json
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import bpy

from . import bridge, ids, live
from .engine.plan import Plan
from .jobs import Job, start
from .jobs.words import ORDER

if TYPE_CHECKING:
    from .properties import DeckSettings

REST = 1.5
"""How long nothing must have changed until the order is worked out [s] (ours)."""
STEP = 0.5
"""How often we look whether it has, or whether the order is ready [s] (ours)."""
KEPT = 32
"""Orders kept in a session, those of the choices made last (ours)."""


@dataclass(frozen=True)
class Order:
    """Figures and lines of an order, ready to be read."""

    figures: list[tuple[str, str]]
    rows: list[tuple[str, str, str]]


@dataclass
class _State:
    """What has been found in this session, by the site planned, and what is being worked out."""

    found: dict[str, Order | None] = field(default_factory=dict)
    key: str = ""
    since: float = 0.0
    job: Job | None = None


_state = _State()


def found(settings: DeckSettings) -> Order | None:
    """The order of the deck as built, if it has been worked out."""
    return _state.found.get(settings.built_site_json)


def remember(settings: DeckSettings, plan: Plan) -> None:
    """Keep an order just written."""
    _keep(settings.built_site_json, Order(bridge.figures_of(plan), bridge.rows_of(plan)))


def look_for(settings: DeckSettings) -> bool:
    """Have the order of the deck as built worked out; tell whether it will be."""
    key = settings.built_site_json
    if bpy.app.background or not key or key in _state.found:
        return False
    if key != _state.key:
        if _is_built(_state.key):  # in another scene, shown in another window: that comes first
            return True
        leave_off()
        _state.key, _state.since = key, time.monotonic()
    if not bpy.app.timers.is_registered(_tick):
        bpy.app.timers.register(_tick, first_interval=STEP)
    return True


def leave_off() -> None:
    """Stop working out an order: choices have changed, or the add-on is being disabled."""
    if _state.job is not None:
        _state.job.stop(at_once=True)
    _state.job, _state.key = None, ""
    if bpy.app.timers.is_registered(_tick):
        bpy.app.timers.unregister(_tick)


def _is_built(key: str) -> bool:
    return bool(key) and any(getattr(scene, ids.SETTINGS).built_site_json == key for scene in bpy.data.scenes)


def _keep(key: str, order: Order | None) -> None:
    _state.found[key] = order
    while len(_state.found) > KEPT:
        del _state.found[next(iter(_state.found))]


def _tick() -> float | None:
    """Start once all is at rest, and take in what was found; return in how many seconds to look again."""
    if _state.job is None:
        if not live.is_at_rest():
            _state.since = time.monotonic()
        elif time.monotonic() - _state.since > REST:
            begin(_state.key)
        return STEP
    if not _state.job.is_over():
        return STEP
    take_in()
    live.redraw()
    return None


def begin(key: str) -> Job | None:
    """Start to work out the order of a site; without a place for its files, none is."""
    _state.key = key
    try:
        _state.job = start("order", {"site": json.loads(key)}, Path(bpy.app.tempdir) / "courseline-order")
    except OSError:
        _keep(key, None)
    return _state.job


def take_in() -> None:
    """Keep what has been worked out; what could not be is not tried again."""
    job, key = _state.job, _state.key
    _state.job, _state.key = None, ""
    if job is None:
        return
    order = None
    if not job.fault:
        figures, rows = json.loads((job.folder / ORDER).read_text("utf-8"))
        order = Order([tuple(each) for each in figures], [tuple(each) for each in rows])
    job.drop()
    _keep(key, order)

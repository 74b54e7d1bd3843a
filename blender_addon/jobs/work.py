"""The jobs themselves: the functions that the command line calls, told in lines that the parent reads."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bpy

from .. import bridge, comparing, phone
from ..engine import CourselineError, design
from ..engine.decode import decode
from ..engine.effort import FOR_AN_ORDER
from ..engine.progress import listening
from ..engine.spec import Site
from ..phone.building import own_building
from ..render import Quality
from ..studio import quiet
from .words import ENDED, FAULT, FILE, INPUT, MARK, ORDER, SHARE


def do(kind: str, asked: dict[str, Any], folder: Path) -> None:
    """Do one job, and say how it goes and how it ended; planning comes first, and may take a minute."""
    try:
        with listening(lambda text: _tell(0.0, f"planning, {text}")):
            KINDS[kind](asked, folder)
    except CourselineError as fault:
        _say({FAULT: str(fault)})
    except Exception as fault:
        _say({FAULT: " ".join(f"{type(fault).__name__}: {fault}".split())})
        raise
    else:
        _say({ENDED: True})


def _phone_model(asked: dict[str, Any], folder: Path) -> None:
    plan = design(decode(asked["site"], Site), FOR_AN_ORDER)
    building = None
    if asked["own"] is not None:
        with quiet():
            bpy.ops.wm.open_mainfile(filepath=str(folder / INPUT / FILE))
        building = own_building((bpy.data.objects[name] for name in asked["own"]), bpy.data.scenes[asked["scene"]])
    phone.write_phone_model(plan, folder / asked["name"], _tell, building)


def _comparison(asked: dict[str, Any], folder: Path) -> None:
    comparing.compare_in_file(
        decode(asked["site"], Site),
        comparing.Asked(
            asked["vary"], asked["stem"], tuple(asked["views"]), Quality(**asked["quality"]), asked["scene"]
        ),
        folder / INPUT / FILE,
        folder,
        _tell,
    )


def _order(asked: dict[str, Any], folder: Path) -> None:
    plan = design(decode(asked["site"], Site), FOR_AN_ORDER)
    (folder / ORDER).write_text(json.dumps([bridge.figures_of(plan), bridge.rows_of(plan)]), "utf-8")


KINDS: dict[str, Callable[[dict[str, Any], Path], None]] = {
    "phone model": _phone_model,
    "comparison": _comparison,
    "order": _order,
}
"""What can be asked for, by name."""


def _tell(share: float, note: str) -> None:
    _say({SHARE: share, "note": note})


def _say(what: dict[str, Any]) -> None:
    try:
        print(MARK + json.dumps(what), file=sys.stdout, flush=True)
    except OSError:  # the user's Blender is gone, and no one waits for this any more
        os._exit(1)

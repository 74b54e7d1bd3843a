"""The deck and the building as a file for a phone, with our materials baked into pictures."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ..engine.errors import SiteError
from ..engine.phone import PhoneModel, phone_model
from ..engine.phone.glb import glb
from ..engine.phone.usdz import usdz
from ..engine.plan import Plan
from .skins import skins_for

__all__ = ["FORMATS", "write_phone_model"]

FORMATS: dict[str, Callable[..., bytes]] = {"glb": glb, "usdz": usdz}
"""What writes each kind of file, by the ending of its name."""


def write_phone_model(plan: Plan, path: Path) -> PhoneModel:
    """Write the deck of a plan and its building as a .glb or .usdz file, in any Blender, whatever is open in it.

    The pictures are made in a scene of their own that is gone afterwards.

    Parameters
    ----------
    plan : Plan
    path : Path
        Its ending says which kind of file; its folder is made if need be.

    Raises
    ------
    SiteError
        If the file cannot be written.
    """
    model = phone_model(plan)
    content = FORMATS[path.suffix[1:]](model, skins_for(model))
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    except OSError as fault:
        raise SiteError("output", path, f"cannot be written ({fault.strerror})") from fault
    return model

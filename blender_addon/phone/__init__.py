"""The deck and the building as a file for a phone, with our materials baked into pictures."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from ..engine.errors import SiteError
from ..engine.phone import PhoneModel, phone_model
from ..engine.phone.glb import glb
from ..engine.phone.model import Colour, Meshed
from ..engine.phone.usdz import usdz
from ..engine.plan import Plan
from ..render import Progress
from ..studio import quiet, say_nothing
from .skins import skins_for

__all__ = ["FORMATS", "write_phone_model"]

FORMATS: dict[str, Callable[..., bytes]] = {"glb": glb, "usdz": usdz}
"""What writes each kind of file, by the ending of its name."""


def write_phone_model(
    plan: Plan,
    path: Path,
    progress: Progress | None = None,
    building: Sequence[tuple[Meshed, Colour]] | None = None,
) -> PhoneModel:
    """Write the deck of a plan and its building as a .glb or .usdz file, in any Blender, whatever is open in it.

    The pictures are made in a scene of their own that is gone afterwards.

    Parameters
    ----------
    plan : Plan
    path : Path
        Its ending says which kind of file; its folder is made if need be.
    progress : callable, optional
        Told the share done [0 to 1] and what is going on.
    building : sequence of (Meshed, colour), optional
        The user's own, in place of the house that the site describes (see `building.own_building`).

    Returns
    -------
    PhoneModel
        What was written.

    Raises
    ------
    SiteError
        If the file cannot be written.
    """
    model = phone_model(plan, building)
    tell = progress or say_nothing
    with quiet():
        skins = skins_for(model, tell)
    content = FORMATS[path.suffix[1:]](model, skins)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    except OSError as fault:
        raise SiteError("output", path, f"cannot be written ({fault.strerror})") from fault
    tell(1.0, "done")
    return model

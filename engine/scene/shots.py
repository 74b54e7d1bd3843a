"""Pictures to be taken of scenes."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from .model import SceneModel


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture of a scene's view, the .blend that it was taken in, and a picture of one more view for a close-up."""

    model: SceneModel
    picture: Path
    blend: Path | None = None
    close_up: Path | None = None
    close_view: str = ""

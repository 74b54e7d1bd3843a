"""Footprints of many members at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from ..layout.chords import Floats
from .setout import SetOut


def centre_lines(frame: Sequence[SetOut]) -> Floats:
    """Both ends of every member's centre line, (n, 2, 2) [mm]."""
    return np.array([(member.start, member.end) for member in frame], dtype=float).reshape(-1, 2, 2)


def footprints(frame: Sequence[SetOut], breadth: float) -> NDArray[np.object_]:
    """How every member lies in plan: its centre line made `breadth` wide, with square ends."""
    start, end = centre_lines(frame).transpose(1, 0, 2)
    along = (end - start) / np.hypot(*(end - start).T)[:, None]
    aside = along[:, ::-1] * (-breadth / 2, breadth / 2)
    corners = np.stack((end + aside, end - aside, start - aside, start + aside), axis=1)
    strips: NDArray[np.object_] = shapely.polygons(corners)
    return strips

"""Many shapes in one array."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry


def array_of(shapes: Iterable[BaseGeometry]) -> NDArray[np.object_]:
    """Shapes as an array, in no time: left to itself, numpy asks each of them whether it is a sequence."""
    listed = list(shapes)
    return np.fromiter(listed, dtype=object, count=len(listed))

"""What the tests measure of a mesh of boards."""

from __future__ import annotations

import numpy as np
from courseline.engine.scene.board_mesh import JoinedBoards
from courseline.engine.scene.profile import top_profile

THICKNESS = 22.0


def volume(joined: JoinedBoards) -> float:
    """Enclosed volume [mm3], by the divergence of the faces: right only if they close and all face outwards."""
    total, at = 0.0, 0
    for count in joined.corners:
        points = joined.vertices[at : at + count]
        at += count
        total += sum(np.dot(points[0], np.cross(points[i], points[i + 1])) for i in range(1, count - 1)) / 6
    return total


def section(width: float, face: str) -> float:
    """Area of the whole board's cross-section [mm2]."""
    across, up = top_profile(width, face).T
    depth = up + THICKNESS
    return float(np.sum(np.diff(across) * (depth[1:] + depth[:-1]) / 2))

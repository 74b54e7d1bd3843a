"""Who stands where in a scene."""

import math

from courseline.engine.scene.model import SceneModel

TALL = 1_000.0
"""Plants below this are looked over [mm]."""


def cameras_in_plants(model: SceneModel) -> list[tuple[str, str]]:
    """Plants, by the name of their shape, and the cameras that hang in them."""
    found = []
    for planting in model.plantings:
        tall = max(z for _, _, z in planting.shape.vertices)
        wide = max(math.hypot(x, y) for x, y, _ in planting.shape.vertices)
        for stand in planting.stands if tall >= TALL else ():
            for camera in model.cameras:
                below = camera.position[2] < stand.at[2] + stand.size * tall
                if below and math.dist(camera.position[:2], stand.at[:2]) <= stand.size * wide:
                    found.append((planting.shape.id, camera.name))
    return found

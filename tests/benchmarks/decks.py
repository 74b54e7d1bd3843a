"""Decks to measure on, as tables of a site file: one with everything that makes work, and the plain rectangle."""

from __future__ import annotations

import math
from typing import Any

BOARDS = {"width": 120, "lengths": [3660]}
BOARD_AREA = 3665 * 125
"""What a board covers with its gaps [mm2]."""
CURVE_POINTS = 100
"""Points that the curved edge of the largest deck, of `MANY` boards, is given as; a shorter one has as many a metre."""
BOARDS_A_POST = 400
MANY = 20_000


def promenade(boards: int) -> dict[str, Any]:
    """A promenade of about so many boards: one long edge curved, and a round post for every 400 boards.

    Large or small it is the same deck: as many boards to a post, as far from point to point of the curve.
    """
    points, count = max(4, round(CURVE_POINTS * math.sqrt(boards / MANY))), max(1, boards // BOARDS_A_POST)
    depth = math.sqrt(boards * BOARD_AREA / 1.04)
    bulge = 0.08 * depth
    curve = [
        (depth + bulge * math.sin(math.pi * k / (points - 1)) ** 2, depth * k / (points - 1)) for k in range(points)
    ]
    outline = [(0.0, 0.0), *((round(x, 1), round(y, 1)) for x, y in curve), (0.0, round(depth, 1))]
    golden = (math.sqrt(5) - 1) / 2
    posts = [
        {
            "name": f"post {k}",
            "kind": "post",
            "centre": (round(depth * (0.1 + 0.8 * (k * golden % 1.0)), 1), round(depth * (0.05 + 0.9 * k / count), 1)),
            "diameter": 300.0,
        }
        for k in range(count)
    ]
    deck = {"outline": outline, "house_edges": [len(outline) - 1]}
    return {"schema": 1, "name": "promenade", "deck": deck, "boards": BOARDS, "obstacles": posts}


def rectangle(boards: int) -> dict[str, Any]:
    """A plain square of about so many boards."""
    side = round(math.sqrt(boards * BOARD_AREA), 1)
    outline = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]
    return {"schema": 1, "name": "rectangle", "deck": {"outline": outline}, "boards": BOARDS}

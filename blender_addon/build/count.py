"""What the scene holds, counted from its meshes, to be held against the takeoff."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TypedDict

import bpy

from . import boards, frame
from .collection import PART
from .marks import marked_pairs


class Count(TypedDict):
    """Pieces of board, stock boards by product, members by role, timbers by product, fixings by kind."""

    pieces: int
    boards: dict[str, int]
    members: dict[str, int]
    timbers: dict[str, int]
    fixings: dict[str, int]


def count_back(deck: bpy.types.Collection) -> Count:
    """Count what the meshes of a deck hold, by the marks on their faces and nothing else."""
    pieces = _pairs(deck, boards.PART, "piece", "product")
    stock = _pairs(deck, boards.PART, "stock", "product")
    members = _pairs(deck, frame.MEMBERS, "member", "role")
    timbers = _pairs(deck, frame.MEMBERS, "timber", "product")
    fixings = _pairs(deck, frame.FIXINGS, "fixing", "kind")
    return Count(
        pieces=len(pieces),
        boards=_tally(stock),
        members=_tally(members),
        timbers=_tally({pair for pair in timbers if pair[0]}),
        fixings=_tally(fixings),
    )


def _pairs(deck: bpy.types.Collection, part: str, first: str, second: str) -> set[tuple[str, str]]:
    found: set[tuple[str, str]] = set()
    for thing in _of_part(deck, part):
        found |= marked_pairs(thing, first, second)
    return found


def _of_part(deck: bpy.types.Collection, part: str) -> Iterator[bpy.types.Object]:
    return (thing for thing in deck.all_objects if thing.get(PART) == part and thing.type == "MESH")


def _tally(pairs: set[tuple[str, str]]) -> dict[str, int]:
    return dict(sorted(Counter(kind for _, kind in pairs).items()))

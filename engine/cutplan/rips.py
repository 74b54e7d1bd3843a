"""Rips side by side: two narrow pieces sawn from one stretch of board.

A board is sawn along into two at most, so that each keeps one of the board's own edges.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .job import in_steps


@dataclass(frozen=True, slots=True)
class Wanted:
    """A piece to cut: its name, its length and width [mm], and whether it is sawn along."""

    id: str
    length: float
    width: float = 0.0
    ripped: bool = False


Stretch = tuple[tuple[int, ...], ...]
"""Pieces of a stretch of board, by their place in the list: one alone, or two strips, the longer first."""


def stretches(pieces: Sequence[Wanted], width: float, kerf: float) -> list[Stretch]:
    """Pieces as they are cut along the board, rips side by side where two fit its width with the saw's kerf between.

    The longest rip first; beside it the longest that its stretch still gives, and so on.
    """
    waiting = sorted((i for i, p in enumerate(pieces) if p.ripped), key=lambda i: (-in_steps(pieces[i].length), i))
    found: dict[int, Stretch] = {i: ((i,),) for i in range(len(pieces))}
    while waiting:
        head = waiting.pop(0)
        room, spare = in_steps(pieces[head].length) + in_steps(kerf), _beside(pieces[head], width, kerf)
        strip = []
        for i in list(waiting):
            size = in_steps(pieces[i].length) + in_steps(kerf)
            if size <= room and in_steps(pieces[i].width) <= spare:
                strip.append(i)
                waiting.remove(i)
                room -= size
        if strip:
            found[head] = ((head,), tuple(strip))
            for i in strip:
                del found[i]
    return list(found.values())


def areas(pieces: Sequence[Wanted], width: float, kerf: float) -> list[int]:
    """Sizes of pieces for a bound: what may lie beside another counts by the share of the board's width that it takes.

    Whatever lies side by side takes, with a kerf each, no more than the board's width and one kerf; so these sizes
    fit in a board wherever the pieces do.
    """
    ripped = [p for p in pieces if p.ripped]
    narrowest = sorted(in_steps(p.width) for p in ripped)[:2]
    sizes = []
    for piece in pieces:
        size = in_steps(piece.length) + in_steps(kerf)
        if piece.ripped and len(narrowest) == 2:
            other = narrowest[1] if in_steps(piece.width) == narrowest[0] else narrowest[0]
            if other <= _beside(piece, width, kerf):
                size = size * (in_steps(piece.width) + in_steps(kerf)) // (in_steps(width) + in_steps(kerf))
        sizes.append(size)
    return sizes


def _beside(piece: Wanted, width: float, kerf: float) -> int:
    return in_steps(width) - in_steps(piece.width) - in_steps(kerf)

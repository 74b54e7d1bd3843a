"""How far doubled joists run."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from ..frame.ground import Span
from ..layout.courses import Run


def doubled_length(
    spans: Sequence[Sequence[Span]] | Mapping[int, Sequence[Span]], butted: Iterable[tuple[int, Run]]
) -> float:
    """Length [mm] of the joists that are doubled, each for as far as it runs under a joint.

    Parameters
    ----------
    spans : sequence or mapping of sequences of intervals
        For each line, from where to where its joists run across the boards.
    butted : iterable of (int, Run)
        Lines with a run that is butted on each.
    """
    doubled = {
        (line, low, high) for line, run in butted for low, high in spans[line] if low < run.top and high > run.bottom
    }
    return sum(high - low for _, low, high in sorted(doubled))

"""Lists to cut, from lengths as they are written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from courseline.engine.cutplan.job import Cut, Job, Stock, in_steps, room_of


def job_of(
    lengths: Sequence[float],
    stock: Sequence[float],
    kerf: float = 0.0,
    costs: Sequence[int] | None = None,
    on_hand: Sequence[tuple[float, int]] = (),
) -> Job:
    """A job; one that says nothing of costs pays by the length."""
    paid = [in_steps(length) for length in stock] if costs is None else costs
    bought = [Stock(length, room_of(length, kerf), cost) for length, cost in zip(stock, paid, strict=True)]
    there = [Stock(length, room_of(length, kerf), 0, count) for length, count in on_hand]
    return Job(tuple(in_steps(length + kerf) for length in lengths), (*bought, *there))


def check_packing(job: Job, packing: Sequence[Cut]) -> None:
    """Every piece is cut once, from stock that holds it and that there is."""
    assert sorted(i for cut in packing for i in cut.pieces) == list(range(len(job.sizes)))
    for cut in packing:
        assert cut.pieces
        assert sum(job.sizes[i] for i in cut.pieces) <= job.stock[cut.stock].room
    for j, count in Counter(cut.stock for cut in packing).items():
        assert job.stock[j].count is None or count <= (job.stock[j].count or 0)

"""Bounds by length alone: what no cutting can go below, without a solver."""

from __future__ import annotations

from .job import Job


def least_bought(job: Job) -> int:
    """A number of stock lengths to buy that no cutting goes below.

    What is on hand is taken as filled to the last millimetre. Of pieces longer than half the longest stock no two
    share one.
    """
    rooms = [job.stock[j].room for j in job.bought]
    if not job.sizes or not rooms:
        return 0
    room = max(rooms)
    large = [size for size in job.sizes if 2 * size > room]
    held = sum((job.stock[j].count or 0) * (job.stock[j].room // min(large)) for j in job.on_hand) if large else 0
    return max(least_by_length(job), len(large) - held)


def least_by_length(job: Job, spared: int = 0) -> int:
    """A number of stock lengths to buy that holds however the same length is divided into as many pieces or fewer.

    Where pieces are butted is left open: what they take together does not depend on it. A joint less takes its gap in
    board, and spares a kerf.

    Parameters
    ----------
    spared : int
        What a joint less spares, in the steps of the job: a kerf less a butt gap, or nothing.
    """
    rooms = [job.stock[j].room for j in job.bought]
    need = sum(max(0, size - spared) for size in job.sizes) - _on_hand(job)
    return -(-max(0, need) // max(rooms)) if rooms else 0


def least_cost(job: Job) -> int:
    """A cost that no cutting goes below: by the cheapest room, and by the fewest stock lengths at the lowest price."""
    if not job.sizes or not job.bought:
        return 0
    need = max(0, sum(job.sizes) - _on_hand(job))
    by_room = min(-(-need * job.stock[j].cost // job.stock[j].room) for j in job.bought if job.stock[j].room > 0)
    return max(by_room, least_bought(job) * min(job.stock[j].cost for j in job.bought))


def _on_hand(job: Job) -> int:
    return sum((job.stock[j].count or 0) * job.stock[j].room for j in job.on_hand)

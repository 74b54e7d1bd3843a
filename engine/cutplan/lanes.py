"""Joint lines chosen with an eye on the saw, as far as an effort goes: turned, tried by chance, and chosen as one.

How far that is, is counted in work done, which is the same on every machine: the same site gives the same plan.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..effort import Effort
from ..frame.ground import Ground
from ..layout.courses import Field
from ..layout.grid import Grid
from ..layout.joints import LANES, JointedRun, jointed_at
from ..progress import tell
from ..spec import Site
from .lane_search import TRIES, Search, Way
from .polish import polished
from .turns import turned_for_the_saw

RUNS: dict[Effort, int] = {"quick": 0, "normal": 90_000, "thorough": 1_500_000}
"""Runs butted in the trying on a whole site, each some 50 millionths of a second (ours)."""
AT_ONCE: dict[Effort, int] = {"quick": 0, "normal": 30_000, "thorough": 100_000}
"""Of these, runs butted before the trying begins anew, save on decks of many (ours)."""
SEEDS: dict[Effort, int] = {"quick": 0, "normal": 3, "thorough": 15}
"""Times that the trying begins, at the most (ours)."""
WEIGHED = 12
"""Ways, at most, that are cut with no more offcuts kept than may be, to see which is the best (ours)."""
OF_MANY = 0.8
"""Of the work, how much goes into a zone of many runs, all else of whose plan takes long (ours)."""
LEAST_SHARE = 0.02
"""Of the work on a site, what a zone gets however small it is (ours)."""


def joints_for_the_saw(
    site: Site, field: Field, grid: Grid, ground: Ground, effort: Effort = "quick", share: float = 1.0
) -> tuple[JointedRun, ...]:
    """Joint lines of every run, chosen against boards, doubled joists and joints, the bond being kept.

    Parameters
    ----------
    effort : {"quick", "normal", "thorough"}
        Quick turns the pattern to where boards go furthest; the others go on from there, and never end worse.
    share : float
        What part of the work on the whole site this field gets.
    """
    turned = turned_for_the_saw(site, field, grid, ground)
    if not RUNS[effort] or site.pattern.joints not in LANES or not any(item.lines for item in turned):
        return turned
    search = Search(site, field, grid, ground)
    known = {place: tuple(j - search.first for j in item.lines) for place, item in enumerate(turned) if item.lines}
    work = int(RUNS[effort] * max(share, LEAST_SHARE) * (OF_MANY if search.many else 1.0))
    each = min(work if search.many else AT_ONCE[effort], TRIES * len(search.long))
    seeds = max(1, min(SEEDS[effort], round(work / each)))
    begin = search.laid(known)
    ways = [begin]
    for seed in range(1, seeds + 1):
        tell(f"joint lines of zone {field.zone}, {seed} of {seeds}")
        ways += search.improved(begin, seed, min(each, work // seeds))
    ways.sort(key=lambda way: way.weight)
    tell(f"joints and cutting of zone {field.zone} as one")
    best = _best_in_limit(search, begin, [*ways, *polished(search, ways, effort)])
    if best is begin:
        return turned
    return tuple(
        jointed_at(run, search.bearing, own, best.lines.get(place, ()))
        for place, (run, own) in enumerate(zip(field.runs, search.bearing.of_runs, strict=True))
    )


def _best_in_limit(search: Search, begin: Way, ways: Sequence[Way]) -> Way:
    """The way that weighs least with no more offcuts kept than may be; none that weighs more without is looked at."""
    best, weight = begin, begin.weight + search.more_in_limit(begin)
    for way in sorted({way.weight: way for way in ways}.values(), key=lambda way: way.weight)[:WEIGHED]:
        if way.weight >= weight:
            break
        in_limit = way.weight + search.more_in_limit(way)
        if in_limit < weight:
            best, weight = way, in_limit
    return best

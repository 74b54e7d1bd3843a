"""`make bench`: a table of ratios. Absolute times are for orientation; machines differ, ratios less so.

"Without cut plan" is the whole of `design`, from the site to the plan's records, less what belongs to the saw: the
cut plan, and the search for the turn of the pattern that saves boards. One turn is laid.
"""

from __future__ import annotations

import math
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from unittest.mock import patch

import shapely
from courseline.engine import design, lay, plan_json, read_site
from courseline.engine.cutplan.stock import CutPlan
from courseline.engine.effort import Effort
from courseline.engine.frame.ground import Ground
from courseline.engine.layout.courses import Field
from courseline.engine.layout.grid import Grid
from courseline.engine.layout.joints import BearingLines, JointedRun, place_joints
from courseline.engine.layout.region import boardable
from courseline.engine.layout.zones import zones_of
from courseline.engine.plan import Plan
from courseline.engine.scene import build_scene
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site
from rich.console import Console
from rich.table import Table

from . import live, pictures
from .course_lists import course_lists
from .cutting import cutting
from .decks import MANY, promenade, rectangle

designing = sys.modules[design.__module__]
"""The module `design`, which the function of that name hides."""
SCENES = Path(__file__).parents[2] / "demo_scenes"
RUNS = 9
FEW_RUNS = 3
SIZES = (100, 300, 1_000, 3_000, 10_000, MANY)


def main() -> None:
    """Run every benchmark and print the table."""
    table = Table("what", "yardstick", "time", "yardstick's time", "ratio", title="Benchmarks (median of runs)")
    for what, yardstick, ours, theirs in (*_whole_decks(), _process(), _scene()):
        table.add_row(what, yardstick, f"{1e3 * ours:.1f} ms", f"{1e3 * theirs:.1f} ms", f"{ours / theirs:.2f}")
    console = Console(width=120)
    console.print(table)
    for line in (*_growth(), *_packing(), *cutting(), *course_lists(), *live.lines(), *pictures.lines()):
        console.print(line)


Row = tuple[str, str, float, float]


def _paired(ours: Callable[[], object], theirs: Callable[[], object], runs: int = RUNS) -> tuple[float, float]:
    """Median times of two functions, run in turn."""
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(runs + 1):
        for function, log in zip((ours, theirs), times, strict=True):
            start = time.perf_counter()
            function()
            log.append(time.perf_counter() - start)
    return statistics.median(times[0][1:]), statistics.median(times[1][1:])


def _whole_decks() -> list[Row]:
    rows = []
    sites = [
        ("15-corner house", read_site(SCENES / "long_house.toml"), RUNS),
        ("promenade", site_from_table(promenade(MANY)), FEW_RUNS),
        ("rectangle", site_from_table(rectangle(MANY)), FEW_RUNS),
    ]
    for name, site, runs in sites:
        count = len(_without_cut_plan(site).pieces)
        ours, theirs = _paired(partial(_without_cut_plan, site), partial(_board_by_board, site), runs)
        what = f"without cut plan, {name}, {count} pieces"
        rows.append((what, "one shapely intersection a board", ours, theirs))
    return rows


def _growth() -> Iterator[str]:
    """How the time without cut plan grows with the boards, against n log n."""
    sizes, times = [], []
    for boards in SIZES:
        site = site_from_table(promenade(boards))
        sizes.append(len(_without_cut_plan(site).pieces))
        times.append(_median(partial(_without_cut_plan, site), FEW_RUNS))
        yield f"promenade of {sizes[-1]} pieces: {1e3 * times[-1]:.0f} ms, {1e6 * times[-1] / sizes[-1]:.0f} us a piece"
    slope = statistics.linear_regression([math.log(n) for n in sizes], [math.log(t) for t in times]).slope
    grown = times[-1] / times[0]
    allowed = sizes[-1] * math.log(sizes[-1]) / (sizes[0] * math.log(sizes[0]))
    yield (
        f"growth from {sizes[0]} to {sizes[-1]} pieces: n to the power of {slope:.2f}; "
        f"time x {grown:.0f}, n log n x {allowed:.0f}, ratio {grown / allowed:.2f}"
    )


def _without_cut_plan(site: Site) -> Plan:
    with patch.object(lay, "joints_for_the_saw", _one_turn), patch.object(designing, "plan_cuts", _nothing_cut):
        return design(site)


def _one_turn(site: Site, field: Field, grid: Grid, ground: Ground, _effort: Effort) -> tuple[JointedRun, ...]:
    return place_joints(site, field, grid, BearingLines(site, field, grid, ground))


def _nothing_cut(*_: object) -> CutPlan:
    return CutPlan((), defaultdict(str), (), defaultdict(int))


def _median(function: Callable[[], object], runs: int) -> float:
    return _paired(function, _nothing_cut, runs)[0]


def _board_by_board(site: Site) -> int:
    """Clip full boards to the deck one by one, as a first attempt would: courses in half bond, no frame, no clips."""
    (zone,) = zones_of(site)
    area = boardable(site, zone.area, zone.seams)
    x0, y0, x1, y1 = area.bounds
    length, width = max(site.boards.lengths), site.boards.width
    count, y, course = 0, y0, 0
    while y < y1:
        x = x0 - (course % 2) * length / 2
        while x < x1:
            count += not area.intersection(shapely.box(x, y, x + length, y + width)).is_empty
            x += length + site.gaps.butt
        y += width + site.gaps.course
        course += 1
    return count


def _process() -> Row:
    with tempfile.TemporaryDirectory() as out:
        plan = [sys.executable, "-m", "courseline.command_line", "plan", str(SCENES / "long_house.toml"), "--out", out]
        bare = [sys.executable, "-c", "import numpy, shapely"]
        ours, theirs = _paired(lambda: _run(plan), lambda: _run(bare), runs=3)
    return "courseline plan, 15-corner house, whole process", "python importing numpy and shapely", ours, theirs


def _run(command: list[str]) -> None:
    subprocess.run(command, check=True, capture_output=True)


def _scene() -> Row:
    plan = design(read_site(SCENES / "long_house.toml"))
    ours, theirs = _paired(lambda: build_scene(plan), lambda: plan_json(plan))
    return "scene model, 15-corner house", "writing the same plan as JSON", ours, theirs


def _packing() -> list[str]:
    lines = []
    for scene in sorted(SCENES.glob("*.toml")):
        plan = design(read_site(scene))
        used, bound = plan.bounds[0].stock_used, plan.bounds[0].lower_bound
        lines.append(
            f"{scene.stem}: {used} boards, {bound} proved necessary for these pieces, ratio {used / bound:.3f}"
        )
    return lines


if __name__ == "__main__":
    main()

"""`make bench`: a table of ratios. Absolute times are for orientation; machines differ, ratios less so."""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import shapely
from courseline.engine import design, plan_json, read_site
from courseline.engine.cutplan.pack import fewest, pack
from courseline.engine.frame.ground import frame_ground
from courseline.engine.layout.courses import lay_courses
from courseline.engine.layout.joints import BearingLines, choose_grid, place_joints
from courseline.engine.layout.pieces import cut_pieces
from courseline.engine.layout.region import boardable
from courseline.engine.layout.zones import zones_of
from courseline.engine.scene import build_scene
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site
from rich.console import Console
from rich.table import Table

SCENES = Path(__file__).parents[2] / "demo_scenes"
RUNS = 5


def main() -> None:
    """Run every benchmark and print the table."""
    table = Table("what", "yardstick", "time", "yardstick's time", "ratio", title="Benchmarks (median of runs)")
    for what, yardstick, ours, theirs in (*_whole_decks(), _process(), _scene()):
        table.add_row(what, yardstick, f"{1e3 * ours:.1f} ms", f"{1e3 * theirs:.1f} ms", f"{ours / theirs:.2f}")
    console = Console(width=120)
    console.print(table)
    for line in _packing():
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
        ("15-corner house", read_site(SCENES / "long_house.toml")),
        *((f"{n} m square", _square(n)) for n in (5, 20)),
    ]
    for name, site in sites:
        count = len(design(site).pieces)
        for what, stage in (("boards laid", _laid), ("whole design", design)):
            ours, theirs = _paired(partial(stage, site), partial(_board_by_board, site))
            rows.append((f"{what}, {name}, {count} pieces", "one shapely intersection a board", ours, theirs))
    return rows


def _laid(site: Site) -> object:
    """Courses, joint lines and pieces, without frame, fixings and order."""
    (zone,) = zones_of(site)
    field = lay_courses(site, zone)
    ground = frame_ground(site, zone, field.axes)
    grid = choose_grid(site, field, ground)
    jointed = place_joints(site, field, grid, BearingLines(site, field, grid, ground))
    return cut_pieces(site, field, jointed)


def _square(metres: int) -> Site:
    side = 1000 * metres
    outline = [[0, 0], [side, 0], [side, side], [0, side]]
    return site_from_table({"schema": 1, "name": "square", "deck": {"outline": outline}})


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
        lengths = [piece.length for piece in plan.pieces]
        boards, kerf = plan.site.boards, plan.site.pattern.kerf
        used, bound = len(pack(lengths, boards.lengths, kerf)), fewest(lengths, boards.lengths, kerf)
        lines.append(
            f"{scene.stem}: {used} boards, {bound} proved necessary for these pieces, ratio {used / bound:.3f}"
        )
    return lines


if __name__ == "__main__":
    main()

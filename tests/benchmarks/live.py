"""What one step of a dragged choice costs: laying the boards, and drawing them where Blender's module is here.

`python -m tests.benchmarks.live` runs this alone. Times are of this machine; the limits are what keeps a drag smooth.
"""

from __future__ import annotations

import importlib.util
import os
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from math import radians
from pathlib import Path

from courseline.engine import design, read_site
from courseline.engine.choose import Choices, choose
from courseline.engine.collector import collector_at_rest
from courseline.engine.preview import Previews
from courseline.engine.site import site_from_table
from courseline.engine.sitefile import write_site
from courseline.engine.spec import Site

from .decks import promenade

SCENE = Path(__file__).parents[2] / "demo_scenes" / "long_house.toml"
BOARDS = 3_800
"""Asked of the promenade, which then has some 4,000."""
LIMITS = {"long_house": 50.0, "promenade": 500.0}
"""What a step may take [ms] (ours)."""
STEPS = {
    "side": [Choices(side="grooved"), Choices(side="grain")],
    "direction": [Choices(direction=float(angle)) for angle in (2, 4, 7, 11, 17, 30, 45, 90)],
    "gaps": [Choices(course_gap=5.0 + step / 2) for step in range(5)],
    "pattern": [Choices(joints="third"), Choices(joints="scattered"), Choices(joints="none")],
}


def sites() -> dict[str, Site]:
    """The sites that limits are set for."""
    return {"long_house": read_site(SCENE), "promenade": site_from_table(promenade(BOARDS))}


def lines() -> Iterator[str]:
    """Measure, and say each result in a line."""
    yield f"dragging a choice, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} before"
    for name, site in sites().items():
        previews = Previews()
        boards = len(previews.of(site).names)
        whole = _median(partial(design, site))
        yield f"{name}, {boards} boards: the whole plan {whole:.0f} ms"
        for what, steps in STEPS.items():
            took = [_timed(partial(_step, previews, site, step)) for step in (*steps, *steps)][1:]
            yield f"  {what}: boards laid in {statistics.median(took):.0f} ms, at most {max(took):.0f}"
    if importlib.util.find_spec("bpy") is not None:
        yield from _in_blender()


def _in_blender() -> Iterator[str]:
    """The same with the mesh: a property changed, and the boards drawn anew."""
    import tempfile

    import bpy
    import courseline
    from courseline import update

    courseline.register()
    try:
        for name, site in sites().items():
            bpy.ops.wm.read_factory_settings(use_empty=True)
            with tempfile.TemporaryDirectory() as folder:
                path = write_site(
                    replace(site, house=None) if name == "promenade" else site, Path(folder) / "site.toml"
                )
                bpy.ops.courseline.open_site(filepath=str(path))
            scene = bpy.context.scene
            settings = scene.courseline
            settings.around = "deck"
            bpy.ops.courseline.build_deck()
            took: dict[str, list[float]] = {}
            for what, attribute, values in (
                ("side", "side", ["grooved", "grain", "grooved"]),
                ("gaps", "course_gap", [5.0 + step / 2 for step in range(1, 6)]),
                ("pattern", "joints", ["third", "scattered", "none"]),
                ("direction", "angle", [radians(angle) for angle in (2, 4, 7, 11, 17, 30, 45, 90)]),
            ):
                if what == "direction":
                    settings.run = "other"
                for value in values:
                    setattr(settings, attribute, value)
                    took.setdefault(what, []).append(_timed(partial(update.show_boards, scene)))
            for what, times in took.items():
                middle, limit = statistics.median(times), LIMITS[name]
                yield f"  {name}, {what}, with the mesh: {middle:.0f} ms, at most {max(times):.0f}; limit {limit:.0f}"
    finally:
        courseline.unregister()


def _timed(function: Callable[[], object]) -> float:
    start = time.perf_counter()
    function()
    return 1e3 * (time.perf_counter() - start)


def _step(previews: Previews, site: Site, choices: Choices) -> None:
    with collector_at_rest():
        previews.of(choose(site, choices))


def _median(function: Callable[[], object]) -> float:
    """Median of three runs, after one that is not counted."""
    function()
    return statistics.median(_timed(function) for _ in range(3))


if __name__ == "__main__":
    for line in lines():
        print(line, flush=True)

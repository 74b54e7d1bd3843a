"""What a picture costs: draft and client time of the 15-corner house, and both against the same scene in plain grey.

Run by `make bench` for the draft; `python -m tests.benchmarks.pictures draft client` takes the client picture too,
which is minutes more. Needs Blender's Python module; without it there is nothing to tell.
"""

from __future__ import annotations

import importlib.util
import os
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from courseline.engine import design, read_site
from courseline.engine.scene import build_scene
from courseline.engine.scene.choices import build_scenes
from courseline.engine.variants import variants

SCENE = Path(__file__).parents[2] / "demo_scenes" / "long_house.toml"
LIMITS = {"draft": 15.0, "client": 180.0}
"""What a picture may take on two cores [s] (ours)."""
MOST_RATIO = 2.0
"""The most that materials may cost, as a share of plain grey (ours)."""
GREY = (0.35, 0.35, 0.35)
ROUNDS = 2


def lines(qualities: Sequence[str] = ("draft",)) -> Iterator[str]:
    """Measure, and say each result in a line."""
    if importlib.util.find_spec("bpy") is None:
        yield "pictures: Blender's Python module is not here, so none is measured"
        return
    yield f"pictures, 15-corner house, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} before"
    for quality in qualities:
        yield from _picture(quality)
    yield from _choices()


def _picture(quality: str) -> Iterator[str]:
    """The whole way from a plan to a picture, and the rendering alone in its own materials and in grey, in turn.

    Ratios are of processor time, which other work on the machine hardly changes.
    """
    import bpy
    from courseline.render import QUALITIES, render_still
    from courseline.studio import picture, quiet

    plan = design(read_site(SCENE), "quick")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "picture.png"
        start = time.perf_counter()
        picture(build_scene(plan), file, quality=quality)
        whole = time.perf_counter() - start
        scene, wanted = bpy.context.scene, QUALITIES[quality]
        layer, grey = scene.view_layers[0], _grey()
        own, plain = [], []
        for _ in range(ROUNDS):
            for times, material in ((own, None), (plain, grey)):
                layer.material_override = material
                start = time.process_time()
                with quiet():
                    render_still(scene, file, wanted)
                times.append(time.process_time() - start)
    size, limit = f"{wanted.width} x {wanted.height}", f"at most {LIMITS[quality]:.0f} wanted"
    yield f"{quality} picture {size}: {whole:.1f} s from the plan ({limit})"
    ratio = f"ratio {min(own) / min(plain):.2f} (at most {MOST_RATIO:.0f} wanted)"
    yield f"rendering, in processor time: {min(own):.1f} s, in plain grey {min(plain):.1f} s, {ratio}"


def _choices() -> Iterator[str]:
    """What it saves that choices share their house: the making of scenes and meshes, without any rendering."""
    import bpy
    from courseline.build import build_deck, change_boards
    from courseline.materials.sky import sky_for
    from courseline.render import calibrate
    from courseline.studio import quiet

    plans = [design(choice.site, "quick") for choice in variants(read_site(SCENE), "pattern")]
    start = time.perf_counter()
    scenes = build_scenes(plans)
    shared = time.perf_counter() - start
    start = time.perf_counter()
    for plan in plans:
        build_scene(plan)
    apart = time.perf_counter() - start

    bpy.ops.wm.read_factory_settings(use_empty=True)
    scene = bpy.context.scene
    start = time.perf_counter()
    deck = build_deck(scenes[0], scene)
    scene.world = sky_for(scenes[0].sun)
    with quiet():
        calibrate(scene)
    built = time.perf_counter() - start
    start = time.perf_counter()
    for each in scenes[1:]:
        change_boards(deck, each, scene)
    changed = (time.perf_counter() - start) / (len(scenes) - 1)
    yield f"{len(plans)} choices: scenes that share a house {shared:.1f} s, each for itself {apart:.1f} s"
    yield f"in Blender: house, garden, light and boards {built:.1f} s, for each further choice {changed:.1f} s"


def _grey() -> object:
    import bpy
    from courseline.materials.nodes import clear_tree, surface

    grey = bpy.data.materials.new("plain grey")
    surface(clear_tree(grey), GREY, roughness=0.8)
    return grey


if __name__ == "__main__":
    for line in lines(sys.argv[1:] or ("draft",)):
        print(line, flush=True)

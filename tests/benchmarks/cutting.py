"""Cutting alone: what each effort takes, how near it comes to what is proved, on the scenes and on published lists."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

from courseline.engine import design, read_site
from courseline.engine.cutplan.exact import cut_up
from courseline.engine.cutplan.job import Job, Stock, cost_of
from courseline.engine.effort import Effort

ROOT = Path(__file__).parents[2]
PUBLISHED = ROOT / "tests" / "reference" / "bin_packing.json"


def cutting() -> Iterator[str]:
    """One line for each list and effort."""
    for instance in json.loads(PUBLISHED.read_text(encoding="utf-8")):
        job = Job(tuple(instance["items"]), (Stock(instance["capacity"], instance["capacity"], 1),))
        for effort in get_args(Effort):
            start = time.perf_counter()
            solution = cut_up(job, effort)
            taken = time.perf_counter() - start
            proof = "proved" if solution.proved else "not proved"
            yield (
                f"{instance['name']}, {effort}: {cost_of(job, solution.packing)}, bound {solution.cost_bound} "
                f"({proof}), published optimum {instance['optimum']}; {1e3 * taken:.0f} ms"
            )
    for scene in sorted((ROOT / "demo_scenes").glob("*.toml")):
        for effort in get_args(Effort):
            start = time.perf_counter()
            plan = design(read_site(scene), effort)
            taken = time.perf_counter() - start
            bounds = (
                f"{b.product} {b.stock_used} for {b.price}, bound {b.lower_bound} for {b.least_price} "
                f"({'proved' if b.proved else 'not proved'})"
                for b in plan.bounds
            )
            yield f"{scene.stem}, {effort}: {'; '.join(bounds)}; whole plan {taken:.1f} s"

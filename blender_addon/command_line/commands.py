"""One function a command: read, call the engine or the studio, tell where the result lies."""

from __future__ import annotations

import argparse
import importlib
import importlib.util
import json
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from ..engine import VERSION, design, propose_zones, read_site, with_choices, write_plan
from ..engine.checks.saving import SAVING
from ..engine.errors import CourselineError, SiteError
from ..engine.papers.sheet import LETTERS, Entry, compare_sheet
from ..engine.papers.split import Side as SplitSide
from ..engine.papers.split import split_picture
from ..engine.papers.summary import Summary, difference, summarise
from ..engine.papers.takeoff_table import CAUTION, failing_checks, takeoff_notes, takeoff_table
from ..engine.plan import Plan
from ..engine.scene import build_scene
from ..engine.scene.choices import build_scenes
from ..engine.scene.shots import Shot
from ..engine.scene.two_boards import NAME as TWO_BOARDS
from ..engine.schema import plan_schema, products_schema, site_schema
from ..engine.variants import QUESTIONS, split_pair, variants
from .pace import Pace
from .staging import staged
from .stopping import STOPPED_WORDS

if TYPE_CHECKING:
    from collections.abc import Callable

    from ..engine.scene.model import SceneModel
    from ..engine.spec import Site

__all__ = ["VERSION", "check", "compare", "plan", "render", "schema"]

SAME = "The same deck from the same place, in the same light."
FIRST = "The others are compared with this one."
PLACES = {"garden": "From the garden", "doorway": "From the doorway", "above": "From above"}
"""Where a view is taken from, by its name."""

console = Console(soft_wrap=True)


def plan(options: argparse.Namespace) -> int:
    """Write plan.json and takeoff.csv, and print the takeoff."""
    site = read_site(options.site)
    made = _designed(propose_zones(site) if options.zones == "auto" else site, options)
    written = write_plan(made, options.out)
    console.print(takeoff_table(made))
    console.print()
    for line in takeoff_notes(made):
        console.print(line, markup=False, highlight=False, soft_wrap=False)
    _tell_saving(made)
    _tell_checks(made)
    console.print(CAUTION, style="dim")
    _tell_files(*written)
    return 0


def check(options: argparse.Namespace) -> int:
    """Print the checks that fail; status 1 if any does."""
    made = _designed(read_site(options.site), options)
    _tell_checks(made)
    if not failing_checks(made):
        console.print(f"{options.site}: {len(made.checks)} checks, all pass", markup=False)
        return 0
    return 1


def schema(options: argparse.Namespace) -> int:
    """Print a JSON Schema."""
    made = plan_schema() if options.plan else products_schema() if options.products else site_schema()
    print(json.dumps(made, indent=2))
    return 0


def render(options: argparse.Namespace) -> int:
    """Write one picture, its .blend and its plan."""
    _need_blender()
    site = with_choices(
        read_site(options.site), side=options.side, direction=options.direction, weathered=options.weathered
    )
    made = _designed(site, options)
    stem = options.site.stem
    with staged(options.out, _tell_stopped) as folder:
        picture, blend = folder / f"{stem}.png", folder / f"{stem}.blend"
        with _progress() as report:
            _studio().picture(build_scene(made), picture, blend, options.quality, report(f"Rendering {made.name}"))
        written = [picture, blend, *write_plan(made, folder)]
    _tell_files(*(options.out / file.name for file in written))
    return 0


def compare(options: argparse.Namespace) -> int:
    """Write one sheet of all choices, two of them in one picture, and each choice's own picture, .blend and plan."""
    _need_blender()
    site = read_site(options.site)
    choices = variants(site, options.vary, _divided(options.choices))
    pair = split_pair(choices, _divided(options.split))
    plans = [_designed(choice.site, options) for choice in choices]
    view = options.view or ("above" if options.vary == "border" and site.look.view == "garden" else None)
    scenes = [_seen_from(scene, view) for scene in build_scenes(plans)]
    stem, title = options.site.stem, f"{options.site.stem}-{options.vary}"
    with staged(options.out, _tell_stopped) as folder:
        shots = []
        for choice, made, scene in zip(choices, plans, scenes, strict=True):
            place = folder / f"{options.vary}-{choice.key}"
            write_plan(made, place)
            near = place / f"{stem}-close.png"
            shots.append(Shot(scene, place / f"{stem}.png", place / f"{stem}.blend", near, TWO_BOARDS))
        with _progress() as report:
            tell, pace = report(f"Comparing {len(choices)} choices"), Pace()

            def told(done: float, _: str) -> None:
                label = choices[min(int(done * len(choices)), len(choices) - 1)].label
                tell(done, ", ".join(filter(None, (label, pace.left(done)))))

            _studio().pictures(shots, options.quality, told)
        sums = [summarise(made) for made in plans]
        entries = [
            Entry(shot.picture, choice.label, sum_.facts(), shot.close_up, _remark(sums[0], sum_))
            for shot, choice, sum_ in zip(shots, choices, sums, strict=True)
        ]
        compare_sheet(
            entries,
            site.name,
            folder / f"{title}.png",
            question=f"{QUESTIONS[options.vary]} {SAME}",
            seen=_seen(site, scenes[0].view),
            source=f"the plan.json of each choice, Courseline {VERSION}",
        )
        first, second = (_side_of(entries, choices.index(choice)) for choice in pair)
        split_picture(first, second, folder / f"{title}-split.png")
    for entry in entries:
        facts = ", ".join(f"{name.lower()} {value}" for name, value in entry.facts)
        console.print(f"{entry.label}: {facts}. {entry.remark}", markup=False)
    written = [options.out / shot.picture.relative_to(folder) for shot in shots]
    _tell_files(*written, options.out / f"{title}.png", options.out / f"{title}-split.png")
    return 0


def _divided(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


def _side_of(entries: Sequence[Entry], number: int) -> SplitSide:
    return SplitSide(entries[number].picture, f"{LETTERS[number]}  {entries[number].label}")


def _remark(first: Summary, one: Summary) -> str:
    return FIRST if one is first else difference(first, one, LETTERS[0])


def _seen_from(scene: SceneModel, view: str | None) -> SceneModel:
    """The same scene from another of its views.

    Raises
    ------
    SiteError
        If it has no such view.
    """
    if view is None:
        return scene
    views = [camera.name for camera in scene.cameras if camera.name != TWO_BOARDS]
    if view not in views:
        raise SiteError("view", repr(view), f"this site has the views {', '.join(views)}")
    return replace(scene, view=view)


def _seen(site: Site, view: str) -> str:
    """Say from where and when a deck is seen."""
    when = datetime.fromisoformat(site.look.when)
    return f"{PLACES.get(view, 'From a chosen place')}, {when.day} {when:%B %Y}, {when:%H:%M}"


def _need_blender() -> None:
    """Refuse before the work begins, not after minutes of it."""
    missing = [name for name in ("bpy", "PIL") if importlib.util.find_spec(name) is None]
    if missing:
        wanted = "install what rendering needs with: pip install 'courseline[render]' (about 350 MB)"
        raise CourselineError(f"this command renders and finds no {' and no '.join(missing)}; {wanted}")


def _studio() -> ModuleType:
    return importlib.import_module("..studio", __package__)  # it imports bpy


@contextmanager
def _progress() -> Iterator[Callable[[str], Callable[[float, str], None]]]:
    """A bar for each long task, told by (share done, what is going on)."""
    title, note = (TextColumn(field, markup=False) for field in ("{task.description}", "{task.fields[note]}"))
    columns = (title, BarColumn(), note, TimeElapsedColumn())
    with Progress(*columns, console=console) as bar:

        def task(title: str) -> Callable[[float, str], None]:
            number = bar.add_task(title, total=1.0, note="")
            return lambda done, note: bar.update(number, completed=done, note=note)

        yield task


def _tell_stopped() -> None:
    console.show_cursor()  # the progress bar hid it
    print(f"\n{STOPPED_WORDS}", file=sys.stderr)


def _designed(site: Site, options: argparse.Namespace) -> Plan:
    """Plan a site, and say meanwhile that it may take a while."""
    with console.status(f"Planning {escape(site.name)}"):
        return design(site, options.effort)


def _tell_saving(made: Plan) -> None:
    for check in made.checks:
        if check.id == SAVING:
            console.print(check.message[0].upper() + check.message[1:] + ".", markup=False)


def _tell_checks(made: Plan) -> None:
    for line in failing_checks(made):
        console.print(f"check: {line}", style="yellow", markup=False)


def _tell_files(*paths: Path) -> None:
    for path in paths:
        console.print(f"wrote {path}", markup=False, highlight=False)

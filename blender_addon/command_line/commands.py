"""One function a command: read, call the engine or the studio, tell where the result lies."""

from __future__ import annotations

import argparse
import importlib
import importlib.util
import json
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from ..engine import VERSION, design, propose_zones, read_site, with_choices, write_plan
from ..engine.checks.saving import SAVING
from ..engine.errors import CourselineError
from ..engine.papers.sheet import Entry, compare_sheet
from ..engine.papers.summary import summarise
from ..engine.papers.takeoff_table import CAUTION, failing_checks, takeoff_table
from ..engine.plan import Plan
from ..engine.planfile import write_whole
from ..engine.scene import build_scene
from ..engine.schema import plan_schema, site_schema
from ..engine.variants import variants

if TYPE_CHECKING:
    from collections.abc import Callable

    from ..engine.spec import Site

__all__ = ["VERSION", "check", "compare", "plan", "render", "schema"]

console = Console(soft_wrap=True)


def plan(options: argparse.Namespace) -> int:
    """Write plan.json and takeoff.csv, and print the takeoff."""
    site = read_site(options.site)
    made = _designed(propose_zones(site) if options.zones == "auto" else site, options)
    written = write_plan(made, options.out)
    console.print(takeoff_table(made))
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
    print(json.dumps(plan_schema() if options.plan else site_schema(), indent=2))
    return 0


def render(options: argparse.Namespace) -> int:
    """Write one picture, its .blend and its plan."""
    _need_blender()
    site = with_choices(
        read_site(options.site), side=options.side, direction=options.direction, weathered=options.weathered
    )
    made = _designed(site, options)
    stem = options.site.stem
    picture, blend = options.out / f"{stem}.png", options.out / f"{stem}.blend"
    with _progress() as report:
        _studio()(build_scene(made), picture, blend, options.quality, report(f"Rendering {made.name}"))
    _tell_files(picture, blend, *write_plan(made, options.out))
    return 0


def compare(options: argparse.Namespace) -> int:
    """Write one sheet of all choices, and each choice's own picture, .blend and plan."""
    _need_blender()
    site = read_site(options.site)
    choices = variants(site, options.vary, [c.strip() for c in options.choices.split(",") if c.strip()])
    plans = [_designed(choice.site, options) for choice in choices]
    scenes = [build_scene(made) for made in plans]
    sheet = options.out / f"{options.site.stem}-{options.vary}.png"
    entries = []
    with _progress() as report:
        for choice, made, scene in zip(choices, plans, scenes, strict=True):
            folder = options.out / f"{options.vary}-{choice.key}"
            picture, near = folder / f"{options.site.stem}.png", folder / f"{options.site.stem}-close.png"
            blend = picture.with_suffix(".blend")
            seen = replace(scene, cameras=scenes[0].cameras)  # or the choices could not be told from the viewpoint
            _studio()(seen, picture, blend, options.quality, report(choice.label), near)
            write_plan(made, folder)
            entries.append(Entry(picture, choice.label, summarise(made).facts(), near))
    source = f"the plan.json of each choice, Courseline {VERSION}"
    with tempfile.TemporaryDirectory() as scratch:
        part = compare_sheet(entries, site.name, Path(scratch) / "sheet.png", source=source)
        write_whole(sheet, part.read_bytes())
    for entry in entries:
        facts = ", ".join(f"{name.lower()} {value}" for name, value in entry.facts)
        console.print(f"{entry.label}: {facts}", markup=False)
    _tell_files(*(entry.picture for entry in entries), sheet)
    return 0


def _need_blender() -> None:
    """Refuse before the work begins, not after minutes of it."""
    missing = [name for name in ("bpy", "PIL") if importlib.util.find_spec(name) is None]
    if missing:
        wanted = "install what rendering needs with: pip install 'courseline[render]' (about 350 MB)"
        raise CourselineError(f"this command renders and finds no {' and no '.join(missing)}; {wanted}")


def _studio() -> Callable[..., None]:
    picture: Callable[..., None] = importlib.import_module("..studio", __package__).picture  # it imports bpy
    return picture


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


def _designed(site: Site, options: argparse.Namespace) -> Plan:
    """Plan a site, and say meanwhile that it may take a while."""
    with console.status(f"Planning {escape(site.name)}"):
        return design(site, options.effort)


def _tell_saving(made: Plan) -> None:
    for check in made.checks:
        if check.id.endswith(SAVING):
            console.print(check.message[0].upper() + check.message[1:] + ".", markup=False)


def _tell_checks(made: Plan) -> None:
    for line in failing_checks(made):
        console.print(f"check: {line}", style="yellow", markup=False)


def _tell_files(*paths: Path) -> None:
    for path in paths:
        console.print(f"wrote {path}", markup=False, highlight=False)

"""One function a command: read, call the engine or the studio, tell where the result lies."""

from __future__ import annotations

import argparse
import importlib
import importlib.util
import json
import sys
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from ..engine import VERSION, design, propose_zones, read_site, with_choices, write_plan
from ..engine.checks.fewest import FEWEST
from ..engine.checks.saving import SAVING
from ..engine.comparison import compare_choices, seen_from, shots_of, write_comparison
from ..engine.errors import CourselineError
from ..engine.options import weigh
from ..engine.papers.options_csv import options_csv
from ..engine.papers.options_svg import options_svg
from ..engine.papers.options_table import options_notes, options_table
from ..engine.papers.takeoff_table import CAUTION, failing_checks, takeoff_notes, takeoff_table
from ..engine.plan import Plan
from ..engine.planfile import write_whole
from ..engine.progress import listening
from ..engine.scene import build_scene
from ..engine.schema import plan_schema, products_schema, site_schema
from .many import for_each
from .pace import Pace
from .staging import staged
from .stopping import STOPPED_WORDS, stoppable

if TYPE_CHECKING:
    from collections.abc import Callable

    from ..engine.options import Job, Options, Outcome
    from ..engine.spec import Site

__all__ = ["VERSION", "check", "compare", "export", "options", "plan", "render", "schema"]

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


def options(asked: argparse.Namespace) -> int:
    """Lay a deck in every useful way, and print what each takes; status 1 if none can be laid."""
    site = read_site(asked.site)
    with ExitStack() as stack:
        if asked.out is None:
            stack.enter_context(stoppable(_tell_stopped))
            folder = None
        else:
            folder = stack.enter_context(staged(asked.out, _tell_stopped))
        weighed = _weighed(site, asked)
        if folder is not None:
            write_whole(folder / "options.csv", options_csv(weighed).encode())
            write_whole(folder / "options.svg", options_svg(weighed).encode())
    console.print(options_table(weighed))
    for line in options_notes(weighed):
        console.print(line, markup=False, highlight=False, soft_wrap=False)
    if asked.out is not None:
        _tell_files(asked.out / "options.csv", asked.out / "options.svg")
    return 0 if any(row.figures is not None for row in weighed.rows) else 1


def _weighed(site: Site, asked: argparse.Namespace) -> Options:
    """Every way, shared out among the cores, with a bar that tells how far it has come."""
    with _progress() as report:
        tell, pace = report(f"Laying {site.name}"), Pace()

        def each(work: Callable[[Job], Outcome], jobs: Sequence[Job]) -> list[Outcome]:
            def told(done: int) -> None:
                share = done / len(jobs)
                tell(share, ", ".join(filter(None, (f"{done} of {len(jobs)} ways", pace.left(share)))))

            told(0)
            return for_each(work, jobs, told, asked.cores)

        return weigh(site, asked.effort, each)


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
        read_site(options.site),
        side=options.side,
        direction=options.direction,
        weathered=options.weathered,
        eye=options.eye,
    )
    made = _designed(site, options)
    scene, stem = seen_from(build_scene(made), options.view), options.site.stem
    with staged(options.out, _tell_stopped) as folder:
        picture, blend = folder / f"{stem}.png", folder / f"{stem}.blend"
        with _progress() as report:
            _studio().picture(scene, picture, blend, options.quality, report(f"Rendering {made.name}"))
        written = [picture, blend, *write_plan(made, folder)]
    _tell_files(*(options.out / file.name for file in written))
    return 0


def compare(options: argparse.Namespace) -> int:
    """Write one sheet of all choices, two of them in one picture, and each choice's own picture, .blend and plan."""
    _need_blender()
    made = compare_choices(
        with_choices(read_site(options.site), eye=options.eye),
        options.vary,
        _divided(options.choices),
        _divided(options.split),
        options.view,
        lambda site: _designed(site, options),
    )
    stem, count = options.site.stem, len(made.choices)
    with staged(options.out, _tell_stopped) as folder:
        shots = shots_of(made, folder, stem)
        with _progress() as report:
            tell, pace = report(f"Comparing {count} choices"), Pace()

            def told(done: float, _: str) -> None:
                label = made.choices[min(int(done * count), count - 1)].label
                tell(done, ", ".join(filter(None, (label, pace.left(done)))))

            _studio().pictures(shots, options.quality, told)
        entries, papers = write_comparison(made, shots, folder, stem)
    for entry in entries:
        facts = ", ".join(f"{name.lower()} {value}" for name, value in entry.facts)
        console.print(f"{entry.label}: {facts}. {entry.remark}", markup=False)
    written = [shot.picture for shot in shots] + papers
    _tell_files(*(options.out / path.relative_to(folder) for path in written))
    return 0


def export(options: argparse.Namespace) -> int:
    """Write deck and building as one file for a phone."""
    _need_blender()
    site = with_choices(
        read_site(options.site), side=options.side, direction=options.direction, weathered=options.weathered
    )
    made = _designed(site, options)
    name = f"{options.site.stem}.{options.format}"
    with staged(options.out, _tell_stopped) as folder, _progress() as report:
        phone = importlib.import_module("..phone", __package__)  # it imports bpy
        phone.write_phone_model(made, folder / name, report(f"Picturing {made.name}"))
    _tell_files(options.out / name)
    return 0


def _divided(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


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
    """Plan a site, and say meanwhile what it is at."""
    title = f"Planning {escape(site.name)}"
    with console.status(title) as status, listening(lambda text: status.update(f"{title}: {escape(text)}")):
        return design(site, options.effort)


def _tell_saving(made: Plan) -> None:
    for check in made.checks:
        if check.id in (SAVING, FEWEST):
            console.print(check.message[0].upper() + check.message[1:] + ".", markup=False)


def _tell_checks(made: Plan) -> None:
    for line in failing_checks(made):
        console.print(f"check: {line}", style="yellow", markup=False)


def _tell_files(*paths: Path) -> None:
    for path in paths:
        console.print(f"wrote {path}", markup=False, highlight=False)

"""What can be typed, and how a fault is told: one clear line and exit status 2."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import get_args

from ..engine.decode import decode
from ..engine.effort import FOR_AN_ORDER, Effort
from ..engine.errors import CourselineError, SiteError
from ..engine.papers.sheet_layout import FEWEST, MOST
from ..engine.spec import Eye, Look, ViewName
from ..engine.variants import Varied
from . import commands
from .many import cores
from .stopping import STOPPED, STOPPED_WORDS

EPILOG = (
    "Spans, guards and steps fall under your local code: have a licensed practitioner look at the frame. "
    "Composite dust harms lungs and eyes: cut outdoors, with a mask and goggles."
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status: 0 done, 1 checks fail, 2 the input is at fault, 130 stopped."""
    options = _parser().parse_args(arguments)
    try:
        return int(options.run(options))
    except CourselineError as fault:
        print(f"courseline: {fault}", file=sys.stderr)
        return 2
    except BrokenPipeError:  # the reader of our output, such as `head`, has had enough
        sys.stdout = None
        return 0
    except KeyboardInterrupt:
        print(STOPPED_WORDS, file=sys.stderr)
        return STOPPED


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="courseline", description="Plan, show and order a composite deck from one site file.", epilog=EPILOG
    )
    parser.add_argument("--version", action="version", version=f"courseline {commands.VERSION}")
    actions = parser.add_subparsers(title="what to do", required=True, metavar="COMMAND")
    _add_plan(actions)
    _add_options(actions)
    _add_render(actions)
    _add_compare(actions)
    _add_export(actions)
    _add_check(actions)
    schema = actions.add_parser("schema", help="print the JSON Schema of a site file, a plan file or a product table")
    which = schema.add_mutually_exclusive_group()
    which.add_argument("--plan", action="store_true", help="the schema of plan.json instead")
    which.add_argument("--products", action="store_true", help="the schema of a product table instead")
    schema.set_defaults(run=commands.schema)
    return parser


def _add_plan(actions: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    plan = actions.add_parser("plan", help="work out boards, frame and order; write plan.json and takeoff.csv")
    _site_and_out(plan, "plan.json and takeoff.csv")
    plan.add_argument("--zones", choices=("auto",), help="let the boards follow each wall, turning at its corners")
    _effort(plan)
    plan.set_defaults(run=commands.plan)


def _add_options(actions: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    text = (
        "lay the deck in every useful way - direction, joint pattern, start edge, joist centres, stock length - and "
        "print what each takes and costs, and which of them no other beats"
    )
    options = actions.add_parser(
        "options", help="lay the deck in every useful way, and print what each costs", description=text
    )
    options.add_argument("site", type=Path, metavar="SITE.toml", help="the site file")
    options.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for options.csv and options.svg (default: none)"
    )
    options.add_argument("--cores", type=_count, metavar="N", default=cores(), help="how many to use (default: all)")
    _effort(options, "quick")
    options.set_defaults(run=commands.options)


def _count(text: str) -> int:
    """A whole number from 1 on."""
    number = int(text) if text.isdecimal() else 0
    if number < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of cores: give 1 or more")
    return number


def _add_check(actions: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    check = actions.add_parser("check", help="read a site file and print what is wrong with it or with its deck")
    check.add_argument("site", type=Path, metavar="SITE.toml", help="the site file")
    _effort(check)
    check.set_defaults(run=commands.check)


def _add_render(actions: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    render = actions.add_parser("render", help="render the deck beside the house; write a picture and its .blend")
    _site_and_out(render, "the picture, its .blend, plan.json and takeoff.csv")
    _choices(render)
    _view(render)
    _quality(render, "draft")
    _effort(render)
    render.set_defaults(run=commands.render)


def _add_compare(actions: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    compare = actions.add_parser("compare", help="render choices from one camera; write one sheet to sign on")
    written = (
        "the sheet, two choices in one picture (-split.png), and for each choice a folder with its picture, "
        "close-up (-close.png), .blend and plan"
    )
    _site_and_out(compare, written)
    compare.add_argument("--vary", required=True, choices=get_args(Varied), help="what differs")
    compare.add_argument(
        "--choices",
        metavar="A,B",
        default="",
        help=f"which ones, {FEWEST} to {MOST}: grain,grooved or 0,90 or umber,#4a4846,RAL 7016 or half,none or "
        "none,one-mitre,two-butt (default: the usual ones)",
    )
    compare.add_argument(
        "--split", metavar="A,B", default="", help="which two to show in one picture (default: the first two)"
    )
    _view(compare, "; a border from above, where one sees it")
    _quality(compare, "client")
    _effort(compare)
    compare.set_defaults(run=commands.compare)


def _add_export(actions: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    export = actions.add_parser("export", help="write deck and building at true size, to be looked at on a phone")
    _site_and_out(export, "the model")
    export.add_argument(
        "--format",
        choices=("glb", "usdz"),
        default="glb",
        help="glb for browsers and Android, usdz for iPhones (default: glb)",
    )
    _choices(export)
    _effort(export)
    export.set_defaults(run=commands.export)


def _choices(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--side", choices=("grain", "grooved"), help="which face of the board lies up")
    parser.add_argument("--direction", type=float, metavar="DEG", help="degrees from the start edge to the boards")
    parser.add_argument("--weathered", type=float, metavar="SHARE", help="age of the boards: 0 new, 1 two summers")


def _site_and_out(parser: argparse.ArgumentParser, written: str) -> None:
    parser.add_argument("site", type=Path, metavar="SITE.toml", help="the site file")
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help=f"folder for {written}")


def _effort(parser: argparse.ArgumentParser, default: Effort = FOR_AN_ORDER) -> None:
    text = "how long to look for a cheaper order: quick in no time, normal for seconds, thorough for minutes"
    parser.add_argument("--effort", choices=get_args(Effort), default=default, help=f"{text} (default: {default})")


def _view(parser: argparse.ArgumentParser, besides: str = "") -> None:
    names = ", ".join(get_args(ViewName))
    parser.add_argument(
        "--view", metavar="NAME", help=f"from where: {names} (default: as in the site file{besides})"
    )
    heights = f"how high one sees from: {', '.join(get_args(Eye))}, or a height as 1400 or '1.4 m'"
    parser.add_argument("--eye", type=_eye, metavar="HEIGHT", help=f"{heights} (default: as in the site file)")


def _eye(text: str) -> Eye | float:
    """A name or a height, as a site file in mm has it."""
    try:
        return decode({"eye": float(text) if text.isdecimal() else text}, Look).eye
    except SiteError as fault:
        raise argparse.ArgumentTypeError(str(fault).removeprefix("eye: ")) from None


def _quality(parser: argparse.ArgumentParser, default: str) -> None:
    text = f"draft for a first look in seconds, client for a picture to show (default: {default})"
    parser.add_argument("--quality", choices=("draft", "client"), default=default, help=text)

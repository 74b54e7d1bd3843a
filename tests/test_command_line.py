"""The command line as a new user meets it: status, one line on bad input, files written whole or not at all."""

from __future__ import annotations

import importlib.util
import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from command_lines import ONE_WALL, refused
from courseline.command_line import main
from courseline.command_line.pace import Pace
from courseline.engine import read_plan

COMMANDS = ("plan", "options", "render", "compare", "export", "check", "schema")
SMALL = """schema = 1
name = "Small"
[deck]
outline = [[0, 0], [4000, 0], [4000, 1445], [0, 1445]]
"""


@pytest.fixture
def site(tmp_path: Path) -> Path:
    file = tmp_path / "small.toml"
    file.write_text(SMALL, encoding="utf-8")
    return file


@pytest.fixture
def no_bpy(tmp_path: Path) -> dict[str, str]:
    """An environment in which to import bpy is to die."""
    poison = tmp_path / "poison"
    poison.mkdir()
    (poison / "bpy.py").write_text("import os; os._exit(99)\n", encoding="utf-8")
    return os.environ | {"PYTHONPATH": os.pathsep.join((str(poison), os.environ.get("PYTHONPATH", "")))}


def run(*arguments: object, env: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    code = "import sys; from courseline.command_line import main; sys.exit(main())"
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)], capture_output=True, text=True, env=env, encoding="utf-8"
    )


# As a process of its own


@pytest.mark.slow
def test_plan_writes_its_files_and_prints_the_takeoff(site: Path, tmp_path: Path, no_bpy: dict[str, str]) -> None:
    done = run("plan", site, "--out", tmp_path / "out", env=no_bpy)
    assert (done.returncode, done.stderr) == (0, "")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["plan.json", "takeoff.csv"]
    assert "Takeoff: Small" in done.stdout
    assert "C16 treated timber" in done.stdout
    for name in ("plan.json", "takeoff.csv"):
        assert f"wrote {tmp_path / 'out' / name}" in done.stdout
    assert len(read_plan(tmp_path / "out" / "plan.json").pieces) == 10


@pytest.mark.slow
def test_check_and_schema_need_no_blender(site: Path, no_bpy: dict[str, str]) -> None:
    checked = run("check", site, env=no_bpy)
    assert (checked.returncode, checked.stderr) == (0, "")
    assert "all pass" in checked.stdout
    printed = run("schema", env=no_bpy)
    assert printed.returncode == 0
    assert json.loads(printed.stdout)["$defs"]["Deck"]


@pytest.mark.slow
def test_bad_site_is_one_line_and_status_2(tmp_path: Path) -> None:
    file = tmp_path / "typo.toml"
    file.write_text(SMALL + "[borads]\nwidth = 140\n", encoding="utf-8")
    done = run("plan", file, "--out", tmp_path / "out")
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.splitlines() == ["courseline: borads: unknown key; did you mean 'boards'?"]
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
@pytest.mark.parametrize("command", ["plan", "options", "check", "schema"])
def test_reader_of_the_output_may_go_away(command: str, site: Path, tmp_path: Path) -> None:
    own = {"plan": [site, "--out", tmp_path / "out"], "check": [site], "schema": ["--plan"]}
    arguments = own.get(command, [site, "--cores", "1"])
    code = "import sys; from courseline.command_line import main; sys.exit(main())"
    with subprocess.Popen(
        [sys.executable, "-c", code, command, *map(str, arguments)], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""


# In this process


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_a_command_says_what_it_takes(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main([command, "--help"])
    assert ended.value.code == 0
    told = capsys.readouterr().out
    assert f"usage: courseline {command}" in told
    if command != "schema":
        assert "SITE.toml" in told
    if command in ("render", "compare"):
        assert "draft for a first look" in told
    if command == "compare":
        assert "-close.png" in told


def test_help_lists_the_commands(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    told = capsys.readouterr().out
    assert all(command in told for command in COMMANDS)
    assert "licensed practitioner" in " ".join(told.split())


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["paint"],
        ["plan"],
        ["plan", "x.toml"],
        ["render", "x.toml", "--out", "o", "--side", "grian"],
        ["compare", "x"],
    ],
)
def test_wrong_words_end_with_status_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert capsys.readouterr().err.splitlines()[-1].startswith("courseline")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (("width", "widht"), "boards.widht: unknown key; did you mean 'width'?"),
        (("[4000, 1445], [0, 1445]", "[0, 1445], [4000, 1445]"), "edges 1 and 3 cross at [2000, 722.5]"),
        (("lengths = [4000]", "lengths = [300]"), "boards.lengths: the longest board is 300 mm"),
        (("[gaps]", '[[obstacles]]\nname = "post"\ncentre = [5000, 0]\ndiameter = 80\n[gaps]'), "outside deck.outline"),
        (("course = 5", "course = -5"), "gaps.course: -5.0; expected a number >= 0"),
    ],
)
def test_fault_of_a_new_user_is_one_line(
    change: tuple[str, str], words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = SMALL + "[boards]\nwidth = 140\nlengths = [4000]\n[gaps]\ncourse = 5\n"
    file = tmp_path / "site.toml"
    file.write_text(text, encoding="utf-8")
    assert main(["check", str(file)]) == 0
    capsys.readouterr()
    file.write_text(text.replace(*change), encoding="utf-8")
    assert words in refused(capsys, "check", file)
    assert words in refused(capsys, "plan", file, "--out", tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_missing_file_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "nowhere.toml; cannot be read" in refused(capsys, "check", tmp_path / "nowhere.toml")


def test_failing_check_ends_with_status_1_and_its_source(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    site.write_text(SMALL + "surface = 700\n", encoding="utf-8")
    assert main(["check", str(site)]) == 1
    told = capsys.readouterr().out
    assert "guarding is called for above 600 mm" in told
    assert "Approved Document K 2013, para 1.41" in told


def test_plan_tells_failing_checks_and_is_written_all_the_same(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    site.write_text(SMALL + "surface = 700\n", encoding="utf-8")
    assert main(["plan", str(site), "--out", str(tmp_path / "out")]) == 0
    assert "check: the surface is 700 mm above the ground" in capsys.readouterr().out


def test_file_in_place_of_the_folder_is_one_line(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "out").write_text("mine", encoding="utf-8")
    assert "cannot be written" in refused(capsys, "plan", site, "--out", tmp_path / "out")
    assert (tmp_path / "out").read_text(encoding="utf-8") == "mine"


def test_folder_in_place_of_the_plan_leaves_nothing_half_written(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    (out / "plan.json").mkdir(parents=True)
    assert "plan.json; cannot be written" in refused(capsys, "plan", site, "--out", out)
    assert [path.name for path in out.iterdir()] == ["plan.json"]


def test_plan_before_stays_when_the_next_is_refused(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", str(site), "--out", str(tmp_path / "out")]) == 0
    before = (tmp_path / "out" / "plan.json").read_bytes()
    site.write_text(SMALL.replace("4000", "nan"), encoding="utf-8")
    capsys.readouterr()
    refused(capsys, "plan", site, "--out", tmp_path / "out")
    assert (tmp_path / "out" / "plan.json").read_bytes() == before


def test_names_that_look_like_markup_are_printed_as_they_are(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    site.write_text(SMALL.replace("Small", "[bold]Plot [/7]"), encoding="utf-8")
    assert main(["plan", str(site), "--out", str(tmp_path / "out [red]")]) == 0
    told = capsys.readouterr().out
    assert "[bold]Plot [/7]" in told
    assert f"wrote {tmp_path / 'out [red]' / 'plan.json'}" in told


def test_path_that_looks_like_markup_is_printed_as_it_is(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    odd = site.rename(site.with_name("[b]small[.toml"))
    assert main(["check", str(odd)]) == 0
    assert "[b]small[.toml: " in capsys.readouterr().out


def test_schema_of_the_plan_is_another(capsys: pytest.CaptureFixture[str]) -> None:
    main(["schema", "--plan"])
    assert "TakeoffLine" in json.loads(capsys.readouterr().out)["$defs"]


# Pictures


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="there a console, not a signal, stops a process")
def test_ctrl_c_stops_even_where_the_interrupt_is_swallowed(tmp_path: Path) -> None:
    out = tmp_path / "out"
    code = f"""
import pathlib, signal, time
from courseline.command_line.commands import _tell_stopped
from courseline.command_line.staging import staged
signal.signal(signal.SIGINT, signal.default_int_handler)  # what a shell runs in the background has it ignored
with staged(pathlib.Path({str(out)!r}), _tell_stopped) as folder:
    (folder / "half.png").write_text("half")
    while True:
        try:
            print("ready", flush=True)
            time.sleep(60)
        except KeyboardInterrupt:
            pass  # as Blender does
"""
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"ready\n"
        assert [path.name for path in out.rglob("*.png")] == ["half.png"]
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=30)
    assert process.returncode == 130
    assert told.decode().strip() == "courseline: stopped; nothing half-written is left"
    assert not out.exists()


@pytest.mark.parametrize(
    ("took", "done", "words"),
    [
        (30.0, 0.25, "about 2 min left"),  # 90 s
        (300.0, 0.9, "35 s left"),  # 33 s
        (1.0, 0.5, "5 s left"),
        (4.0, 0.01, ""),  # too soon to tell
        (100.0, 1.0, ""),
    ],
)
def test_time_left_is_told_in_words(took: float, done: float, words: str) -> None:
    now = iter((1000.0, 1000.0 + took))
    assert Pace(lambda: next(now)).left(done) == words


@pytest.mark.slow
def test_render_takes_side_and_direction(tmp_path: Path, painted: list[dict[str, Any]]) -> None:
    arguments = ["render", str(ONE_WALL), "--out", str(tmp_path), "--side", "grooved", "--direction", "90"]
    assert main(arguments) == 0
    plan = read_plan(tmp_path / "plan.json")
    assert (plan.site.boards.side, plan.site.deck.direction) == ("grooved", 90.0)
    assert (tmp_path / "one_wall.png").is_file()
    assert (tmp_path / "one_wall.blend").is_file()


@pytest.mark.slow
def test_render_of_a_name_that_looks_like_markup(site: Path, tmp_path: Path, painted: list[dict[str, Any]]) -> None:
    site.write_text(SMALL.replace("Small", "[bold]Plot [/7]"), encoding="utf-8")
    assert main(["render", str(site), "--out", str(tmp_path / "out")]) == 0
    assert painted[0]["model"].name == "[bold]Plot [/7]"


def test_render_in_no_direction_is_one_line(
    tmp_path: Path, painted: list[dict[str, Any]], capsys: pytest.CaptureFixture[str]
) -> None:
    line = refused(capsys, "render", ONE_WALL, "--out", tmp_path / "out", "--direction", "nan")
    assert "number of degrees" in line
    assert painted == []


def test_render_without_blender_says_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    line = refused(capsys, "render", ONE_WALL, "--out", tmp_path / "out")
    assert "bpy" in line
    assert "pip install 'courseline[render]' (about 350 MB)" in line


@pytest.mark.slow
@pytest.mark.skipif(importlib.util.find_spec("bpy") is None, reason="needs Blender's Python module")
def test_draft_of_a_real_scene_is_rendered_and_saved(tmp_path: Path) -> None:
    image = pytest.importorskip("PIL.Image")
    done = run("render", ONE_WALL, "--out", tmp_path, "--quality", "draft")
    assert (done.returncode, done.stderr) == (0, "")
    with image.open(tmp_path / "one_wall.png") as picture:
        assert picture.width / picture.height == pytest.approx(16 / 9, abs=0.01)
        assert len(picture.convert("RGB").getcolors(1 << 24)) > 10_000  # a scene, not a flat field
    assert (tmp_path / "one_wall.png").stat().st_size > 100_000
    assert (tmp_path / "one_wall.blend").stat().st_size > 100_000
    assert len(read_plan(tmp_path / "plan.json").pieces) > 0


# Zones that the engine proposes

ROUND_A_CORNER = """schema = 1
name = "Round a corner"
[deck]
outline = [[0, 0], [0, -3000], [9000, -3000], [9000, 4000], [6000, 4000], [6000, 0]]
house_edges = [4, 5]
"""


@pytest.mark.slow
def test_zones_auto_turns_the_boards_at_the_corner(tmp_path: Path) -> None:
    file = tmp_path / "corner.toml"
    file.write_text(ROUND_A_CORNER, encoding="utf-8")
    assert main(["plan", str(file), "--out", str(tmp_path / "straight")]) == 0
    assert main(["plan", str(file), "--out", str(tmp_path / "turned"), "--zones", "auto"]) == 0
    straight, turned = (read_plan(tmp_path / name / "plan.json") for name in ("straight", "turned"))
    assert [len(straight.zones), len(turned.zones)] == [1, 2]
    assert [zone.name for zone in turned.site.zones] == ["along edge 4", "along edge 5"]


def test_zones_auto_beside_zones_in_the_file_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "zones.toml"
    zone = (
        '[[zones]]\nname = "east"\noutline = [[6000, 0], [9000, -3000], [9000, 4000], [6000, 4000]]\nstart_edge = 3\n'
    )
    file.write_text(ROUND_A_CORNER + zone, encoding="utf-8")
    line = refused(capsys, "plan", file, "--out", tmp_path / "out", "--zones", "auto")
    assert line == (
        "courseline: zones: 1 in the file already; "
        "leave them out to have them proposed, or plan with those that are written"
    )
    assert not (tmp_path / "out").exists()

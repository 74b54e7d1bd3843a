"""`courseline options` as a user meets it, and the work that it shares out among the cores."""

from __future__ import annotations

import csv
import math
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from courseline.command_line import main
from courseline.command_line.many import cores, for_each
from courseline.engine.errors import CourselineError, SiteError

SCENES = Path(__file__).parents[1] / "demo_scenes"
RUN = "import sys; from courseline.command_line import main; sys.exit(main())"
SMALL = """schema = 1
name = "Small"
[deck]
outline = [[0, 0], [4500, 0], [4500, 700], [0, 700]]
"""
WRITTEN = ["options.csv", "options.svg"]


@pytest.fixture
def site(tmp_path: Path) -> Path:
    file = tmp_path / "small.toml"
    file.write_text(SMALL, encoding="utf-8")
    return file


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.slow
def test_as_many_cores_as_there_are_give_the_same_files(site: Path, tmp_path: Path) -> None:
    poison = tmp_path / "poison"
    poison.mkdir()
    (poison / "bpy.py").write_text("import os; os._exit(99)\n", encoding="utf-8")
    env = os.environ | {"PYTHONPATH": os.pathsep.join((str(poison), os.environ.get("PYTHONPATH", "")))}
    shared = [sys.executable, "-c", RUN, "options", site, "--out", tmp_path / "three", "--cores", "3"]
    done = subprocess.run([*map(str, shared)], capture_output=True, text=True, env=env, encoding="utf-8")
    assert (done.returncode, done.stderr) == (0, "")
    assert "Options: Small" in done.stdout
    assert f"wrote {tmp_path / 'three' / 'options.svg'}" in done.stdout
    assert main(["options", str(site), "--out", str(tmp_path / "one"), "--cores", "1"]) == 0
    assert names(tmp_path / "one") == names(tmp_path / "three") == WRITTEN
    for name in WRITTEN:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "three" / name).read_bytes()


@pytest.mark.slow
def test_without_a_folder_nothing_is_written(site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = names(tmp_path)
    assert main(["options", str(site), "--cores", "1"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "Cheapest of those that no other beats" in told
    assert "searched with effort quick" in told
    assert "wrote" not in told
    assert names(tmp_path) == before


@pytest.mark.slow
def test_effort_that_was_asked_for_is_told_and_written(site: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert main(["options", str(site), "--out", str(out), "--cores", "1", "--effort", "normal"]) == 0
    with (out / "options.csv").open(encoding="utf-8", newline="") as file:
        assert {row["effort"] for row in csv.DictReader(file)} == {"normal"}
    assert "effort normal" in (out / "options.svg").read_text("utf-8")


@pytest.mark.parametrize("number", ["0", "-1", "two", "1.5", ""])
def test_no_number_of_cores_is_refused(number: str, site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["options", str(site), f"--cores={number}"])
    assert ended.value.code == 2
    assert "is no number of cores: give 1 or more" in capsys.readouterr().err


def test_bad_site_is_one_line_and_leaves_nothing(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    site.write_text(SMALL + "surfce = 150\n", encoding="utf-8")
    assert main(["options", str(site), "--out", str(tmp_path / "out")]) == 2
    assert capsys.readouterr().err.splitlines() == ["courseline: deck.surfce: unknown key; did you mean 'surface'?"]
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_folder_in_place_of_the_drawing_is_one_line(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "out" / "options.svg" / "mine").mkdir(parents=True)
    assert main(["options", str(site), "--out", str(tmp_path / "out"), "--cores", "1"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "cannot be written" in line
    assert not [name for name in names(tmp_path / "out") if name.startswith(".")]


def test_ways_that_can_none_of_them_be_laid_end_with_status_1(
    site: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise SiteError("boards.lengths", "no board gives A-01-1", "longer boards")

    monkeypatch.setattr("courseline.engine.options.design", refuse)
    assert main(["options", str(site), "--cores", "1"]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "1: boards.lengths: no board gives A-01-1; longer boards" in told
    assert "None of these ways can be laid." in told


@pytest.mark.skipif(sys.platform != "linux", reason="looks for the processes in /proc")
@pytest.mark.parametrize(
    "ready", [pytest.param(False, id="while they begin", marks=pytest.mark.slow), pytest.param(True, id="at work")]
)
def test_ctrl_c_ends_it_and_all_its_processes_and_leaves_nothing(
    ready: bool, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    out = tmp_path / "out"
    asked = [SCENES / "long_house.toml", "--out", out, "--effort", "thorough", "--cores", "2"]
    # What a shell runs in the background has Ctrl-C ignored, and hands that on.
    hears = f"import signal; signal.signal(signal.SIGINT, signal.default_int_handler); {RUN}"
    process = subprocess.Popen(
        [sys.executable, "-c", hears, "options", *map(str, asked)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )
    request.addfinalizer(process.kill)
    children: list[str] = []
    while len(children) < 3 and process.poll() is None:  # two workers, and one that Python starts beside them
        time.sleep(0.05)
        children = Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text("ascii").split()
    assert list(out.glob(".making-*"))
    while ready and not all(map(ignores_interrupts, children)):
        time.sleep(0.05)
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to all of them
    _, told = process.communicate(timeout=60)
    assert process.returncode == 130
    assert told.decode().strip() == "courseline: stopped; nothing half-written is left"
    assert not out.exists()
    deadline = time.monotonic() + 60
    while any(map(alive, children)) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not any(map(alive, children))


def ignores_interrupts(number: str) -> bool:
    """Whether a process has Ctrl-C ignored, as a worker has once it has begun."""
    status = Path(f"/proc/{number}/status").read_text("ascii")
    ignored = next(line.split()[1] for line in status.splitlines() if line.startswith("SigIgn"))
    return bool(int(ignored, 16) >> (signal.SIGINT - 1) & 1)


def alive(number: str) -> bool:
    """Whether a process runs; one that has ended and that no one has asked for yet does not."""
    try:
        return Path(f"/proc/{number}/stat").read_text("ascii").rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


# Work for many things


@pytest.mark.slow
@pytest.mark.parametrize("workers", [1, 2])
def test_what_comes_of_things_keeps_their_order(workers: int) -> None:
    told: list[int] = []
    assert for_each(math.isqrt, [81, 4, 0, 49], told.append, workers) == [9, 2, 0, 7]
    assert told == [1, 2, 3, 4]


@pytest.mark.slow
def test_fault_of_the_work_comes_back_as_it_is() -> None:
    with pytest.raises(ValueError, match="nonnegative"):
        for_each(math.isqrt, [4, -1, 9], lambda _: None, 2)


@pytest.mark.slow
def test_process_that_the_system_ends_is_told() -> None:
    with pytest.raises(CourselineError, match="try again with --cores 1"):
        for_each(os._exit, [3, 3], lambda _: None, 2)


def test_nothing_to_do_is_done() -> None:
    assert for_each(math.isqrt, [], lambda _: None, 2) == []


def test_cores_are_those_that_this_process_may_use() -> None:
    assert 1 <= cores() <= (os.cpu_count() or 1)

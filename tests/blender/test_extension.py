"""The extension zip: what lies in it, and that a clean Blender does the whole job with nothing else."""

import json
import os
import platform
import subprocess
import sys
import tomllib
from importlib.util import find_spec
from pathlib import Path
from zipfile import ZipFile

import pytest
from courseline.engine import VERSION, design, plan_json, read_site, with_choices
from courseline.engine.effort import FOR_AN_ORDER
from courseline.engine.papers.takeoff_csv import takeoff_csv

if find_spec("bpy") is None:
    pytest.skip("needs Blender's bpy", allow_module_level=True)

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
SITE = ROOT / "demo_scenes" / "house_corner.toml"
PLATFORMS = {
    ("linux", "x86_64"): "linux-x64",
    ("win32", "AMD64"): "windows-x64",
    ("darwin", "arm64"): "macos-arm64",
    ("darwin", "x86_64"): "macos-x64",
}
HERE = PLATFORMS[sys.platform, platform.machine()]
BLENDERS = (sys.executable, *filter(None, os.environ.get("COURSELINE_BLENDERS", "").split(os.pathsep)))
"""Pythons with a Blender each: this one, and others that the environment names, such as one with Blender 4.2."""
NOT_BLENDERS = (
    "shapely", "msgspec", "astral", "tzdata", "highspy", "pil", "courseline", "__editable__", "rich", "_pytest"
)  # fmt: skip
"""Beginnings of what lies beside bpy in this environment but not in anyone's Blender."""
LONGEST = 300
"""Time [s] after which a Blender that hangs is ended."""


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("dist")
    command = [sys.executable, ROOT / ".ci" / "make_extension.py", "--platform", HERE, "--out", out]
    subprocess.run(command, check=True, timeout=LONGEST)
    (made,) = out.glob("*.zip")
    return made


@pytest.fixture(scope="module", params=BLENDERS, ids=lambda python: Path(python).parents[1].name)
def job(request: pytest.FixtureRequest, archive: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[dict, Path]:
    """Do the job in a clean Blender; give what it found and the folder that it wrote into."""
    folder = tmp_path_factory.mktemp("clean")
    blender, profile, out = folder / "blender", folder / "profile", folder / "out"
    blender.mkdir()
    profile.mkdir()
    python = request.param
    where = [python, "-c", "from importlib.util import find_spec; print(find_spec('bpy').origin)"]
    origin = subprocess.run(where, check=True, capture_output=True, text=True).stdout.strip()
    for entry in Path(origin).parents[1].iterdir():
        if not entry.name.lower().startswith(NOT_BLENDERS):
            (blender / entry.name).symlink_to(entry)
    script = Path(__file__).with_name("zip_job.py")
    # -I and -S: neither this environment's packages nor our source can be seen from there.
    command = [python, "-I", "-S", script, blender, archive, SITE, out]
    done = subprocess.run(
        command,
        env=os.environ | {"BLENDER_USER_RESOURCES": str(profile)},
        capture_output=True,
        text=True,
        timeout=LONGEST,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return json.loads([line for line in done.stdout.splitlines() if line.startswith("{")][-1]), out


def test_the_zip_has_the_shape_of_the_package(archive: Path) -> None:
    names = set(ZipFile(archive).namelist())
    assert {"__init__.py", "engine/design.py", "engine/catalogue.toml", "LICENSE", "blender_manifest.toml"} <= names
    assert not [name for name in names if "test" in name or "__pycache__" in name]


def test_the_manifest_asks_for_files_and_nothing_else(archive: Path) -> None:
    manifest = tomllib.loads(ZipFile(archive).read("blender_manifest.toml").decode())
    assert list(manifest["permissions"]) == ["files"]
    assert manifest["version"] == VERSION
    assert manifest["id"] == "courseline"
    assert manifest["license"] == ["SPDX:GPL-3.0-or-later"]


def test_wheels_are_for_this_platform_and_as_the_index_has_them(archive: Path) -> None:
    with ZipFile(archive) as opened:
        wheels = {Path(name).name: opened.read(name) for name in opened.namelist() if name.endswith(".whl")}
    kept = {path.name: path.read_bytes() for path in (ROOT / ".wheels" / HERE).rglob("*.whl")}
    assert {name: kept.get(name) for name in wheels} == wheels
    for python in ("cp311", "cp313"):
        assert sum(python in name for name in wheels) == 4, f"shapely, msgspec, highspy and pillow for {python}"
    assert not [name for name in wheels if name.startswith("numpy")], "numpy is Blender's own"


def test_a_clean_blender_writes_the_same_bytes_as_the_engine(job: tuple[dict, Path]) -> None:
    plan = design(with_choices(read_site(SITE), side="grooved", direction=90.0, joints="third"), FOR_AN_ORDER)
    _, out = job
    assert (out / "plan.json").read_bytes() == plan_json(plan)
    assert (out / "takeoff.csv").read_bytes().decode() == takeoff_csv(plan)


def test_all_that_it_needs_came_out_of_the_zip(job: tuple[dict, Path]) -> None:
    found, out = job
    profile = str(out.parent / "profile")
    assert found["extension"].startswith(profile)
    assert all(path.startswith(profile) for path in found["wheels"].values())
    assert not {"courseline", "rich", "PIL"} & set(found["loaded"])


def test_a_blender_in_the_background_finds_what_the_zip_brought(job: tuple[dict, Path]) -> None:
    found, out = job
    plan = design(with_choices(read_site(SITE), side="grooved", direction=90.0, joints="third"), FOR_AN_ORDER)
    assert (out / "choices" / "side-grooved" / "plan.json").read_bytes() == plan_json(plan)
    assert len(list((out / "choices").glob("*-side.png"))) == 1
    assert found["pictured"] == ["FINISHED"]


def test_nothing_is_written_into_the_extension(job: tuple[dict, Path]) -> None:
    found, _ = job
    assert found["untouched"]


def test_disabled_and_enabled_again_the_deck_is_remembered(job: tuple[dict, Path]) -> None:
    found, _ = job
    assert found["hidden while disabled"]
    assert found["figures"]["Boards to order"] != "0"
    assert found["figures when enabled again"] == found["figures"]

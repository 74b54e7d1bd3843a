"""Builds the Blender extension: one zip for each platform, ready to be installed offline.

Our own code is vendored in the zip in the shape of the import package, `engine` inside it; what else it
needs comes as unmodified wheels from the package index that pip is set up for, kept in `.wheels/`.
Blender's own extension builder, which lies in the `bpy` wheel, writes and validates the zips.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import shutil
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
MANIFEST = ROOT / "blender_addon" / "blender_manifest.toml"
PINS = ROOT / ".ci" / "wheels.txt"
WHEELS = ROOT / ".wheels"
DIST = ROOT / "dist"

PYTHONS = ("3.11", "3.13")
"""The Pythons of Blender 4.2 to 5.0 and of 5.1 and newer."""
WHEEL_TAGS = {
    "linux-x64": ("manylinux_2_28_x86_64", "manylinux_2_17_x86_64", "manylinux2014_x86_64"),
    "windows-x64": ("win_amd64",),
    "macos-arm64": ("macosx_11_0_arm64",),
    "macos-x64": ("macosx_11_0_x86_64",),
}
"""Blender's name of each platform, and the wheel tags that its oldest supported system runs."""


class BuildError(Exception):
    """What stops the build, in one line."""


def main(arguments: list[str] | None = None) -> int:
    """Build the zips; return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--platform", action="append", choices=list(WHEEL_TAGS), help="build for this platform only")
    parser.add_argument("--out", type=Path, default=DIST, help="folder for the zips (default: dist)")
    options = parser.parse_args(arguments)
    try:
        for archive in make_extension(options.platform or list(WHEEL_TAGS), options.out):
            print(f"{archive}  {archive.stat().st_size / 1e6:.1f} MB")
    except BuildError as fault:
        print(f"make_extension: {fault}", file=sys.stderr)
        return 1
    return 0


def make_extension(platforms: list[str], out: Path) -> list[Path]:
    """Build and validate one zip for each platform in `out`; return their paths."""
    builder = find_builder()
    manifest = read_manifest()
    wheels = sorted({wheel for platform in platforms for wheel in fetch_wheels(platform)}, key=lambda p: p.name)
    manifest |= {"platforms": platforms, "wheels": list(dict.fromkeys(f"./wheels/{wheel.name}" for wheel in wheels))}
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        stage(Path(folder), manifest, wheels)
        run([sys.executable, builder, "build", "--source-dir", folder, "--output-dir", out, "--split-platforms"])
    # The builder names its zips so.
    stem = f"{manifest['id']}-{manifest['version']}"
    archives = [out / f"{stem}-{platform.replace('-', '_')}.zip" for platform in platforms]
    for archive in archives:
        run([sys.executable, builder, "validate", archive])
    return archives


def find_builder() -> Path:
    """Find Blender's extension builder in the installed `bpy`, without loading Blender."""
    spec = importlib.util.find_spec("bpy")
    found = sorted(Path(spec.origin).parent.glob("*/scripts/addons_core/bl_pkg/cli/blender_ext.py")) if spec else []
    if not found:
        raise BuildError("Blender's extension builder is missing; run: pip install '.[render]'")
    return found[-1]


def read_manifest() -> dict[str, Any]:
    """Read the manifest; its version must be the project's."""
    manifest = tomllib.loads(MANIFEST.read_text("utf-8"))
    version = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["version"]
    if manifest["version"] != version:
        raise BuildError(f"{MANIFEST.name} says version {manifest['version']}, pyproject.toml {version}; make them one")
    return manifest


def fetch_wheels(platform: str) -> list[Path]:
    """Return the pinned wheels for one platform and every Python, from `.wheels/` or the package index."""
    pins = [line.strip() for line in PINS.read_text("utf-8").splitlines() if line.strip() and line[0] != "#"]
    wheels = []
    for python in PYTHONS:
        folder = WHEELS / platform / python
        patterns = [f"{pin.replace('==', '-')}-*.whl" for pin in pins]
        if not all(any(folder.glob(pattern)) for pattern in patterns):
            tags = [part for tag in WHEEL_TAGS[platform] for part in ("--platform", tag)]
            download = ["download", "--quiet", "--only-binary=:all:", "--no-deps", "--python-version", python, *tags]
            run([sys.executable, "-m", "pip", *download, "--dest", folder, *pins])
        wheels += [next(folder.glob(pattern)) for pattern in patterns]
    return wheels


def stage(folder: Path, manifest: dict[str, Any], wheels: list[Path]) -> None:
    """Lay out the extension's source: the add-on, the engine inside it, the wheels, the manifest."""
    for source, target in ((ROOT / "blender_addon", folder), (ROOT / "engine", folder / "engine")):
        files = (path for path in source.rglob("*") if path.suffix in {".py", ".toml"} and path != MANIFEST)
        for path in files:
            copy = target / path.relative_to(source)
            copy.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(path, copy)
    shutil.copy2(ROOT / "LICENSE", folder)
    (folder / "wheels").mkdir()
    for wheel in wheels:
        shutil.copy2(wheel, folder / "wheels")
    (folder / MANIFEST.name).write_text(as_toml(manifest), "utf-8")


def as_toml(manifest: dict[str, Any]) -> str:
    """Write a manifest; text, numbers and lists of text look alike in JSON and TOML."""
    plain = [f"{key} = {json.dumps(value)}" for key, value in manifest.items() if not isinstance(value, dict)]
    tables = [
        "\n".join([f"[{name}]", *(f"{key} = {json.dumps(value)}" for key, value in table.items())])
        for name, table in manifest.items()
        if isinstance(table, dict)
    ]
    return "\n\n".join(["\n".join(plain), *tables]) + "\n"


def run(command: list[str | Path]) -> None:
    """Run a command; its output is shown only if it fails."""
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    if done.returncode:
        raise BuildError(f"{Path(command[1]).name} failed:\n{done.stdout.strip()}")


if __name__ == "__main__":
    sys.exit(main())

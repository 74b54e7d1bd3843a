"""The whole job in a clean Blender that has nothing but the zip: run by test_extension.py in a process of its own.

Arguments: a folder with Blender's own packages, the zip, a site file, the folder to write into.
Prints what it found as one line of JSON, last.
"""

import json
import sys
from dataclasses import replace
from pathlib import Path

sys.path.append(sys.argv[1])

import bpy

NAME = "bl_ext.user_default.courseline"


def main(archive: str, site: str, out: str) -> None:
    bpy.ops.extensions.package_install_files(filepath=archive, repo="user_default", enable_on_install=True)
    installed = Path(sys.modules[NAME].__file__).parent
    as_installed = files_of(installed)
    do_the_job(site, out)
    pictured = picture_choices(out)
    figures = figures_of()
    bpy.ops.preferences.addon_disable(module=NAME)
    hidden = not hasattr(bpy.types.Scene, "courseline")
    bpy.ops.preferences.addon_enable(module=NAME)
    found = {
        "extension": str(installed),
        "wheels": {name: sys.modules[name].__file__ for name in ("shapely", "msgspec", "astral", "highspy")},
        "loaded": sorted({name.partition(".")[0] for name in sys.modules}),
        "pictured": sorted(pictured),
        "untouched": as_installed == files_of(installed),
        "figures": figures,
        "hidden while disabled": hidden,
        "figures when enabled again": figures_of(),
    }
    bpy.ops.preferences.addon_disable(module=NAME)
    print(json.dumps(found))


def do_the_job(site: str, out: str) -> None:
    bpy.ops.courseline.open_site(filepath=site)
    settings = bpy.context.scene.courseline
    settings.side, settings.run, settings.joints = "grooved", "out", "third"
    bpy.ops.courseline.build_deck()
    bpy.ops.courseline.look_through()
    bpy.ops.courseline.write_plan(directory=out)


def picture_choices(out: str) -> set[str]:
    """Have every choice pictured, very small, by a Blender in the background."""
    render = sys.modules[f"{NAME}.render"]
    render.QUALITIES["draft"] = replace(render.QUALITIES["draft"], width=48, height=27, samples=1)
    return bpy.ops.courseline.picture_choices(directory=str(Path(out) / "choices"))


def figures_of() -> dict[str, str]:
    return {figure.name: figure.value for figure in bpy.context.scene.courseline.figures}


def files_of(folder: Path) -> list[tuple[str, int]]:
    found = (path for path in folder.rglob("*") if path.is_file() and "__pycache__" not in path.parts)
    return sorted((str(path), path.stat().st_mtime_ns) for path in found)


if __name__ == "__main__":
    main(*sys.argv[2:])

"""The package without Blender."""

import subprocess
import sys


def test_package_and_engine_import_without_blender() -> None:
    code = "import sys, courseline, courseline.engine, courseline.engine.scene; sys.exit('bpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0

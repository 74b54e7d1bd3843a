"""Work in the background ends with the Blender that asked for it."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest

pytest.importorskip("bpy")

pytestmark = pytest.mark.slow

CHILD = """
import sys, time
from courseline.jobs import boot, work

def endless(asked, folder):
    beats = open(asked["beats"], "ab", buffering=0)
    for _ in range(1200):  # a minute, should it not end
        beats.write(b".")
        try:
            work._tell(0.5, "waiting")
        except OSError:  # as Blender swallows what is raised while it renders
            pass
        time.sleep(0.05)

work.KINDS["endless"] = endless
boot.main(sys.argv[-1])
"""
PARENT = """
import sys, time
from pathlib import Path
from courseline.jobs import job

folder = Path(sys.argv[1])
job.BOOT = folder / "child.py"
begun = job.start("endless", {"beats": str(folder / "beats")}, folder / "out")
while begun.note != "waiting":
    time.sleep(0.05)
print("begun", flush=True)
time.sleep(60)
"""
STILL = 2.0
"""Time [s] for which nothing more is done by a job that has ended: it does something twenty times a second."""
TRIES = 8
"""How often is looked, on a busy machine, whether it has ended; left alone it would go on for a minute."""


def test_a_job_ends_when_blender_dies(tmp_path: Path) -> None:
    (tmp_path / "child.py").write_text(CHILD, "utf-8")
    beats = tmp_path / "beats"
    with subprocess.Popen([sys.executable, "-c", PARENT, str(tmp_path)], stdout=subprocess.PIPE, text=True) as parent:
        assert any(line.strip() == "begun" for line in parent.stdout)  # Blender says other things there
        assert _grows(beats)
        parent.kill()
    assert any(not _grows(beats) for _ in range(TRIES))


def _grows(file: Path) -> bool:
    """Tell whether something is still being written to a file."""
    before = file.stat().st_size
    time.sleep(STILL)
    return file.stat().st_size > before

"""A job as the user's Blender sees it: how far it has come, how it ended, and the way to stop it."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

import bpy

from .words import ENDED, FAULT, FILE, INPUT, MARK, SHARE

BOOT = Path(__file__).with_name("boot.py")
PACKAGE = __package__.rpartition(".")[0]
"""The name by which this Blender knows the add-on."""
PATIENCE = 5.0
"""How long a stopped process is waited for before it is ended [s] (ours)."""


class Job:
    """One job; it writes into a folder of its own, from which `keep` moves what it made.

    Attributes
    ----------
    share : float
        How much is done [0 to 1].
    note : str
        What is going on.
    fault : str
        Why it failed, in one line; empty as long as it has not.
    """

    def __init__(self, kind: str, asked: dict[str, Any], out: Path, save: Callable[[Path], None] | None) -> None:
        self.share, self.note, self.fault = 0.0, "starting", ""
        self._ended, self._last = False, ""
        self._out, self._fresh = out, not out.exists()
        out.mkdir(parents=True, exist_ok=True)
        self.folder = Path(tempfile.mkdtemp(prefix=".making-", dir=out))
        own = self.folder / INPUT
        own.mkdir()
        if save is not None:
            save(own / FILE)
        request = own / "request.json"
        # The child finds wheels and package where this Blender found them, whatever is enabled or saved there.
        request.write_text(
            json.dumps(
                {
                    "kind": kind,
                    "asked": asked,
                    "folder": str(self.folder),
                    "paths": sys.path,
                    "package": None if PACKAGE == "courseline" else str(Path(__file__).parents[1]),
                }
            ),
            "utf-8",
        )
        self._process = subprocess.Popen(
            [*_blender(), str(request)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            errors="replace",
        )
        self._reader = threading.Thread(target=self._listen, args=(self._process.stdout,), daemon=True)
        self._reader.start()

    def is_over(self) -> bool:
        """Tell whether it has ended, well or not."""
        if self._reader.is_alive():
            return False
        self._process.wait()
        if not self._ended and not self.fault:
            self.fault = f"Blender ended early: {self._last}" if self._last else "Blender ended early"
        return True

    def wait(self) -> None:
        """Wait until it has ended."""
        self._reader.join()
        self.is_over()

    def stop(self, *, at_once: bool = False) -> None:
        """Stop it, and leave nothing of it behind; at once where it holds nothing that it would have to put away."""
        if self._process.poll() is None:
            (self._process.kill if at_once else self._process.terminate)()
            try:
                self._process.wait(PATIENCE)
            except subprocess.TimeoutExpired:
                self._process.kill()
        self._reader.join(PATIENCE)
        self.drop()

    def keep(self) -> list[Path]:
        """Move what it made to where it was asked for; return the files."""
        kept = []
        for file in sorted(path for path in self.folder.rglob("*") if path.is_file()):
            if file.is_relative_to(self.folder / INPUT):
                continue
            target = self._out / file.relative_to(self.folder)
            target.parent.mkdir(parents=True, exist_ok=True)
            file.replace(target)
            kept.append(target)
        self.drop()
        return kept

    def drop(self) -> None:
        """Remove what it made."""
        shutil.rmtree(self.folder, ignore_errors=True)
        if self._fresh:
            with suppress(OSError):  # it holds what was made
                self._out.rmdir()

    def _listen(self, lines: Iterable[str]) -> None:
        for line in lines:
            if not line.startswith(MARK):
                self._last = line.strip() or self._last
                continue
            said = json.loads(line[len(MARK) :])
            if SHARE in said:
                self.share, self.note = said[SHARE], said["note"]
            self.fault = said.get(FAULT, self.fault)
            self._ended = self._ended or ENDED in said


def start(kind: str, asked: dict[str, Any], out: Path, save: Callable[[Path], None] | None = None) -> Job:
    """Start a job.

    Parameters
    ----------
    kind : str
        One of `work.KINDS`.
    asked : dict
        What it is given, as JSON holds it.
    out : Path
        Folder for what it makes; made if need be.
    save : callable, optional
        Saves the file that the job is to work on, where it is told.

    Raises
    ------
    OSError
        If that folder cannot be written, or no process started.
    """
    return Job(kind, asked, out, save)


def _blender() -> list[str]:
    """Give the command that runs our script: Blender, or where it is a Python module that Python."""
    if not bpy.app.binary_path:
        return [sys.executable, str(BOOT)]
    return [bpy.app.binary_path, "--background", "--factory-startup", "--python", str(BOOT), "--"]

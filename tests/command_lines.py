"""What tests of the command line share."""

from __future__ import annotations

from pathlib import Path

import pytest
from courseline.command_line import main

SCENES = Path(__file__).parents[1] / "demo_scenes"
ONE_WALL = SCENES / "one_wall.toml"


def refused(capsys: pytest.CaptureFixture[str], *arguments: object) -> str:
    """The one line for which a command ends with status 2."""
    assert main([str(argument) for argument in arguments]) == 2
    captured = capsys.readouterr()
    (line,) = captured.err.splitlines()
    assert line.startswith("courseline: ")
    assert "Traceback" not in captured.out + captured.err
    return line

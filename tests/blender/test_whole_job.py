"""The whole job through operators alone: from an empty file with a house in it to renders and takeoff.

The command line is the judge: the site saved from the scene gives the same plan and takeoff, to the byte.
"""

from __future__ import annotations

import os
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from courseline.command_line.main import main as command

bpy = pytest.importorskip("bpy")
import session  # noqa: E402 - it imports bpy
from courseline import properties, render  # noqa: E402

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("addon")]


CHANGES = {"os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link", "os.symlink", "os.truncate", "shutil.rmtree"}
"""What Python's audit events call changes to files, besides opening them to be written (Python's audit event table)."""


@pytest.fixture
def witnessed(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[tuple[str, str]]]:
    """Whatever Python code changes on disk, and asks of a network, by Python's audit events."""
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    seen: list[tuple[str, str]] = []
    awake = [True]

    def witness(event: str, told: tuple[object, ...]) -> None:
        if not awake[0]:
            return
        if event == "open":
            path, _, flags = told
            if path == os.devnull or isinstance(path, int):  # what is open already
                return
            if isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
                seen.append((event, str(path)))
        elif event in ("os.remove", "os.rmdir") and told[1] != -1:
            return  # within a folder that `shutil.rmtree` has told of
        elif event in CHANGES:
            seen.extend((event, str(path)) for path in told if isinstance(path, str | Path))
        elif event.startswith(("socket.", "urllib.", "http.")):
            seen.append((event, repr(told)))

    sys.addaudithook(witness)  # there for good: it can only be put to sleep
    yield seen
    awake[0] = False


def test_from_a_house_to_the_clients_yes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, witnessed: list[tuple[str, str]]
) -> None:
    tiny = render.Quality(width=64, height=36, samples=1, noise=1.0)
    monkeypatch.setitem(render.QUALITIES, "draft", tiny)
    settings: properties.DeckSettings = bpy.context.scene.courseline
    operators = bpy.ops.courseline

    # The site: a house, a post and a door that are in the file already, and the outline.
    things = session.house_and_deck()
    before = {name: (thing.matrix_world.copy(), len(thing.data.vertices)) for name, thing in things.items()}
    settings.job = "The Old Mill"
    assert operators.take_in() == {"FINISHED"}

    # The choices.
    assert operators.choose_board(board="broad-146") == {"FINISHED"}
    assert operators.choose_colour(colour="#4a4846") == {"FINISHED"}
    settings.side, settings.run, settings.joints = "grooved", "along", "third"
    settings.border, settings.course_gap = 1, 6.0
    next(edge for edge in settings.edges if not edge.at_wall and "6.00 m" in edge.name).finish = "step"
    assert operators.build_deck() == {"FINISHED"}

    # Pictures from every view that there is, and the file.
    for view in ("garden", "doorway", "above"):
        settings.view = view
        assert operators.look_through() == {"FINISHED"}
        bpy.context.scene.render.filepath = str(tmp_path / view)
        assert operators.render_picture() == {"FINISHED"}
        assert bpy.data.images["Render Result"].size[:] in ((64, 36), (0, 0))  # a picture in memory has no size

    # The papers.
    assert operators.write_plan(directory=str(tmp_path / "scene")) == {"FINISHED"}
    site = tmp_path / "site.toml"
    assert operators.save_site(filepath=str(site)) == {"FINISHED"}
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "job.blend"))

    # Nothing else was written, but for what is gone again, and no network asked.
    assert {Path(path).name for _, path in witnessed} >= {"plan.json", "takeoff.csv", "site.toml"}
    elsewhere = [(event, path) for event, path in witnessed if not path.startswith(str(tmp_path))]
    for_a_while = str(Path(tempfile.gettempdir()) / "courseline-")
    assert [each for each in elsewhere if not each[1].startswith(for_a_while) or Path(each[1]).exists()] == []

    # The same from the command line.
    assert command(["plan", str(site), "--out", str(tmp_path / "line")]) == 0
    for name in ("plan.json", "takeoff.csv"):
        assert (tmp_path / "scene" / name).read_bytes() == (tmp_path / "line" / name).read_bytes()
    written = tomllib.loads(site.read_text("utf-8"))
    assert (written["name"], written["boards"]["product"]) == ("The Old Mill", "broad-146")
    assert written["boards"]["colour"] == "#4a4846"
    assert "step" in written["deck"]["edge_finish"].values()

    # And the user's own things are as they were.
    for name, (matrix, count) in before.items():
        assert things[name].matrix_world == matrix
        assert len(things[name].data.vertices) == count

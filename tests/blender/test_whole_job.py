"""The whole job through operators alone: from an empty file with a house in it to renders and takeoff.

The command line is the judge: the site saved from the scene gives the same plan and takeoff, to the byte.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from courseline.command_line.main import main as command

bpy = pytest.importorskip("bpy")
import session  # noqa: E402 - it imports bpy
from courseline import properties, render  # noqa: E402

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("addon")]


def test_from_a_house_to_the_clients_yes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
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

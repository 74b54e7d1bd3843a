"""`courseline compare` as a user meets it: one sheet of all choices, written whole or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from command_lines import ONE_WALL, refused
from courseline.command_line import main
from courseline.engine import comparison, read_plan


@pytest.mark.slow
def test_compare_writes_one_sheet_of_all_choices(
    tmp_path: Path, painted: list[dict[str, Any]], capsys: pytest.CaptureFixture[str]
) -> None:
    image = pytest.importorskip("PIL.Image")
    assert main(["compare", str(ONE_WALL), "--out", str(tmp_path), "--vary", "side", "--quality", "draft"]) == 0
    with image.open(tmp_path / "one_wall-side.png") as sheet:
        assert sheet.width > 2 * 96
    with image.open(tmp_path / "one_wall-side-split.png") as split:
        assert split.size == (96, 54)
    for side in ("grain", "grooved"):
        folder = tmp_path / f"side-{side}"
        made = {path.name for path in folder.iterdir()}
        assert {"one_wall.png", "one_wall.blend", "plan.json", "takeoff.csv"} <= made
        assert read_plan(folder / "plan.json").site.boards.side == side
    told = capsys.readouterr().out
    assert "Grain side up: boards to order" in told
    assert f"wrote {tmp_path / 'one_wall-side.png'}" in told
    assert [item["quality"] for item in painted] == ["draft", "draft"]


@pytest.mark.slow
def test_compared_choices_are_seen_from_one_camera(tmp_path: Path, painted: list[dict[str, Any]]) -> None:
    assert main(["compare", str(ONE_WALL), "--out", str(tmp_path), "--vary", "direction", "--choices", "0,90"]) == 0
    first, second = (item["model"] for item in painted)
    assert first.cameras[:-1] == second.cameras[:-1]  # the last is of two boards, whichever way they run
    assert first.surfaces is second.surfaces
    pieces = [len(read_plan(tmp_path / f"direction-{d}deg" / "plan.json").pieces) for d in (0, 90)]
    assert pieces[0] != pieces[1]


@pytest.mark.slow
def test_colours_of_the_board_are_compared(tmp_path: Path, painted: list[dict[str, Any]]) -> None:
    assert main(["compare", str(ONE_WALL), "--out", str(tmp_path), "--vary", "colour"]) == 0
    assert len(painted) == 3  # the product table has three colours of this board
    assert (tmp_path / "one_wall-colour.png").is_file()


@pytest.mark.slow
def test_compare_from_another_view_and_of_two_others_in_one_picture(
    tmp_path: Path, painted: list[dict[str, Any]], capsys: pytest.CaptureFixture[str]
) -> None:
    image = pytest.importorskip("PIL.Image")
    arguments = ["--vary", "pattern", "--view", "doorway", "--split", "none,half"]
    assert main(["compare", str(ONE_WALL), "--out", str(tmp_path), *arguments]) == 0
    assert {item["model"].view for item in painted} == {"doorway"}
    assert [item["of"] for item in painted] == [4] * 4  # all in one go
    with image.open(tmp_path / "one_wall-pattern-split.png") as split:
        left, right = (split.getpixel((x, 20))[0] for x in (5, 90))
    with image.open(tmp_path / "pattern-none" / "one_wall.png") as first:
        assert left == first.getpixel((5, 20))[0]
    with image.open(tmp_path / "pattern-half" / "one_wall.png") as second:
        assert right == second.getpixel((90, 20))[0]
    told = capsys.readouterr().out
    assert "The others are compared with this one." in told
    assert "than A, " in told


@pytest.mark.slow
@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--view", "cellar"], "view: 'cellar'; this site has the views garden, doorway, above"),
        (["--split", "grain,umber"], "split: 'umber'; name two of grain, grooved"),
        (["--choices", "grain"], "choices: 1 given (grain); name 2 to 5 to compare"),
    ],
)
def test_comparison_that_cannot_be_is_refused_before_anything_is_rendered(
    arguments: list[str],
    words: str,
    tmp_path: Path,
    painted: list[dict[str, Any]],
    capsys: pytest.CaptureFixture[str],
) -> None:
    line = refused(capsys, "compare", ONE_WALL, "--out", tmp_path / "out", "--vary", "side", *arguments)
    assert words in line
    assert painted == []
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_comparison_that_fails_half_way_leaves_what_was_there(
    tmp_path: Path, painted: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    arguments = ["compare", str(ONE_WALL), "--out", str(tmp_path / "out"), "--vary", "side"]

    def fail(*_: object, **__: object) -> Path:
        raise KeyboardInterrupt

    with monkeypatch.context() as broken:
        broken.setattr(comparison, "compare_sheet", fail)
        assert main(arguments) == 130
    assert not (tmp_path / "out").exists()
    assert main(arguments) == 0
    before = {path: path.read_bytes() for path in (tmp_path / "out").rglob("*") if path.is_file()}
    with monkeypatch.context() as broken:
        broken.setattr(comparison, "split_picture", fail)
        assert main(arguments) == 130
    assert {path: path.read_bytes() for path in (tmp_path / "out").rglob("*") if path.is_file()} == before


@pytest.mark.parametrize(
    ("vary", "choices", "words"),
    [
        ("side", "grian", "a side is 'grain' or 'grooved'"),
        ("direction", "north", "a number of degrees"),
        ("direction", "nan", "a number of degrees"),
        ("colour", "beige", "a colour is #rrggbb, or one of umber"),
    ],
)
def test_choice_that_is_none_is_refused_before_anything_is_rendered(
    vary: str,
    choices: str,
    words: str,
    tmp_path: Path,
    painted: list[dict[str, Any]],
    capsys: pytest.CaptureFixture[str],
) -> None:
    line = refused(capsys, "compare", ONE_WALL, "--out", tmp_path / "out", "--vary", vary, "--choices", choices)
    assert words in line
    assert painted == []
    assert not (tmp_path / "out").exists()

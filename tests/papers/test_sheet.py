"""The comparison sheet: what a client signs must show the pictures as they were rendered."""

from pathlib import Path

import numpy as np
import pytest
from courseline.engine.papers.sheet import PICTURE_WIDTH, Entry, compare_sheet

Image = pytest.importorskip("PIL.Image")
FACTS = (("Boards to order", "141"), ("Waste", "4.2 %"), ("Butt joints", "62"), ("Price", "GBP 4230.00"))


def noise_picture(path: Path, seed: int, width: int = PICTURE_WIDTH, height: int = 1080) -> Path:
    pixels = np.random.default_rng(seed).integers(0, 256, (height, width, 3), dtype=np.uint8)
    Image.fromarray(pixels).save(path)
    return path


def sheet_of(folder: Path, count: int, **size: int) -> tuple[np.ndarray, list[np.ndarray]]:
    pictures = [noise_picture(folder / f"{i}.png", i, **size) for i in range(count)]
    entries = [Entry(picture, f"Choice {i}", FACTS) for i, picture in enumerate(pictures)]
    out = compare_sheet(entries, "Grain or grooved", folder / "out" / "sheet.png", source="plan version 0.1.0")
    return np.asarray(Image.open(out)), [np.asarray(Image.open(picture)) for picture in pictures]


def places_of(picture: np.ndarray, sheet: np.ndarray) -> list[tuple[int, int]]:
    """Find where a picture stands on the sheet, every pixel of it alike."""
    height, width, _ = picture.shape
    rows, columns = np.nonzero((sheet == picture[0, 0]).all(axis=2))
    spots = zip(rows.tolist(), columns.tolist(), strict=True)
    return [(y, x) for y, x in spots if np.array_equal(sheet[y : y + height, x : x + width], picture)]


def test_two_choices_stand_side_by_side_pixel_for_pixel(tmp_path: Path) -> None:
    sheet, (left, right) = sheet_of(tmp_path, 2)
    ((y_left, x_left),) = places_of(left, sheet)
    ((y_right, x_right),) = places_of(right, sheet)
    assert y_left == y_right
    assert x_left + PICTURE_WIDTH < x_right


@pytest.mark.slow
def test_four_choices_stand_in_two_rows_of_two(tmp_path: Path) -> None:
    sheet, pictures = sheet_of(tmp_path, 4, height=400)
    places = [places_of(picture, sheet) for picture in pictures]
    assert [len(spots) for spots in places] == [1, 1, 1, 1]
    rows = [spots[0][0] for spots in places]
    assert rows[0] == rows[1] < rows[2] == rows[3]


@pytest.mark.slow
def test_draft_pictures_are_enlarged_so_that_grain_can_be_told_from_groove(tmp_path: Path) -> None:
    sheet, _ = sheet_of(tmp_path, 2, width=960, height=540)
    assert sheet.shape[1] > 2 * PICTURE_WIDTH


def test_a_close_up_of_its_own_stands_in_the_inset(tmp_path: Path) -> None:
    inset = noise_picture(tmp_path / "inset.png", 7, PICTURE_WIDTH // 2, 540)
    entry = Entry(noise_picture(tmp_path / "picture.png", 1), "Grain side up", FACTS, close_up=inset)
    sheet = np.asarray(Image.open(compare_sheet([entry], "Grain", tmp_path / "sheet.png")))
    assert len(places_of(np.asarray(Image.open(inset)), sheet)) == 1


def test_names_in_any_script_do_not_stop_the_sheet(tmp_path: Path) -> None:
    entry = Entry(noise_picture(tmp_path / "picture.png", 1), "Für Jürgen \u2013 木", FACTS)
    assert compare_sheet([entry], "Terrasse für zwei", tmp_path / "sheet.png").exists()


def test_a_sheet_of_nothing_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="at least one picture"):
        compare_sheet([], "Nothing", tmp_path / "sheet.png")

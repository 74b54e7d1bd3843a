"""The comparison sheet: what a client signs must show the pictures as they were rendered."""

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from courseline.engine.papers import sheet as sheets
from courseline.engine.papers.sheet import PICTURE_WIDTH, Entry, compare_sheet, drawn_sheet
from courseline.engine.papers.sheet_layout import MARGIN, PAGE, Box, lay_out

Image = pytest.importorskip("PIL.Image")
FACTS = (("Boards to order", "141"), ("Waste", "4.2 %"), ("Butt joints", "62"), ("Price", "GBP 4230.00"))
COUNTS = (2, 3, 4, 5)
CLOSE_UPS = ((180, 40, 40), (40, 180, 40), (40, 40, 180), (180, 180, 40), (40, 180, 180))
LONG = "12 boards more than the first of all these choices, and GBP 1,234.56 dearer."


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Draw sheets at a third of their size: where things stand does not hang on it."""
    monkeypatch.setattr(sheets, "PICTURE_WIDTH", PICTURE_WIDTH // 3)


def flat_entries(folder: Path, count: int) -> list[Entry]:
    """Choices of small flat pictures and close-ups, each with a price of its own."""
    entries = []
    for number in range(count):
        picture, near = folder / f"flat-{number}.png", folder / f"near-{number}.png"
        Image.new("RGB", (96, 54), (90, 90, 30 * number)).save(picture)
        Image.new("RGB", (60, 40), CLOSE_UPS[number]).save(near)
        facts = (*FACTS[:-1], ("Price of materials", f"GBP {7000 + number},500.00"))
        entries.append(Entry(picture, f"Choice {number}", facts, near, "3 boards more than A, and GBP 134.00 dearer."))
    return entries


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


@pytest.mark.slow
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


def test_draft_pictures_are_enlarged_so_that_grain_can_be_told_from_groove(tmp_path: Path) -> None:
    entries = [Entry(noise_picture(tmp_path / f"{i}.png", i, 96, 54), f"Choice {i}", FACTS) for i in range(2)]
    assert drawn_sheet(entries, "Deck").image.width > 2 * PICTURE_WIDTH


@pytest.mark.slow
def test_a_close_up_of_its_own_stands_in_the_inset(tmp_path: Path) -> None:
    sheet = drawn_sheet(flat_entries(tmp_path, 2), "Grain")
    for number, cell in enumerate(sheet.layout.cells):
        box = [round(value * sheet.scale) for value in (cell.close_up.left, cell.close_up.top)]
        size = [round(value * sheet.scale) - 2 for value in (cell.close_up.width, cell.close_up.height)]
        inset = np.asarray(sheet.image)[box[1] + 1 : box[1] + size[1], box[0] + 1 : box[0] + size[0]]
        assert (inset == CLOSE_UPS[number]).all()


def test_names_in_any_script_do_not_stop_the_sheet(small: None, tmp_path: Path) -> None:
    entries = [replace(each, label="Für Jürgen \u2013 木") for each in flat_entries(tmp_path, 2)]
    assert compare_sheet(entries, "Terrasse für zwei", tmp_path / "sheet.png").exists()


@pytest.mark.parametrize("count", [0, 1, 6])
def test_a_sheet_of_too_few_or_too_many_is_refused(count: int, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=f"holds 2 to 5 choices, not {count}"):
        compare_sheet([Entry(tmp_path / "none.png", "", ())] * count, "Nothing", tmp_path / "sheet.png")


# Where things stand


@pytest.mark.parametrize("count", COUNTS)
def test_nothing_on_the_page_overlaps_and_margins_are_kept(count: int) -> None:
    layout = lay_out(count)
    boxes = [layout.head, layout.foot]
    for cell in layout.cells:
        boxes += [cell.picture, cell.close_up, cell.label, cell.facts, cell.remark]
    assert not [(a, b) for a, b in combinations(boxes, 2) if a.overlaps(b) and overlap(a, b) > 1e-6]
    assert min(box.left for box in boxes) == pytest.approx(MARGIN)
    assert min(box.top for box in boxes) == pytest.approx(MARGIN)
    assert max(box.right for box in boxes) == pytest.approx(PAGE[0] - MARGIN)
    assert max(box.bottom for box in boxes) == pytest.approx(PAGE[1] - MARGIN)
    assert all(cell.picture.width / cell.picture.height == pytest.approx(16 / 9) for cell in layout.cells)
    assert all(cell.close_up.width <= 1.5 * cell.close_up.height + 1e-6 for cell in layout.cells)


def overlap(one: Box, other: Box) -> float:
    return (min(one.right, other.right) - max(one.left, other.left)) * (
        min(one.bottom, other.bottom) - max(one.top, other.top)
    )


def test_the_page_is_a_quarter_of_a_square_metre_halved_in_its_own_shape() -> None:
    """ISO 216:2007: A0 is 1 m2 at 1 : sqrt 2, A3 an eighth of it, sides rounded to whole mm."""
    assert PAGE[0] * PAGE[1] == pytest.approx(1e6 / 8, rel=0.003)
    assert PAGE[0] / PAGE[1] == pytest.approx(2**0.5, rel=0.002)


@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("wordy", [False, True], ids=["usual", "wordy"])
def test_no_text_leaves_its_place_or_runs_into_another(small: None, tmp_path: Path, count: int, wordy: bool) -> None:
    entries = flat_entries(tmp_path, count)
    if wordy:
        entries = [
            replace(each, label="Border of two boards, " + "mitred corners " * 4, remark=LONG) for each in entries
        ]
    title = "The house at the end of the long lane behind the church, " * (3 if wordy else 1)
    sheet = drawn_sheet(
        entries, title, question="Which? " + "The same deck. " * 9, seen="From above, " * 9, source="a plan"
    )
    boxes = [Box(a, b, c - a, d - b) for a, b, c, d in (each.box for each in sheet.written)]
    clashes = [
        (sheet.written[i].text, sheet.written[j].text)
        for i, j in combinations(range(len(boxes)), 2)
        if boxes[i].overlaps(boxes[j])
    ]
    assert not clashes
    left, right = (MARGIN - 0.5) * sheet.scale, (PAGE[0] - MARGIN + 0.5) * sheet.scale
    assert not [
        each.text for each, box in zip(sheet.written, boxes, strict=True) if box.left < left or box.right > right
    ]
    assert max(box.bottom for box in boxes) <= (PAGE[1] - MARGIN + 0.5) * sheet.scale
    for cell in sheet.layout.cells:
        for shown in (cell.picture, cell.close_up):
            part = Box(*(value * sheet.scale for value in (shown.left, shown.top, shown.width, shown.height)))
            assert not [each.text for each, box in zip(sheet.written, boxes, strict=True) if box.overlaps(part)]


@pytest.mark.parametrize("count", COUNTS)
def test_the_sheet_says_what_a_client_signs_for(small: None, tmp_path: Path, count: int) -> None:
    entries = flat_entries(tmp_path, count)
    words = [
        each.text for each in drawn_sheet(entries, "Teal Barn", question="Which side up?", source="a plan").written
    ]
    for text in ("Teal Barn", "Which side up?", "Chosen and agreed", "Date", "Prices and quantities from a plan."):
        assert words.count(text) == 1
    assert "Colours on screens and paper differ; a sample in hand decides." in " ".join(words)
    for number, entry in enumerate(entries):
        for text in (entry.label, "ABCDE"[number], entry.facts[-1][1]):
            assert words.count(text) == 1


@pytest.mark.slow
def test_text_is_legible_on_a4(small: None, tmp_path: Path) -> None:
    """No text of the usual length is smaller than 7 pt on A4 (common practice, no source: a footnote's size)."""
    for count in COUNTS:
        sheet = drawn_sheet(flat_entries(tmp_path, count), "Teal Barn", question="Which side up?", source="a plan")
        points = min(each.size for each in sheet.written) / sheet.scale * 72 / 25.4
        assert points * 2**-0.5 >= 6.9


def test_the_sheet_prints_as_a3(small: None, tmp_path: Path) -> None:
    with Image.open(compare_sheet(flat_entries(tmp_path, 2), "Deck", tmp_path / "sheet.png")) as sheet:
        inches = [pixels / dots for pixels, dots in zip(sheet.size, sheet.info["dpi"], strict=True)]
    assert [25.4 * inch for inch in inches] == pytest.approx(PAGE, abs=1.0)

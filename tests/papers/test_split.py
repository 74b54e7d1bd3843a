"""Two choices in one picture: each side of the line is that choice's own picture, pixel for pixel."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from courseline.engine.papers.split import MIDDLE, SLANT, Side, joined, middle_of, offsets, split_picture

Image = pytest.importorskip("PIL.Image")
SIZE = (1920, 1080)
FEATHER = 3.0
"""Half the line and its soft edge [pixels]."""


def noise(seed: int, size: tuple[int, int] = SIZE) -> np.ndarray:
    return np.random.default_rng(seed).integers(0, 256, (size[1], size[0], 3), dtype=np.uint8)


def saved(folder: Path, name: str, pixels: np.ndarray) -> Path:
    Image.fromarray(pixels).save(folder / name)
    return folder / name


@pytest.mark.slow
def test_either_side_of_the_line_is_one_choice_alone() -> None:
    left, right = noise(1), noise(2)
    both = joined(left, right, 900.0)
    off = right_of_line(900.0)
    assert np.array_equal(both[off < -FEATHER], left[off < -FEATHER])
    assert np.array_equal(both[off > FEATHER], right[off > FEATHER])
    assert (both[np.abs(off) < 0.5] > 245).all()  # the line itself
    assert (np.abs(off) <= FEATHER).mean() < 0.01


def right_of_line(middle: float) -> np.ndarray:
    """How far each pixel lies right of the line, by two of its points and nothing of the code that is tried."""
    width, height = SIZE
    head, foot = np.array([middle + SLANT * width / 2, 0.0]), np.array([middle - SLANT * width / 2, height])
    way = (head - foot) / np.linalg.norm(head - foot)
    y, x = np.mgrid[0:height, 0:width] + 0.5
    return (x - foot[0]) * -way[1] + (y - foot[1]) * way[0]


def test_the_line_is_a_diagonal() -> None:
    """From the foot, left of the middle, to the head, right of it, at 45 to 70 degrees (ours)."""
    width, height = SIZE
    off = offsets(height, width, width / 2)
    head, foot = (int(np.argmin(np.abs(off[row]))) for row in (0, height - 1))
    assert foot < width / 2 < head
    assert 45 < np.degrees(np.arctan2(height, head - foot)) < 70
    assert off[height // 2, width // 2] == pytest.approx(0.0, abs=1.0)


def test_each_choice_gets_half_of_what_differs() -> None:
    left = noise(3) // 2
    right = left.copy()
    right[600:, 400:1500] += 100
    differs = np.zeros(left.shape[:2], bool)
    differs[600:, 400:1500] = True
    share = (right_of_line(middle_of(left, right)) > 0)[differs].mean()
    assert share == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize(("columns", "share"), [(slice(0, 60), MIDDLE[0]), (slice(1860, None), MIDDLE[1])])
def test_the_line_stays_in_the_middle_of_the_picture(columns: slice, share: float) -> None:
    left = np.zeros((SIZE[1], SIZE[0], 3), np.uint8)
    right = left.copy()
    right[:, columns] = 200
    assert middle_of(left, right) == pytest.approx(share * SIZE[0])


def test_noise_between_two_renders_of_the_same_does_not_move_the_line() -> None:
    left = np.full((SIZE[1], SIZE[0], 3), 100, np.uint8)
    right = left + np.random.default_rng(4).integers(0, 6, left.shape, dtype=np.uint8)
    right[:, :700] += 3
    assert middle_of(left, right) == SIZE[0] / 2


@pytest.mark.slow
def test_the_picture_is_as_large_as_its_choices_and_names_both(tmp_path: Path) -> None:
    left, right = np.full((1080, 1920, 3), 90, np.uint8), np.full((1080, 1920, 3), 120, np.uint8)
    sides = (Side(saved(tmp_path, "a.png", left), "A  Grain"), Side(saved(tmp_path, "b.png", right), "B  Grooved"))
    with Image.open(split_picture(*sides, tmp_path / "made" / "split.png")) as picture:
        pixels = np.asarray(picture)
    assert pixels.shape == left.shape
    off = right_of_line(middle_of(left, right))
    for wanted, columns, side in ((left, slice(0, 960), off < -FEATHER), (right, slice(960, None), off > FEATHER)):
        part = np.zeros(side.shape, bool)
        part[:, columns] = side[:, columns]
        changed = part & (pixels != wanted).any(axis=2)
        rows, _ = np.nonzero(changed)
        assert rows.min() > 0.9 * 1080  # the label, low in its own corner
        assert 0.001 < changed.mean() < 0.02
        assert pixels[changed].max() > 240


def test_pictures_of_two_sizes_are_refused(tmp_path: Path) -> None:
    one, other = saved(tmp_path, "a.png", noise(1, (96, 54))), saved(tmp_path, "b.png", noise(2, (48, 27)))
    with pytest.raises(ValueError, match="96 x 54 and 48 x 27"):
        split_picture(Side(one, "A"), Side(other, "B"), tmp_path / "split.png")

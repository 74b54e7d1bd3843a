"""Two choices in one picture: taken from the same place, parted along a slanting line across the deck.

Needs Pillow, which is imported only when a picture is made.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from pathlib import Path

import numpy as np
import numpy.typing as npt

from .pen import Pen, typeface

SLANT = 0.36
"""How far the line leans to the right from the foot of the picture to its head, as a share of its width (ours): enough
to read as a diagonal, so little that both choices have foreground and distance."""
MIDDLE = (0.3, 0.7)
"""Between which shares of the picture's width the line crosses half its height (ours)."""
DIFFERENT = 12
"""Difference of two pixels above which the choices differ there, not the noise [of 255] (ours)."""
LINE = 0.0016
"""Width of the line as a share of the picture's width (ours): 3 pixels of 1920."""
_LINE_INK, _PLATE, _INK = (250, 250, 250), (24, 24, 24, 150), (250, 250, 250, 255)

Pixels = npt.NDArray[np.uint8]
Shares = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Side:
    """One side of the picture: the choice's picture and what to call it."""

    picture: Path
    label: str


def split_picture(left: Side, right: Side, out_png: Path) -> Path:
    """Write one picture of two: the first left of a slanting line, the second right of it.

    Parameters
    ----------
    left, right : Side
        Their pictures were taken by one camera, in one size.
    out_png : Path
        Where the picture goes; its folder is made if need be.

    Raises
    ------
    ValueError
        If the two pictures are not of one size.
    """
    from PIL import Image, ImageDraw

    first, second = _pixels(left.picture), _pixels(right.picture)
    if first.shape != second.shape:
        sizes = " and ".join(f"{each.shape[1]} x {each.shape[0]}" for each in (first, second))
        raise ValueError(f"two pictures of one camera are of one size; these are {sizes} pixels")
    picture = Image.fromarray(joined(first, second, middle_of(first, second))).convert("RGBA")
    plate = Image.new("RGBA", picture.size)
    draw = ImageDraw.Draw(plate)
    pen = Pen(draw, typeface((left.label, right.label)))
    size = round(picture.width / 64)
    inset, pad = 1.4 * size, 0.55 * size
    base = picture.height - inset - pad
    for text, x, anchor in ((left.label, inset + pad, "ls"), (right.label, picture.width - inset - pad, "rs")):
        fitting = pen.fitting(text, size, 0.42 * picture.width)
        x0, y0, x1, y1 = pen.box((x, base), text, fitting, anchor)
        draw.rounded_rectangle((x0 - pad, y0 - pad, x1 + pad, y1 + pad), radius=pad / 2, fill=_PLATE)
        pen.write((x, base), text, fitting, _INK, anchor)
    out_png.parent.mkdir(parents=True, exist_ok=True)
    Image.alpha_composite(picture, plate).convert("RGB").save(out_png)
    return out_png


def joined(left: Pixels, right: Pixels, middle: float) -> Pixels:
    """Join two pictures, (height, width, 3), along the line that crosses half their height at `middle` [pixels]."""
    height, width, _ = left.shape
    off = offsets(height, width, middle)
    share = np.clip(off + 0.5, 0.0, 1.0)[..., None]
    both = left * (1 - share) + right * share
    on_line = np.clip(LINE * width / 2 + 0.5 - np.abs(off), 0.0, 1.0)[..., None]
    result: Pixels = np.round(both * (1 - on_line) + np.array(_LINE_INK) * on_line).astype(np.uint8)
    return result


def offsets(height: int, width: int, middle: float) -> Shares:
    """Give how far each pixel's middle lies right of the line, (height, width) [pixels]."""
    run = SLANT * width
    y, x = np.mgrid[0:height, 0:width] + 0.5
    result: Shares = (x - middle - (height / 2 - y) * run / height) / np.hypot(1.0, run / height)
    return result


def middle_of(left: Pixels, right: Pixels) -> float:
    """Place the line so that it halves what differs: each choice gets as much of the deck."""
    height, width = int(left.shape[0]), int(left.shape[1])
    differs = np.abs(left.astype(np.int16) - right).max(axis=2) > DIFFERENT
    if not differs.any():
        return width / 2
    lean = hypot(1.0, SLANT * width / height)
    halves = lean * float(np.median(offsets(height, width, 0.0)[differs]))
    return min(max(halves, MIDDLE[0] * width), MIDDLE[1] * width)


def _pixels(path: Path) -> Pixels:
    from PIL import Image

    with Image.open(path) as picture:
        pixels: Pixels = np.asarray(picture.convert("RGB"), np.uint8)
    return pixels

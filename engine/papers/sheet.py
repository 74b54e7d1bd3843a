"""The comparison sheet: pictures of the choices side by side, each with its quantities, to judge and sign on.

Needs Pillow, which is imported only when a sheet is made.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

PICTURE_WIDTH = 1920
"""Least width of a picture [pixels]: below it grain and grooves cannot be told apart."""
CLOSE_UP_SHARE = 0.25
"""Share of a picture's width and height that its close-up shows, at twice the size."""
CLOSE_UP_CENTRE = (0.5, 0.8)
"""Where the close-up lies in the picture: low in the middle, on the boards near the viewer."""
ADVICE = "Colours on screens and paper differ; a sample in hand decides."

# A neutral sheet does not tint what stands on it.
_PAPER, _INK, _QUIET, _RULE = (250, 250, 250), (34, 34, 34), (122, 122, 122), (205, 205, 205)
_MARGIN, _GUTTER, _GAP = 130, 90, 48
_TITLE, _LABEL, _FACT, _NOTE = 84, 60, 46, 30
_HEAD, _FOOT = 240, 270
_BUNDLED = {*map(chr, range(32, 127)), "°", "·", "…"}
_SYSTEM_FONTS = ("DejaVuSans.ttf", "LiberationSans-Regular.ttf", "Arial.ttf", "Helvetica.ttc")


@dataclass(frozen=True, slots=True)
class Entry:
    """One choice: its picture, its name and its facts as (name, value), such as ("Boards to order", "141").

    `close_up` is a picture of its own for the inset; without one, the inset is cut from `picture`.
    """

    picture: Path
    label: str
    facts: tuple[tuple[str, str], ...]
    close_up: Path | None = None


def compare_sheet(entries: Sequence[Entry], title: str, out_png: Path, *, source: str = "") -> Path:
    """Write the comparison sheet of some choices.

    Parameters
    ----------
    entries : sequence of Entry
        Two stand side by side, more in two columns. Pictures should be of one shape and at least
        `PICTURE_WIDTH` wide: then they stand on the sheet pixel for pixel; narrower ones are enlarged.
    title : str
        What is compared, for whom.
    out_png : Path
        Where the sheet goes; its folder is made if need be.
    source : str, optional
        What quantities and prices come from, for the footer: "plan version 0.1.0".

    Returns
    -------
    Path
        `out_png`.

    Raises
    ------
    ValueError
        If there is no entry.
    """
    if not entries:
        raise ValueError("a comparison sheet needs at least one picture")
    from PIL import Image, ImageDraw

    pictures = [_opened(entry.picture) for entry in entries]
    width = max(PICTURE_WIDTH, *(picture.width for picture in pictures))
    pictures = [_as_wide(picture, width) for picture in pictures]
    height = max(picture.height for picture in pictures)
    close_height = round(height * CLOSE_UP_SHARE * 2)
    columns = min(2, len(entries))
    rows = -(-len(entries) // columns)
    cell = height + _GAP + close_height + _GUTTER
    size = (2 * _MARGIN + columns * width + (columns - 1) * _GUTTER, _HEAD + rows * cell + _FOOT)

    sheet = Image.new("RGB", size, _PAPER)
    pen = _Pen(ImageDraw.Draw(sheet), _typeface((title, source, *(e.label for e in entries), *_words(entries))))
    pen.write((_MARGIN, 170), title, _TITLE)
    for number, (entry, picture) in enumerate(zip(entries, pictures, strict=True)):
        left = _MARGIN + number % columns * (width + _GUTTER)
        top = _HEAD + number // columns * cell
        sheet.paste(picture, (left, top))
        under = top + height + _GAP
        close_up = _close_up(entry, picture, (width // 2, close_height))
        sheet.paste(close_up, (left + width - close_up.width, under))
        _caption(pen, entry, left, under, close_height, width // 2 - _GAP)
    _footer(pen, size, source)

    out_png.parent.mkdir(parents=True, exist_ok=True)
    sheet.save(out_png)
    return out_png


@dataclass(frozen=True, slots=True)
class _Pen:
    """Writes in one typeface; `system` names a font file for letters that the bundled one lacks."""

    draw: ImageDraw
    system: str | None

    def font(self, size: int) -> FreeTypeFont:
        from PIL import ImageFont

        if self.system is not None:
            return ImageFont.truetype(self.system, size)
        font = ImageFont.load_default(size)
        assert isinstance(font, ImageFont.FreeTypeFont)  # so it is whenever a size is given
        return font

    def write(
        self, at: tuple[float, float], text: str, size: int, colour: tuple[int, int, int] = _INK, anchor: str = "ls"
    ) -> None:
        self.draw.text(at, self._spelt(text), font=self.font(size), fill=colour, anchor=anchor)

    def fitting(self, text: str, size: int, room: float) -> int:
        """Return the largest size up to `size` at which the text is no longer than `room`."""
        length = self.font(size).getlength(self._spelt(text))
        return size if length <= room else int(size * room / length)

    def _spelt(self, text: str) -> str:
        """Leave out accents and signs where no font has them, rather than print boxes."""
        if self.system is not None:
            return text
        plain = unicodedata.normalize("NFKD", text.replace("\u2013", "-").replace("£", "GBP ").replace("€", "EUR "))
        return "".join(letter for letter in plain if letter in _BUNDLED)


def _typeface(texts: Sequence[str]) -> str | None:
    """Return None for Pillow's bundled typeface, or a font of this machine if the texts need more letters."""
    from PIL import ImageFont

    if set("".join(texts)) <= _BUNDLED:
        return None
    for name in _SYSTEM_FONTS:
        try:
            ImageFont.truetype(name, 12)
        except OSError:
            continue
        return name
    return None


def _words(entries: Sequence[Entry]) -> list[str]:
    return [word for entry in entries for fact in entry.facts for word in fact]


def _opened(path: Path) -> Image:
    from PIL import Image

    with Image.open(path) as picture:
        return picture.convert("RGB")


def _as_wide(picture: Image, width: int) -> Image:
    """Enlarge a picture to a width; one that has it stays as it is."""
    from PIL.Image import Resampling

    if picture.width == width:
        return picture
    return picture.resize((width, round(picture.height * width / picture.width)), Resampling.LANCZOS)


def _close_up(entry: Entry, picture: Image, size: tuple[int, int]) -> Image:
    """Return the inset: the entry's own close-up, or a part of its picture at twice the size."""
    from PIL.Image import Resampling

    if entry.close_up is not None:
        from PIL import ImageOps

        return ImageOps.fit(_opened(entry.close_up), size, Resampling.LANCZOS)
    wide, high = size[0] / 2, size[1] / 2
    left = CLOSE_UP_CENTRE[0] * picture.width - wide / 2
    top = min(CLOSE_UP_CENTRE[1] * picture.height - high / 2, picture.height - high)
    return picture.resize(size, Resampling.BICUBIC, box=(left, top, left + wide, top + high))


def _caption(pen: _Pen, entry: Entry, left: int, top: int, height: int, room: int) -> None:
    """Write the choice's name with a box to tick, and its facts as a quiet table."""
    box = 44
    base = top + 58
    pen.draw.rectangle((left, base - box, left + box, base), outline=_INK, width=3)
    name_left = left + box + 28
    pen.write((name_left, base), entry.label, pen.fitting(entry.label, _LABEL, room - box - 28))
    line = min(92, (height - 120) // max(1, len(entry.facts)))
    for number, (name, value) in enumerate(entry.facts, start=1):
        base = top + 84 + number * line
        pen.write((left, base), name, pen.fitting(name, _FACT - 8, room * 0.5), _QUIET)
        pen.write((left + room, base), value, pen.fitting(value, _FACT, room * 0.48), anchor="rs")
        pen.draw.line((left, base + 24, left + room, base + 24), fill=_RULE, width=2)


def _footer(pen: _Pen, size: tuple[int, int], source: str) -> None:
    """Write where the figures come from, the advice, and the lines to sign on."""
    width, height = size
    base = height - 110
    pen.write((_MARGIN, base - 44), ADVICE, _NOTE, _QUIET)
    if source:
        pen.write((_MARGIN, base), f"Prices and quantities from {source}.", _NOTE, _QUIET)
    for name, start, end in (("Chosen and agreed", width - 1500, width - 560), ("Date", width - 500, width - _MARGIN)):
        pen.draw.line((start, base - 44, end, base - 44), fill=_INK, width=2)
        pen.write((start, base), name, _NOTE, _QUIET)

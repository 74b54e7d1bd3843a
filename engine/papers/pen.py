"""Text on a picture, in one typeface; needs Pillow, which is imported only when something is written."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

Ink = tuple[int, ...]
_BUNDLED = {*map(chr, range(32, 127)), "°", "·", "…"}
_SYSTEM_FONTS = ("DejaVuSans.ttf", "LiberationSans-Regular.ttf", "Arial.ttf", "Helvetica.ttc")


@dataclass(frozen=True, slots=True)
class Written:
    """What was written, in which size, and the rectangle it takes: left, top, right, bottom [pixels]."""

    text: str
    size: int
    box: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Pen:
    """Writes in one typeface and keeps count; `system` names a font file for letters that the bundled one lacks."""

    draw: ImageDraw
    system: str | None
    written: list[Written] = field(default_factory=list)

    def font(self, size: int) -> FreeTypeFont:
        """Return the typeface in a size [pixels]."""
        from PIL import ImageFont

        if self.system is not None:
            return ImageFont.truetype(self.system, size)
        font = ImageFont.load_default(size)
        assert isinstance(font, ImageFont.FreeTypeFont)  # so it is whenever a size is given
        return font

    def write(self, at: tuple[float, float], text: str, size: int, ink: Ink, anchor: str = "ls") -> None:
        """Write a line of text; `anchor` is Pillow's: "ls" begins at a base line, "rs" ends at it."""
        spelt = self._spelt(text)
        if spelt:
            self.draw.text(at, spelt, font=self.font(size), fill=ink, anchor=anchor)
            self.written.append(Written(text, size, self.box(at, text, size, anchor)))

    def box(self, at: tuple[float, float], text: str, size: int, anchor: str) -> tuple[float, float, float, float]:
        """Return the rectangle that a line of text takes: left, top, right, bottom [pixels]."""
        return self.draw.textbbox(at, self._spelt(text), font=self.font(size), anchor=anchor)

    def fitting(self, text: str, size: int, room: float) -> int:
        """Return the largest size up to `size` at which the text is no longer than `room`."""
        length = self.length(text, size)
        if length <= room:
            return size
        fits = max(1, int(size * room / length))
        while fits > 1 and self.length(text, fits) > room:  # letters are set on whole pixels
            fits -= 1
        return fits

    def length(self, text: str, size: int) -> float:
        """Return how long a line of text is [pixels]."""
        return self.font(size).getlength(self._spelt(text))

    def lines(self, text: str, size: int, room: float) -> list[str]:
        """Break a text into lines no longer than `room`, between words."""
        lines = [""]
        for word in text.split():
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and self.length(longer, size) > room:
                lines.append(word)
            else:
                lines[-1] = longer
        return lines

    def _spelt(self, text: str) -> str:
        """Leave out accents and signs where no font has them, rather than print boxes."""
        if self.system is not None:
            return text
        plain = unicodedata.normalize("NFKD", text.replace("\u2013", "-").replace("£", "GBP ").replace("€", "EUR "))
        return "".join(letter for letter in plain if letter in _BUNDLED)


def typeface(texts: Sequence[str]) -> str | None:
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

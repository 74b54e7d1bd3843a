"""The comparison sheet: pictures of the choices side by side, each with its quantities, to judge and sign on.

Needs Pillow, which is imported only when a sheet is made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from . import sheet_layout as mm
from .pen import Ink, Pen, Written, typeface
from .sheet_layout import Box, Cell, Layout, lay_out

if TYPE_CHECKING:
    from PIL.Image import Image

PICTURE_WIDTH = 1920
"""Least width of a picture [pixels]: below it grain and grooves cannot be told apart."""
CLOSE_UP_SHARE = 0.25
"""Share of a picture's width that stands in for a close-up where a choice has none of its own."""
CLOSE_UP_CENTRE = (0.5, 0.8)
"""Where that part lies in the picture: low in the middle, on the boards near the viewer."""
ADVICE = "Colours on screens and paper differ; a sample in hand decides."
LETTERS = "ABCDE"
"""What the choices are called."""
CLOSE_UP_NOTE = "Each close-up shows boards from near by, in the light of the picture."

# A neutral sheet does not tint what stands on it.
_PAPER, _INK, _QUIET, _RULE = (250, 250, 250), (34, 34, 34), (104, 104, 104), (205, 205, 205)
_TICK, _LETTER = 6.5, 10.0  # mm: the box to tick, and from it to the choice's name, past its letter
_SIGNATURE, _DATE, _BETWEEN, _SIGN_HERE = 92.0, 40.0, 8.0, 28.0  # mm: lines to write on, and room above them


@dataclass(frozen=True, slots=True)
class Entry:
    """One choice: its picture, its name and its facts as (name, value), such as ("Boards to order", "141").

    The last fact is the one that decides, and is written larger. `remark` is a sentence below the facts: what differs
    from the first choice. `close_up` is a picture of its own for the inset; without one, the inset is cut from
    `picture`.
    """

    picture: Path
    label: str
    facts: tuple[tuple[str, str], ...]
    close_up: Path | None = None
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet as drawn: its image, how many pixels a millimetre has, where all stands and what was written on it."""

    image: Image
    scale: float
    layout: Layout
    written: tuple[Written, ...]


def compare_sheet(
    entries: Sequence[Entry], title: str, out_png: Path, *, question: str = "", seen: str = "", source: str = ""
) -> Path:
    """Write the comparison sheet of some choices, A3 landscape. Parameters are those of `drawn_sheet`.

    Returns
    -------
    Path
        `out_png`; its folder is made if need be.
    """
    sheet = drawn_sheet(entries, title, question=question, seen=seen, source=source)
    out_png.parent.mkdir(parents=True, exist_ok=True)
    dots = 25.4 * sheet.scale
    sheet.image.save(out_png, dpi=(dots, dots))
    return out_png


def drawn_sheet(entries: Sequence[Entry], title: str, *, question: str = "", seen: str = "", source: str = "") -> Sheet:
    """Draw the comparison sheet of some choices.

    Parameters
    ----------
    entries : sequence of Entry
        Two to `sheet_layout.MOST`. Pictures should be 16:9 and all as wide, at least `PICTURE_WIDTH`: then they stand
        on the sheet pixel for pixel; narrower ones are enlarged, and those of other shapes fitted in.
    title : str
        Whose deck it is.
    question : str, optional
        What is to be chosen: "Which side up?"
    seen : str, optional
        From where and when the deck is seen.
    source : str, optional
        What quantities and prices come from, for the footer: "plan version 0.1.0".

    Raises
    ------
    ValueError
        If there are fewer or more than a sheet holds.
    """
    from PIL import Image, ImageDraw

    layout = lay_out(len(entries))
    pictures = [_opened(entry.picture) for entry in entries]
    width = max(PICTURE_WIDTH, *(picture.width for picture in pictures))
    scale = width / layout.cells[0].picture.width
    image = Image.new("RGB", (round(mm.PAGE[0] * scale), round(mm.PAGE[1] * scale)), _PAPER)
    words = [title, question, seen, source, *(text for entry in entries for text in _texts(entry))]
    hand = _Hand(Pen(ImageDraw.Draw(image), typeface(words)), scale)
    _head(hand, layout.head, title, question, seen)
    for number, (entry, picture, cell) in enumerate(zip(entries, pictures, layout.cells, strict=True)):
        _paste(image, hand, _fitted(picture, width), cell.picture)
        _paste(image, hand, _close_up(entry, picture, hand.size(cell.close_up)), cell.close_up)
        _words(hand, cell, entry, LETTERS[number])
    _foot(hand, layout.foot, source)
    return Sheet(image, scale, layout, tuple(hand.pen.written))


@dataclass(frozen=True, slots=True)
class _Hand:
    """A pen that works in millimetres."""

    pen: Pen
    scale: float

    def pixels(self, *lengths: float) -> tuple[int, ...]:
        return tuple(round(length * self.scale) for length in lengths)

    def size(self, box: Box) -> tuple[int, int]:
        left, top, right, bottom = self.pixels(box.left, box.top, box.right, box.bottom)
        return right - left, bottom - top

    def write(self, at: tuple[float, float], text: str, size: float, ink: Ink = _INK, anchor: str = "ls") -> None:
        x, y = self.pixels(*at)
        self.pen.write((x, y), text, self.pixels(size)[0], ink, anchor)

    def fitting(self, text: str, size: float, room: float) -> float:
        return self.pen.fitting(text, self.pixels(size)[0], room * self.scale) / self.scale

    def lines(self, text: str, size: float, room: float) -> list[str]:
        return self.pen.lines(text, self.pixels(size)[0], room * self.scale) if text else []

    def rule(self, left: float, right: float, at: float, ink: Ink = _RULE) -> None:
        self.pen.draw.line(self.pixels(left, at, right, at), fill=ink, width=max(1, self.pixels(0.2)[0]))


def _texts(entry: Entry) -> list[str]:
    return [entry.label, entry.remark, *(word for fact in entry.facts for word in fact)]


def _opened(path: Path) -> Image:
    from PIL import Image

    with Image.open(path) as picture:
        return picture.convert("RGB")


def _fitted(picture: Image, width: int) -> Image:
    """Bring a picture to a width, or to its part of it where it is taller than the sheet's pictures."""
    from PIL.Image import Resampling

    height = round(width / mm.PICTURE_SHAPE)
    share = min(width / picture.width, height / picture.height)
    if share == 1.0:
        return picture
    return picture.resize((round(picture.width * share), round(picture.height * share)), Resampling.LANCZOS)


def _paste(image: Image, hand: _Hand, picture: Image, box: Box) -> None:
    """Paste a picture into its box: at the top, and in the middle of its width."""
    left, top = hand.pixels(box.left, box.top)
    image.paste(picture, (left + (hand.size(box)[0] - picture.width) // 2, top))


def _close_up(entry: Entry, picture: Image, size: tuple[int, int]) -> Image:
    """Return the inset: the entry's own close-up, cropped at its sides, or a part of its picture enlarged."""
    from PIL import ImageOps
    from PIL.Image import Resampling

    if entry.close_up is not None:
        return ImageOps.fit(_opened(entry.close_up), size, Resampling.LANCZOS)
    wide = CLOSE_UP_SHARE * picture.width
    high = min(wide * size[1] / size[0], picture.height)
    left = CLOSE_UP_CENTRE[0] * picture.width - wide / 2
    top = min(CLOSE_UP_CENTRE[1] * picture.height - high / 2, picture.height - high)
    return picture.resize(size, Resampling.BICUBIC, box=(left, top, left + wide, top + high))


def _head(hand: _Hand, box: Box, title: str, question: str, seen: str) -> None:
    """Write whose deck it is, what is asked, and from where it is seen."""
    hand.write((box.left, box.top + 7.0), title, hand.fitting(title, mm.TITLE, box.width))
    base = box.top + 16.0
    room = box.width / 2 - mm.GUTTER
    hand.write((box.left, base), question, hand.fitting(question, mm.QUESTION, room))
    hand.write((box.right, base), seen, hand.fitting(seen, mm.NOTE, room), _QUIET, "rs")


def _words(hand: _Hand, cell: Cell, entry: Entry, letter: str) -> None:
    """Write the choice's name with a box to tick, its facts as a quiet table, and what differs."""
    box = cell.label
    frame = hand.pixels(box.left, box.top, box.left + _TICK, box.top + _TICK)
    hand.pen.draw.rectangle(frame, outline=_INK, width=max(2, hand.pixels(0.3)[0]))
    base = box.top + _TICK / 2 + 0.36 * mm.LABEL
    named = box.left + _TICK + _LETTER
    hand.write((box.left + _TICK + 3.0, base), letter, mm.LABEL)
    hand.write((named, base), entry.label, hand.fitting(entry.label, mm.LABEL, box.right - named))
    _facts(hand, cell, entry.facts)
    box = cell.remark
    lines = hand.lines(entry.remark, mm.REMARK, box.width)
    # Of one line or of two: smaller where a box holds no more.
    size = min(mm.REMARK, box.height / (1.35 * max(1, len(lines))))
    for number, line in enumerate(lines):
        hand.write((box.left, box.top + (1.4 + 1.3 * number) * size), line, size)


def _facts(hand: _Hand, cell: Cell, facts: Sequence[tuple[str, str]]) -> None:
    """Write facts as a table in one or two columns, the last one larger."""
    box = cell.facts
    rows = max(1, -(-len(facts) // cell.columns))
    pitch = min(mm.ROW, box.height / (rows - 1 + mm.ROW_OF_PRICE))
    width = (box.width - (cell.columns - 1) * mm.GUTTER) / cell.columns
    for number, (name, value) in enumerate(facts):
        left = box.left + number // rows * (width + mm.GUTTER)
        row, last = number % rows, number == len(facts) - 1
        line = box.top + (row + (1 if row < rows - 1 else mm.ROW_OF_PRICE)) * pitch
        base = line - 0.27 * pitch
        size = min(mm.LABEL if last else mm.FACT, (0.75 if last else 0.62) * pitch)
        quiet = min(mm.FACT - 1.5 * mm.POINT, 0.55 * pitch)
        hand.write((left, base), name, hand.fitting(name, quiet, 0.5 * width), _QUIET)
        hand.write((left + width, base), value, hand.fitting(value, size, 0.48 * width), anchor="rs")
        hand.rule(left, left + width, line)


def _foot(hand: _Hand, box: Box, source: str) -> None:
    """Write the advice, where the figures come from, and the lines to sign on."""
    beside = box.width > 2 * (_SIGNATURE + _DATE)
    room = box.width - (_SIGNATURE + _DATE + 3 * _BETWEEN) if beside else box.width
    notes = [(line, mm.FACT, _INK) for line in hand.lines(ADVICE, mm.FACT, room)]
    figures = f"Prices and quantities from {source}." if source else ""
    for text in (CLOSE_UP_NOTE, figures):
        notes += [(line, mm.NOTE, _QUIET) for line in hand.lines(text, mm.NOTE, room)]
    above = 0.3 * mm.NOTE if beside else _SIGN_HERE
    base = box.bottom - above - 1.5 * sum(size for _, size, _ in notes[1:])
    for number, (text, size, ink) in enumerate(notes):
        base += 1.5 * size if number else 0.0
        hand.write((box.left, base), text, size, ink)
    line = box.bottom - 1.5 * mm.NOTE
    share = min(1.0, box.width / (_SIGNATURE + _BETWEEN + _DATE))
    date = box.right - share * _DATE
    signature = date - share * (_BETWEEN + _SIGNATURE)
    for name, start, end in (("Chosen and agreed", signature, date - share * _BETWEEN), ("Date", date, box.right)):
        hand.rule(start, end, line, _INK)
        hand.write((start, box.bottom - 0.3 * mm.NOTE), name, mm.NOTE, _QUIET)

"""Where everything stands on a comparison sheet: A3 landscape, on A4 at 71 % of the size.

Lengths in mm from the sheet's upper left corner; text sizes in mm as well (1 pt is 0.353 mm). The smallest text is
10 pt on A3, so that on A4 it is 7 pt, as a footnote is (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass

PAGE = (420.0, 297.0)
"""A3 landscape (ISO 216:2007): half a square metre twice halved, in the ratio of the square root of two."""
MARGIN = 14.0
PICTURE_SHAPE = 16 / 9
FEWEST, MOST = 2, 5
"""How many choices a sheet holds (ours): more are not weighed against each other, and print too small."""
POINT = 25.4 / 72
TITLE, QUESTION, LABEL, FACT, REMARK, NOTE = (size * POINT for size in (26, 14, 18, 13, 11.5, 10))
HEAD = 36.0
"""Where the first row of choices begins: below title and question."""
FOOT = 27.0
"""Height of the footer: the advice, where figures come from, and the lines to sign on."""
GUTTER, ROW_GAP = 10.0, 8.0
GAP = 4.5
LABEL_HEIGHT, REMARK_HEIGHT = 7.5, 6.5
ROW, ROW_OF_PRICE = 9.5, 1.25
"""Height of a row of facts where there is room, and how much higher that of the price is."""
CLOSE_UP_SHAPE = 1.5
"""Most that a close-up is wide for its height: a wider one would lose a part of its two boards."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the sheet [mm]."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right side."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Its lower side."""
        return self.top + self.height

    def overlaps(self, other: Box) -> bool:
        """Whether two rectangles share more than a side."""
        apart = self.right <= other.left or other.right <= self.left
        return not (apart or self.bottom <= other.top or other.bottom <= self.top)


@dataclass(frozen=True, slots=True)
class Cell:
    """Where one choice stands: picture, close-up, name, facts in one or two columns, and what differs."""

    picture: Box
    close_up: Box
    label: Box
    facts: Box
    remark: Box
    columns: int = 1


@dataclass(frozen=True, slots=True)
class Layout:
    """A whole sheet."""

    cells: tuple[Cell, ...]
    head: Box
    foot: Box


def lay_out(count: int) -> Layout:
    """Lay out a sheet.

    Parameters
    ----------
    count : int
        How many choices, `FEWEST` to `MOST`. Up to three stand in a row, four in two rows of two, five in rows of three
        and two with the footer in the sixth place.

    Raises
    ------
    ValueError
        If no sheet holds so many.
    """
    if not FEWEST <= count <= MOST:
        raise ValueError(f"a comparison sheet holds {FEWEST} to {MOST} choices, not {count}")
    inner = Box(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN)
    head = Box(inner.left, inner.top, inner.width, HEAD - MARGIN)
    columns, rows = {2: (2, 1), 3: (3, 1), 4: (2, 2), 5: (3, 2)}[count]
    foot_inside = count == MOST
    width = (inner.width - (columns - 1) * GUTTER) / columns
    room = inner.bottom - HEAD - (0 if foot_inside else FOOT)
    height = (room - (rows - 1) * ROW_GAP) / rows
    lefts = [inner.left + column * (width + GUTTER) for column in range(columns)]
    tops = [HEAD + row * (height + ROW_GAP) for row in range(rows)]
    places = [Box(left, top, width, height) for top in tops for left in lefts]
    foot = places[-1] if foot_inside else Box(inner.left, inner.bottom - FOOT, inner.width, FOOT)
    make = {2: _side_by_side, 3: _tall, 4: _strip, 5: _compact}[count]
    return Layout(tuple(make(place) for place in places[:count]), head, foot)


def _side_by_side(place: Box) -> Cell:
    """The picture over the whole width, below it the name; below that words at the left, the close-up at the right."""
    picture = Box(place.left, place.top, place.width, place.width / PICTURE_SHAPE)
    label = Box(place.left, picture.bottom + GAP, place.width, LABEL_HEIGHT)
    top = label.bottom + GAP
    height = min(place.bottom - top, 0.45 * place.width)
    width = 0.48 * place.width
    facts = Box(place.left, top, place.width - width - 1.5 * GAP, (3 + ROW_OF_PRICE) * ROW)
    return Cell(picture, Box(place.right - width, top, width, height), label, facts, _below(facts, top + height))


def _compact(place: Box) -> Cell:
    """As `_side_by_side` in less height: what differs goes over the whole width at the foot."""
    picture = Box(place.left, place.top, place.width, place.width / PICTURE_SHAPE)
    label = Box(place.left, picture.bottom + GAP, place.width, LABEL_HEIGHT)
    top = label.bottom + 0.5 * GAP
    height = place.bottom - REMARK_HEIGHT - top
    width = CLOSE_UP_SHAPE * height
    facts = Box(place.left, top, place.width - width - 1.5 * GAP, height)
    remark = Box(place.left, facts.bottom, place.width, REMARK_HEIGHT)
    return Cell(picture, Box(place.right - width, top, width, height), label, facts, remark)


def _tall(place: Box) -> Cell:
    """The picture, below it the name, the words and the close-up, each over the whole width."""
    picture = Box(place.left, place.top, place.width, place.width / PICTURE_SHAPE)
    label = Box(place.left, picture.bottom + GAP, place.width, LABEL_HEIGHT)
    facts = Box(place.left, label.bottom, place.width, (3 + ROW_OF_PRICE) * ROW)
    top = facts.bottom + REMARK_HEIGHT + GAP
    close_up = Box(place.left, top, place.width, min(place.bottom - top, place.width / 1.5))
    return Cell(picture, close_up, label, facts, _below(facts, top - GAP))


def _strip(place: Box) -> Cell:
    """Picture and close-up side by side, equally high; below them the name, and facts in two columns."""
    high = 66.0
    picture = Box(place.left, place.top, high * PICTURE_SHAPE, high)
    close_up = Box(picture.right + GAP, place.top, place.right - picture.right - GAP, high)
    label = Box(place.left, picture.bottom + GAP, place.width, LABEL_HEIGHT)
    facts = Box(place.left, label.bottom, place.width, place.bottom - REMARK_HEIGHT - label.bottom)
    return Cell(picture, close_up, label, facts, _below(facts, place.bottom), columns=2)


def _below(facts: Box, bottom: float) -> Box:
    """The room for what differs, between the facts and what comes below them."""
    return Box(facts.left, facts.bottom, facts.width, bottom - facts.bottom)

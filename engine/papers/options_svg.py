"""Price against waste of every way to lay a deck, as a drawing (SVG 1.1)."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from ..options import Option, Options
from .labels import Label, place
from .options_words import numbers, way_of

WIDTH, HEIGHT = 1120, 720
LEFT, RIGHT, TOP, BOTTOM = 96, 680, 108, 640
"""The frame that points lie in."""
KEY = 724
"""Where the key begins."""
RADIUS = 6.0
INKS = {"half": "#0072b2", "third": "#d55e00", "scattered": "#009e73", "none": "#cc79a7"}
"""Colours told apart also by the colour-blind: M. Okabe and K. Ito, Color Universal Design (2008), from memory."""
INK, FAINT, GREY, GRID = "#222222", "#666666", "#a8a8a8", "#e2e2e2"
SAME_PLACE = 2 * RADIUS
"""Points no further apart share a label."""
HEADED = {None: "as each zone has it", 0.0: "along the start edge", 90.0: "square to the start edge"}
LISTED = 12
"""Ways that no other beats are written out beside the drawing up to this many; the rest is in the table (ours)."""
ROOM = 0.08
"""Share of an axis left free at either end (ours)."""
TICKS = 6


@dataclass(frozen=True, slots=True)
class _Axis:
    """Values from one end to the other, laid out from one place to another."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def ticks(self) -> list[float]:
        """Round values, about as many as `TICKS`."""
        rough = (self.high - self.low) / TICKS
        power = 10 ** math.floor(math.log10(rough))
        step = next(power * n for n in (1, 2, 5, 10) if power * n >= 0.8 * rough)
        first, last = math.ceil(self.low / step - 1e-9), math.floor(self.high / step + 1e-9)
        return [n * step for n in range(first, last + 1)]


def options_svg(options: Options) -> str:
    """Draw each way that comes to something of its own as a point, and write out those that no other beats.

    Points are filled where no other way beats them, hollow where one does, and small and grey where something is
    against them; their colour tells the joint pattern, their shape how boards run.
    """
    shown = [row for row in options.different if row.figures is not None]
    drawn = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" viewBox="0 0 {WIDTH} {HEIGHT}" '
        'font-family="Helvetica, Arial, sans-serif" font-size="13">',
        f"<title>{escape(f'Options: {options.site.name}')}</title>",
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>',
        _text(LEFT, 40, f"Price against waste: {options.site.name}", size=20, weight="bold"),
        _text(LEFT, 64, f"{len(options.rows)} ways to lay it, each searched with effort {options.effort}.", ink=FAINT),
    ]
    if shown:
        wastes = _axis([100 * row.figures.waste for row in shown if row.figures], LEFT, RIGHT)
        prices = _axis([float(row.figures.price) for row in shown if row.figures], BOTTOM, TOP)
        drawn += _frame(options, wastes, prices)
        drawn += _points(shown, lambda row: _place(row, wastes, prices))
        drawn += _key(options, shown)
    else:
        drawn.append(_text(LEFT, 120, "None of these ways can be laid."))
    return "\n".join([*drawn, "</svg>", ""])


def _axis(values: list[float], start: float, end: float) -> _Axis:
    low, high = min(values), max(values)
    spare = ROOM * (high - low) or max(0.05 * abs(high), 0.5)
    return _Axis(low - spare, high + spare, start, end)


def _place(row: Option, wastes: _Axis, prices: _Axis) -> tuple[float, float]:
    assert row.figures is not None
    return wastes.at(100 * row.figures.waste), prices.at(float(row.figures.price))


def _frame(options: Options, wastes: _Axis, prices: _Axis) -> list[str]:
    drawn = []
    for value in wastes.ticks():
        x = wastes.at(value)
        drawn += [_line(x, TOP, x, BOTTOM, GRID), _text(x, BOTTOM + 20, f"{value:g} %", anchor="middle", ink=FAINT)]
    for value in prices.ticks():
        y = prices.at(value)
        drawn += [_line(LEFT, y, RIGHT, y, GRID), _text(LEFT - 10, y + 4.5, f"{value:,.10g}", anchor="end", ink=FAINT)]
    drawn += [_line(LEFT, BOTTOM, RIGHT, BOTTOM, FAINT), _line(LEFT, TOP, LEFT, BOTTOM, FAINT)]
    drawn.append(_text((LEFT + RIGHT) / 2, BOTTOM + 46, "waste of the boards bought", anchor="middle"))
    taxed = " with tax" if options.site.prices.tax else ""
    drawn.append(_text(LEFT, TOP - 12, f"price of the whole order{taxed}, {options.site.prices.currency}"))
    return drawn


def _points(shown: Sequence[Option], at: Callable[[Option], tuple[float, float]]) -> list[str]:
    """Points, those that matter most on top, and labels of those that no other beats and of the site's own."""
    groups: list[list[Option]] = []
    for row in (row for row in shown if row.unbeaten or row.number == 1):
        near = next((own for own in groups if math.dist(at(own[0]), at(row)) <= SAME_PLACE), None)
        groups.append([row]) if near is None else near.append(row)
    named = [(at(own[0]), numbers(row.number for row in own)) for own in groups]
    first = {own[0].number for own in groups}
    others = [at(row) for row in shown if row.number not in first]
    labels = place(named, others, 13, RADIUS + 2, (LEFT, TOP, RIGHT, BOTTOM))
    leaders = [_leader(point, label) for (point, _), label in zip(named, labels, strict=True)]
    marks = [_mark(row, *at(row)) for row in reversed(shown)]
    written = [_text(label.at[0], label.at[1] + 4.5, label.text, anchor="middle", weight="bold") for label in labels]
    return [*filter(None, leaders), *marks, *written]


def _leader(point: tuple[float, float], label: Label) -> str:
    """A line from a label to its point where the two lie apart."""
    x = min(max(point[0], label.box[0]), label.box[2])
    y = min(max(point[1], label.box[1]), label.box[3])
    return _line(*point, x, y, FAINT) if math.dist(point, (x, y)) > RADIUS + 7 else ""


def _mark(row: Option, x: float, y: float) -> str:
    ink = INKS[row.choice.joints]
    if row.faults and not row.unbeaten:
        return _shape(row.choice.direction, x, y, GREY, "#ffffff", RADIUS - 2)
    return _shape(row.choice.direction, x, y, ink, ink if row.unbeaten else "#ffffff")


def _shape(direction: float | None, x: float, y: float, ink: str, fill: str, radius: float = RADIUS) -> str:
    """A point: round where boards run along the start edge, square where square to it, else on its corner."""
    style = f'fill="{fill}" stroke="{ink}" stroke-width="1.8"'
    if direction == 0.0:
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" {style}/>'
    if direction == 90.0:
        side = 1.8 * radius
        corner = f'x="{x - side / 2:.1f}" y="{y - side / 2:.1f}"'
        return f'<rect {corner} width="{side:g}" height="{side:g}" {style}/>'
    reach = 1.3 * radius
    ends = f"{x:.1f},{y - reach:.1f} {x + reach:.1f},{y:.1f} {x:.1f},{y + reach:.1f} {x - reach:.1f},{y:.1f}"
    return f'<polygon points="{ends}" {style}/>'


def _key(options: Options, shown: Sequence[Option]) -> list[str]:
    """The ways that no other beats, written out."""
    ways = [row.choice for row in options.rows]
    best = [row for row in shown if row.unbeaten]
    y = TOP + 4.0
    drawn = [_text(KEY, y, "No other way beats these on all counts", weight="bold")]
    for row in best[:LISTED]:
        assert row.figures is not None
        y += 22
        drawn += [_mark(row, KEY + 6, y - 4.5), _text(KEY + 44, y, f"{row.number}", anchor="end", weight="bold")]
        drawn += [_text(KEY + 54, y, way_of(row.choice, ways))]
        drawn += [_text(WIDTH - 24, y, f"{row.figures.price:,.2f}", anchor="end")]
    if len(best) > LISTED:
        y += 22
        drawn.append(_text(KEY + 54, y, f"and {len(best) - LISTED} more, in the table", ink=FAINT))
    return [*drawn, *_legend(options, shown, y + 44)]


def _legend(options: Options, shown: Sequence[Option], y: float) -> list[str]:
    """What is drawn how, of what is drawn alone."""
    signs = [(_shape(0.0, 0, 0, FAINT, FAINT), "filled: no other way beats it")]
    if any(not row.unbeaten and not row.faults for row in shown):
        signs.append((_shape(0.0, 0, 0, FAINT, "#ffffff"), "hollow: another beats it"))
    if any(not row.unbeaten and row.faults for row in shown):
        words = "small and grey: another beats it" if options.faulty else "small and grey: a check fails"
        signs.append((_shape(0.0, 0, 0, GREY, "#ffffff", RADIUS - 2), words))
    for direction in dict.fromkeys(row.choice.direction for row in shown):
        signs.append(
            (_shape(direction, 0, 0, FAINT, "#ffffff"), f"boards run {HEADED.get(direction, f'at {direction:g}°')}")
        )
    for joints in dict.fromkeys(row.choice.joints for row in shown):
        signs.append(
            (f'<rect x="-6" y="-5.5" width="12" height="11" fill="{INKS[joints]}"/>', f"joint pattern: {joints}")
        )
    signs.append(("", "1 is what the site file has"))
    if options.faulty:
        signs.append(("", "checks fail with every way: see the table"))
    drawn = []
    for i, (sign, words) in enumerate(signs):
        at = y + 20 * i
        drawn += [
            f'<g transform="translate({KEY + 6} {at - 4.5:.1f})">{sign}</g>',
            _text(KEY + 22, at, words, ink=FAINT),
        ]
    return drawn


def _text(
    x: float, y: float, text: str, *, size: int = 13, anchor: str = "start", ink: str = INK, weight: str = "normal"
) -> str:
    place = f'x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}"'
    return f'<text {place} fill="{ink}" font-weight="{weight}">{escape(text)}</text>'


def _line(x0: float, y0: float, x1: float, y1: float, ink: str) -> str:
    return f'<line x1="{x0:.1f}" y1="{y0:.1f}" x2="{x1:.1f}" y2="{y1:.1f}" stroke="{ink}"/>'

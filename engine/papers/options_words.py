"""Ways to lay a deck and what is against them, in words: for table, CSV and drawing alike."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..options import Choice, Option, Options

RUNS = {None: "own ways", 0.0: "along", 90.0: "square"}
"""How boards run, from the start edge."""


def way_of(choice: Choice, ways: Sequence[Choice]) -> str:
    """A way in a few words: of what all ways have alike, nothing."""
    parts = {
        "direction": RUNS.get(choice.direction, f"{choice.direction or 0:g}°"),
        "joints": choice.joints,
        "start_edge": f"from {choice.start_edge}",
        "centres": choice.centres if isinstance(choice.centres, str) else f"{choice.centres:g}",
        "lengths": "+".join(f"{length:g}" for length in choice.lengths),
    }
    differ = [word for key, word in parts.items() if len({getattr(way, key) for way in ways}) > 1]
    return " ".join(differ) if differ else " ".join(parts.values())


def numbers(found: Iterable[int]) -> str:
    """Numbers as they are spoken of: `1, 3 to 5, 9`."""
    runs: list[list[int]] = []
    for number in sorted(found):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(f"{a}" if a == b else f"{a}, {b}" if b == a + 1 else f"{a} to {b}" for a, b in runs)


def faults_told(options: Options) -> list[str]:
    """What is against ways, a line for those of which the same is said: what refuses them, or the checks that fail."""
    said: dict[str, list[int]] = {}
    for row in options.different:
        if row.faults:
            refused = "; ".join(words for _, words in row.faults)
            said.setdefault(refused if row.figures is None else _checks(row), []).append(row.number)
    return [f"{numbers(found)}: {words}" for words, found in said.items()]


def _checks(row: Option) -> str:
    """Names of the checks that fail: `tongue A-01, A-02; kept offcuts`."""
    named: dict[str, list[str]] = {}
    for name, _ in row.faults:
        kind, _, what = name.rpartition(" ")
        if kind:
            named.setdefault(kind, []).append(what)
        else:
            named.setdefault(name, [])
    return "; ".join(f"{kind} {', '.join(what)}" if what else kind for kind, what in named.items())


def searched(options: Options) -> str:
    """How long each way was searched for, and what that means."""
    text = f"Each of {len(options.rows)} ways was searched with effort {options.effort}"
    if options.effort == "quick":
        text += ": `plan` searches longer, and may find a way to cut the same deck from fewer boards"
    else:
        text += ": a search ends after a set time, so that a busy machine may come to other figures"
    return f"{text}."


def verdict(options: Options) -> str:
    """The cheapest way that no other beats, and how it stands to the site's own."""
    best = next((row for row in options.different if row.unbeaten), None)
    if best is None or best.figures is None:
        return "None of these ways can be laid."
    currency, price = options.site.prices.currency, best.figures.price
    ways = [row.choice for row in options.rows]
    text = (
        f"Cheapest of those that no other beats: {best.number} ({way_of(best.choice, ways)}), {currency} {price:,.2f}"
    )
    own = options.own
    if best.number == own.number:
        return f"{text}: it is what the site file has."
    if own.figures is None:
        return f"{text}; what the site file has (1) cannot be laid."
    less, boards = own.figures.price - price, own.figures.boards - best.figures.boards
    told = f"{abs(less):,.2f} {'less' if less >= 0 else 'more'}"
    if boards:
        told += f" and {abs(boards)} board{'' if abs(boards) == 1 else 's'} {'fewer' if boards > 0 else 'more'}"
    return f"{text}, {told} than what the site file has (1)."

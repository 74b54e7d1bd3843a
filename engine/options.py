"""The useful ways to lay one deck, side by side: what each takes and costs, and which of them no other beats."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import product
from typing import Literal, get_args

from .design import design
from .effort import Effort
from .errors import SiteError
from .layout.decks import decks_of
from .papers.summary import summarise
from .plan import Plan
from .site import with_choices
from .spec import Break, Deck, JointPattern, Site

DIRECTIONS = (0.0, 90.0)
"""Tried beside the site's own; at other angles every board is sawn at both ends, so only who asks for it wants it."""
FACING = math.radians(1.0)
"""Two edges that turn from each other by no more than this run alike (ours)."""
LONG_ENOUGH = 0.5
"""An edge that faces the start edge may be it instead, if it is at least this part as long (ours)."""

Centres = Literal["module", "even"] | float


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to lay a deck; `direction` is None where zones or decks have directions of their own, and keep them."""

    direction: float | None
    joints: JointPattern
    start_edge: int
    centres: Centres
    lengths: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Figures:
    """What a way takes: boards to order, share wasted, butt joints, doubled joist [m], and the price of it all.

    `narrowest` is the narrowest course or piece, `shortest` the shortest piece [mm], both of the boards of the field.
    """

    boards: int
    waste: float
    joints: int
    doubled: float
    narrowest: float
    shortest: float
    price: Decimal

    def counts(self) -> tuple[Decimal | float, ...]:
        """Everything by which two ways are compared, less being better."""
        return self.boards, self.waste, self.joints, self.doubled, -self.narrowest, -self.shortest, self.price


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a way: its figures, none where it cannot be laid, and its faults: id of the check, and words."""

    figures: Figures | None
    faults: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Option:
    """A way with its number, counted from 1, its figures, what is against it, and whether no other beats it.

    `faults` has the id and the words of each check that fails, or of what refuses it. `same_as` is the number of an
    earlier way that comes to the same figures with the same faults.
    """

    number: int
    choice: Choice
    figures: Figures | None
    faults: tuple[tuple[str, str], ...]
    unbeaten: bool
    same_as: int | None = None


@dataclass(frozen=True, slots=True)
class Options:
    """Every way that was tried, with how long each was searched for.

    `everywhere` tells the checks that fail whichever way the deck is laid: they are held against none. Where every way
    has faults of its own, `faulty` is true, and all that can be laid are compared.
    """

    site: Site
    effort: Effort
    rows: tuple[Option, ...]
    everywhere: tuple[str, ...]
    faulty: bool

    @property
    def own(self) -> Option:
        """The way that the site file has."""
        return self.rows[0]

    @property
    def different(self) -> tuple[Option, ...]:
        """Of ways that come to the same the first alone: those that no other beats, then the sound, then the rest.

        Within each the cheapest first, and what cannot be laid at the end.
        """
        rows = [row for row in self.rows if row.same_as is None]
        return tuple(sorted(rows, key=lambda row: (*_standing(row), row.number)))

    def alike(self, number: int) -> tuple[int, ...]:
        """Numbers of the ways that come to the same as a way."""
        return tuple(row.number for row in self.rows if row.same_as == number)


def _standing(row: Option) -> tuple[int, Decimal]:
    if row.figures is None:
        return 3, Decimal(0)
    return 0 if row.unbeaten else 2 if row.faults else 1, row.figures.price


Job = tuple[Site, Choice, Effort]
Each = Callable[[Callable[[Job], Outcome], Sequence[Job]], Iterable[Outcome]]
"""Does one thing for each of many, and gives what comes of it in the same order, as `map` does."""


def weigh(site: Site, effort: Effort = "quick", each: Each = map) -> Options:
    """Lay a deck in every useful way, and mark those that no other beats on all counts.

    A way beats another that takes no less on any count, and more on one: boards, waste, joints, length of doubled
    joist, price, and how narrow its narrowest course and how short its shortest piece is.

    Parameters
    ----------
    effort : {"quick", "normal", "thorough"}
        How long each way is searched for.
    each : callable
        Designs many ways; `map` one after another. The table is the same however it shares them out, save that a longer
        search than quick ends after a set time, which a busy machine may reach.
    """
    ways = choices(site)
    outcomes = tuple(each(tried, [(site, choice, effort) for choice in ways]))
    laid = [outcome for outcome in outcomes if outcome.figures is not None]
    failing = Counter(name for outcome in laid for name in dict(outcome.faults))
    common = {name for name, count in failing.items() if count == len(laid)}
    sound = [outcome for outcome in laid if set(dict(outcome.faults)) <= common]
    compared = [outcome.figures for outcome in sound or laid if outcome.figures is not None]
    rows, seen = [], dict[Outcome, int]()
    for number, (choice, outcome) in enumerate(zip(ways, outcomes, strict=True), start=1):
        faults = tuple(fault for fault in outcome.faults if outcome.figures is None or fault[0] not in common)
        stands = outcome.figures is not None and (not faults or not sound)
        best = stands and not any(beats(other, outcome.figures) for other in compared if outcome.figures)
        first = seen.setdefault(outcome, number)
        rows.append(Option(number, choice, outcome.figures, faults, best, None if first == number else first))
    everywhere = tuple(text for name, text in laid[0].faults if name in common) if laid else ()
    return Options(site, effort, tuple(rows), everywhere, faulty=bool(laid) and not sound)


def beats(one: Figures, other: Figures) -> bool:
    """Whether one way is no worse than another on any count, and better on one."""
    pairs = list(zip(one.counts(), other.counts(), strict=True))
    return all(a <= b for a, b in pairs) and any(a < b for a, b in pairs)


def choices(site: Site) -> tuple[Choice, ...]:
    """The useful ways to lay a site: its own first, then all others."""
    own = own_choice(site)
    directions = dict.fromkeys((own.direction, *DIRECTIONS))
    patterns = dict.fromkeys((own.joints, *get_args(JointPattern)))
    found = product(directions, patterns, _start_edges(site), _centres(site), _lengths(site))
    return tuple(dict.fromkeys((own, *(Choice(*way) for way in found))))


def own_choice(site: Site) -> Choice:
    """The way that the site file has."""
    angles = {deck.direction for deck in decks_of(site)} | {zone.direction for zone in site.zones}
    assert site.deck.start_edge is not None  # filled in when the site was read
    return Choice(
        angles.pop() if len(angles) == 1 else None,
        site.pattern.joints,
        site.deck.start_edge,
        site.frame.centres,
        tuple(sorted(set(site.boards.lengths))),
    )


def chosen(site: Site, choice: Choice) -> Site:
    """A site laid another way; boards of fewer lengths keep their prices."""
    site = with_choices(site, direction=choice.direction, joints=choice.joints)
    site = replace(
        site,
        deck=replace(site.deck, start_edge=choice.start_edge),
        frame=replace(site.frame, centres=choice.centres),
    )
    return site if set(choice.lengths) == set(site.boards.lengths) else _sold_in(site, choice.lengths)


def tried(job: Job) -> Outcome:
    """Design one way, and say what came of it."""
    site, choice, effort = job
    try:
        plan = design(chosen(site, choice), effort)
    except SiteError as fault:
        return Outcome(None, (("refused", str(fault)),))
    faults = tuple((check.id, f"{check.message} ({check.source})") for check in plan.checks if not check.ok)
    return Outcome(figures_of(plan), faults)


def figures_of(plan: Plan) -> Figures:
    """What a plan takes: of a doubled joist, which is two members, the length is counted once."""
    summary = summarise(plan)
    field = [piece for piece in plan.pieces if piece.kind == "board"] or plan.pieces
    return Figures(
        boards=summary.boards,
        waste=round(summary.waste, 4),
        joints=summary.joints,
        doubled=round(sum(m.length for m in plan.members if m.role == "double") / 2000, 1),
        narrowest=round(min(piece.width for piece in field), 0),
        shortest=round(min(piece.length for piece in field), 0),
        price=summary.price,
    )


def _start_edges(site: Site) -> list[int]:
    """The site's own start edge, and the longest of those that face it; zones have start edges of their own."""
    own = site.deck.start_edge
    assert own is not None
    if site.zones:
        return [own]
    ahead, length = _edge(site.deck, own)
    facing = []
    for edge in range(len(site.deck.outline)):
        other, other_length = _edge(site.deck, edge)
        turn = abs((other - ahead + math.pi) % (2 * math.pi) - math.pi)
        if math.pi - turn <= FACING and other_length >= LONG_ENOUGH * length:
            facing.append((-round(other_length, 3), edge))
    return [own, *(edge for _, edge in sorted(facing)[:1])]


def _edge(deck: Deck, edge: int) -> tuple[float, float]:
    """Heading of an edge [radians] and its length [mm]."""
    (x0, y0), (x1, y1) = deck.outline[edge], deck.outline[(edge + 1) % len(deck.outline)]
    return math.atan2(y1 - y0, x1 - x0), math.hypot(x1 - x0, y1 - y0)


def _centres(site: Site) -> list[Centres]:
    """How joists may be spaced; those that stand already are where they are."""
    own = site.frame.centres
    return [own] if site.frame.state == "existing" else list(dict.fromkeys((own, "module", "even")))


def _lengths(site: Site) -> list[tuple[float, ...]]:
    """All lengths that the board is sold in, and each alone."""
    lengths = tuple(sorted(set(site.boards.lengths)))
    return list(dict.fromkeys((lengths, *((length,) for length in lengths))))


def _sold_in(site: Site, lengths: tuple[float, ...]) -> Site:
    """A site with boards of fewer lengths; its prices are those of the longest, which may be another now."""
    share = Decimal(str(max(lengths))) / Decimal(str(max(site.boards.lengths)))
    assert site.prices.board is not None
    prices = replace(
        site.prices,
        board=float(Decimal(str(site.prices.board)) * share),
        board_breaks=tuple(
            Break(start=one.start, price=float(Decimal(str(one.price)) * share))
            for one in site.prices.board_breaks or ()
        ),
    )
    return replace(site, boards=replace(site.boards, lengths=lengths), prices=prices)

"""Ways to lay a deck: which are tried, what each comes to, and which of them no other beats."""

from __future__ import annotations

import csv
import io
import itertools
import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import Any

import pytest
from courseline.engine import design
from courseline.engine.errors import SiteError
from courseline.engine.options import (
    Choice,
    Figures,
    Job,
    Options,
    Outcome,
    beats,
    choices,
    chosen,
    own_choice,
    tried,
    weigh,
)
from courseline.engine.papers.options_csv import options_csv
from courseline.engine.papers.options_words import faults_told, numbers, searched, verdict
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site
from rectangles import rectangle_site

TWO_LENGTHS = {"product": "core-138"}
"""A board of the shipped table that is sold in 3000 and 4000 mm."""


def site() -> Site:
    """A deck along a wall, a little longer than one board, so that every choice matters."""
    return rectangle_site(5200, 1500, at_wall=True, boards=TWO_LENGTHS, prices={"tax": 0.2})


@cache
def options() -> Options:
    return weigh(site())


def known(outcomes: Sequence[Outcome]) -> Callable[..., Iterable[Outcome]]:
    """Stands for designing: the n-th way comes to the n-th outcome, and the last one goes for all that follow."""

    def each(_: Callable[[Job], Outcome], jobs: Sequence[Job]) -> list[Outcome]:
        return [outcomes[min(i, len(outcomes) - 1)] for i in range(len(jobs))]

    return each


def figures(*values: float) -> Figures:
    boards, waste, joints, doubled, narrowest, shortest, price = values
    return Figures(int(boards), waste, int(joints), doubled, narrowest, shortest, Decimal(str(price)))


PLAIN = figures(10, 0.1, 5, 4.0, 100, 800, 500)


# Which ways


def test_ways_are_the_combinations_and_the_sites_own_comes_first() -> None:
    ways = choices(site())
    # Two directions, four patterns, two start edges that face each other, two spacings, both lengths and each alone.
    assert len(ways) == len(set(ways)) == 2 * 4 * 2 * 2 * 3
    assert ways[0] == own_choice(site()) == Choice(0.0, "half", 0, "module", (3000.0, 4000.0))
    assert {way.start_edge for way in ways} == {0, 2}
    assert {way.lengths for way in ways} == {(3000.0, 4000.0), (3000.0,), (4000.0,)}


def test_direction_and_spacing_of_the_sites_own_are_tried_too() -> None:
    own = rectangle_site(5200, 1500, deck={"direction": 30}, frame={"centres": 350})
    assert {way.direction for way in choices(own)} == {30.0, 0.0, 90.0}
    assert {way.centres for way in choices(own)} == {350.0, "module", "even"}


def test_joists_that_stand_are_not_moved() -> None:
    joists = [[[x, 0], [x, 1500]] for x in range(0, 5201, 400)]
    standing = rectangle_site(5200, 1500, frame={"state": "existing", "joists": joists})
    assert {way.centres for way in choices(standing)} == {"module"}


def test_zones_of_several_directions_may_keep_them() -> None:
    zone = {"name": "east", "outline": [[3000, 0], [5200, 0], [5200, 1500], [3000, 1500]], "direction": 90}
    zoned = rectangle_site(5200, 1500, zones=[zone])
    ways = choices(zoned)
    assert {way.direction for way in ways} == {None, 0.0, 90.0}
    assert {way.start_edge for way in ways} == {0}
    assert [z.direction for z in chosen(zoned, ways[0]).zones] == [90.0]
    assert chosen(zoned, ways[0]) == zoned


@pytest.mark.parametrize(("far", "edges"), [(5200, {0, 2}), (2700, {0, 2}), (2500, {0})])
def test_start_edge_may_be_the_one_that_faces_it_if_long_enough(far: int, edges: set[int]) -> None:
    outline = [[0, 0], [5200, 0], [far, 1500], [0, 1500]]
    assert {way.start_edge for way in choices(rectangle_site(5200, 1500, deck={"outline": outline}))} == edges


def test_shorter_boards_alone_cost_what_they_cost_beside_longer_ones() -> None:
    prices = {"board": 46, "board_breaks": [{"from": 5, "price": 44}]}
    whole = rectangle_site(5200, 1500, boards=TWO_LENGTHS, prices=prices)
    short = chosen(whole, replace(own_choice(whole), lengths=(3000.0,)))
    # Three quarters of 46.00 and of 44.00.
    assert (short.boards.lengths, short.prices.board) == ((3000.0,), 34.5)
    assert [(b.start, b.price) for b in short.prices.board_breaks or ()] == [(5, 33.0)]
    line = design(short).takeoff[0]
    assert (line.item, str(line.unit_price)) == ("board-3000", "33.00")


# What each comes to


@pytest.mark.slow
@pytest.mark.parametrize("number", [1, 7, 24, 40, 96])
def test_row_is_what_designing_that_way_alone_gives(number: int) -> None:
    row = options().rows[number - 1]
    way, own = row.choice, site()
    alone = replace(
        own,
        deck=replace(own.deck, direction=way.direction, start_edge=way.start_edge),
        pattern=replace(own.pattern, joints=way.joints),
        frame=replace(own.frame, centres=way.centres),
    )
    if way.lengths != own.boards.lengths:
        price = 46.0 * max(way.lengths) / 4000
        alone = replace(alone, boards=replace(own.boards, lengths=way.lengths), prices=replace(own.prices, board=price))
    plan = design(alone)
    found, field = row.figures, [piece for piece in plan.pieces if piece.kind == "board"]
    assert found is not None
    assert row.number == number
    assert found.boards == sum(item.id.startswith("board") for item in plan.stock)
    assert found.joints == len(plan.joints)
    assert found.narrowest == pytest.approx(min(piece.width for piece in field), abs=0.51)
    assert found.shortest == pytest.approx(min(piece.length for piece in field), abs=0.51)
    # A doubled joist is two members side by side.
    doubled = sum(member.length for member in plan.members if member.role == "double") / 2
    assert 1000 * found.doubled == pytest.approx(doubled, abs=51)
    bought = sum(item.length for item in plan.stock if item.id.startswith("board"))
    assert found.waste == pytest.approx(1 - sum(piece.length for piece in plan.pieces) / bought, abs=1e-4)
    # With 20 % tax.
    net = sum((line.price for line in plan.takeoff), Decimal(0))
    assert found.price == net + (net * Decimal("0.2")).quantize(Decimal("0.01"), "ROUND_HALF_UP")
    assert [name for name, _ in tried((own, way, "quick")).faults] == [c.id for c in plan.checks if not c.ok]


def test_way_that_is_refused_is_kept_with_its_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: Site, __: str) -> None:
        raise SiteError("boards.lengths", "no board gives A-01-1", "longer boards")

    monkeypatch.setattr("courseline.engine.options.design", refuse)
    weighed = weigh(rectangle_site(5200, 1500))
    assert {row.figures for row in weighed.rows} == {None}
    assert {row.faults for row in weighed.rows} == {
        (("refused", "boards.lengths: no board gives A-01-1; longer boards"),)
    }
    assert not any(row.unbeaten for row in weighed.rows)
    assert verdict(weighed) == "None of these ways can be laid."


# Which no other beats


def better_somewhere_and_nowhere_worse(one: Figures, other: Figures) -> bool:
    """The definition in words, count by count, with nothing of the engine's."""
    less = ("boards", "waste", "joints", "doubled", "price")
    more = ("narrowest", "shortest")
    worse = any(getattr(one, k) > getattr(other, k) for k in less) or any(
        getattr(one, k) < getattr(other, k) for k in more
    )
    better = any(getattr(one, k) < getattr(other, k) for k in less) or any(
        getattr(one, k) > getattr(other, k) for k in more
    )
    return better and not worse


@pytest.mark.parametrize("seed", range(20))
def test_marks_are_those_of_the_definition_on_figures_of_chance(seed: int) -> None:
    chance = random.Random(seed)
    own = site()
    # Few values, so that ties, equals and ways beaten on one count alone are all there.
    made = [Outcome(figures(*(chance.randint(1, 3) for _ in range(7)))) for _ in choices(own)]
    rows = weigh(own, "quick", known(made)).rows
    for row in rows:
        beaten = any(
            better_somewhere_and_nowhere_worse(o.figures, row.figures) for o in made if o.figures and row.figures
        )
        assert row.unbeaten is not beaten
    assert 0 < sum(row.unbeaten for row in rows) < len(rows)


@pytest.mark.slow
def test_marks_of_a_deck_are_those_of_the_definition() -> None:
    sound = [row for row in options().rows if row.figures and not row.faults]
    assert sound
    for row in options().rows:
        beaten = any(
            better_somewhere_and_nowhere_worse(o.figures, row.figures) for o in sound if o.figures and row.figures
        )
        assert row.unbeaten is (row in sound and not beaten)


@pytest.mark.parametrize("count", range(7))
def test_each_count_alone_decides(count: int) -> None:
    values = [10, 0.1, 5, 4.0, 100, 800, 500]
    values[count] += 1 if count in (4, 5) else -0.05 if count == 1 else -1
    assert beats(figures(*values), PLAIN)
    assert not beats(PLAIN, figures(*values))
    assert not beats(PLAIN, PLAIN)


def test_way_with_a_failing_check_beats_none_and_is_marked_never() -> None:
    cheap = Outcome(replace(PLAIN, price=Decimal(1)), (("tongue A-1", "A-1 keeps 9 mm of wood"),))
    weighed = weigh(site(), "quick", known([cheap, Outcome(PLAIN)]))
    assert [row.unbeaten for row in weighed.rows[:3]] == [False, True, True]
    assert weighed.rows[0].faults == (("tongue A-1", "A-1 keeps 9 mm of wood"),)
    assert not weighed.faulty


def test_check_that_fails_with_every_way_is_held_against_none() -> None:
    guard, tongue = ("guarding", "guarding is called for"), ("tongue A-1", "A-1 keeps 9 mm of wood")
    both, one = Outcome(replace(PLAIN, price=Decimal(1)), (guard, tongue)), Outcome(PLAIN, (guard,))
    weighed = weigh(site(), "quick", known([both, one]))
    assert weighed.everywhere == ("guarding is called for",)
    assert [row.unbeaten for row in weighed.rows[:2]] == [False, True]
    assert [row.faults for row in weighed.rows[:2]] == [(tongue,), ()]


def test_where_every_way_has_faults_of_its_own_all_are_compared() -> None:
    dear = Outcome(replace(PLAIN, price=Decimal(900)), (("tongue A-1", "a"),))
    weighed = weigh(site(), "quick", known([dear, Outcome(PLAIN, (("tongue A-2", "b"),))]))
    assert weighed.faulty
    assert [row.unbeaten for row in weighed.rows[:2]] == [False, True]


def test_ways_that_come_to_the_same_are_told_once() -> None:
    other = Outcome(replace(PLAIN, joints=4))
    weighed = weigh(site(), "quick", known([Outcome(PLAIN), other, Outcome(PLAIN)]))
    assert [row.number for row in weighed.different] == [2, 1]
    assert [row.same_as for row in weighed.rows[:4]] == [None, None, 1, 1]
    assert weighed.alike(1) == tuple(range(3, 97))


# The same table


@pytest.mark.slow
def test_table_is_the_same_however_ways_are_shared_out() -> None:
    def backwards(work: Callable[[Job], Outcome], jobs: Sequence[Job]) -> list[Outcome]:
        return [work(job) for job in reversed(jobs)][::-1]

    small = rectangle_site(4500, 700)
    assert weigh(small, "quick", backwards) == weigh(small)


# Words


def test_csv_has_a_row_for_each_way() -> None:
    head, *rows = csv.reader(io.StringIO(options_csv(options()), newline=""), strict=True)
    assert len(rows) == len(options().rows) == 96
    for cells, row in itertools.islice(zip(rows, options().rows, strict=True), 0, None, 7):
        told = dict(zip(head, cells, strict=True))
        assert row.figures is not None
        assert (int(told["number"]), int(told["boards"]), told["effort"]) == (row.number, row.figures.boards, "quick")
        assert Decimal(told["price GBP"]) == row.figures.price
        assert float(told["waste %"]) == pytest.approx(100 * row.figures.waste)
        assert told["unbeaten"] == ("yes" if row.unbeaten else "no")
        assert told["stock mm"] == "+".join(f"{length:g}" for length in row.choice.lengths)


@pytest.mark.parametrize(
    ("given", "told"),
    [([1], "1"), ([1, 2], "1, 2"), ([3, 1, 2], "1 to 3"), ([1, 3, 4, 5, 9, 10], "1, 3 to 5, 9, 10"), ([], "")],
)
def test_numbers_are_told_in_short(given: list[int], told: str) -> None:
    assert numbers(given) == told


def test_checks_that_fail_are_told_by_name_once_for_all_ways_alike() -> None:
    faults = tuple((name, "in full") for name in ("tongue A-1", "tongue A-2", "kept offcuts", "wall at 500"))
    bad = [Outcome(replace(PLAIN, joints=joints), faults) for joints in (6, 7)]
    refused = Outcome(None, (("refused", "boards.lengths: none gives A-1; longer boards"),))
    assert faults_told(weigh(site(), "quick", known([*bad, refused, Outcome(PLAIN)]))) == [
        "1, 2: tongue A-1, A-2; kept offcuts; wall at 500",
        "3: boards.lengths: none gives A-1; longer boards",
    ]


def test_effort_is_told_with_what_it_means() -> None:
    assert "effort quick: `plan` searches longer" in searched(options())
    assert "effort normal: a search ends after a set time" in searched(replace(options(), effort="normal"))


def test_verdict_is_told_against_the_sites_own() -> None:
    cheaper: dict[str, Any] = {"price": Decimal("470.50"), "boards": 9}
    weighed = weigh(site(), "quick", known([Outcome(PLAIN), Outcome(replace(PLAIN, **cheaper))]))
    assert verdict(weighed) == (
        "Cheapest of those that no other beats: 2 (along half from 0 module 3000), GBP 470.50, 29.50 less and 1 board "
        "fewer than what the site file has (1)."
    )
    kept = weigh(site(), "quick", known([Outcome(replace(PLAIN, **cheaper)), Outcome(PLAIN)]))
    assert verdict(kept).endswith("GBP 470.50: it is what the site file has.")


@pytest.mark.slow
def test_site_of_a_file_can_be_weighed() -> None:
    table = {"schema": 1, "name": "least", "deck": {"outline": [[0, 0], [2000, 0], [2000, 600], [0, 600]]}}
    rows = weigh(site_from_table(table)).rows
    assert {row.unbeaten for row in rows if row.figures} >= {True}

"""Prices by quantity, held against sums done another way."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from courseline.engine.spec import Break
from courseline.engine.takeoff.money import Units, cost_of, exact, larger_but_cheaper, money, price_at, quantity_of
from hypothesis import given
from hypothesis import strategies as st

cents = st.integers(1, 100_000)


@st.composite
def price_lists(draw: st.DrawFn) -> tuple[float, tuple[Break, ...]]:
    """A price and its breaks: each from more on, and cheaper."""
    prices = sorted(draw(st.sets(cents, min_size=1, max_size=5)), reverse=True)
    starts = sorted(draw(st.sets(st.integers(2, 400), min_size=len(prices) - 1, max_size=len(prices) - 1)))
    breaks = [Break(start=n, price=price / 100) for n, price in zip(starts, prices[1:], strict=True)]
    return prices[0] / 100, tuple(breaks)


def packs(count: int) -> list[Units]:
    return [Units(count, Decimal(1), exact)]


def cents_of(count: int, price: float, breaks: tuple[Break, ...]) -> int:
    """What so many cost, in whole cents: by the cheapest price that is reached."""
    return count * min([round(100 * price)] + [round(100 * one.price) for one in breaks if one.start <= count])


@pytest.mark.slow
@given(price_lists(), st.integers(1, 500), st.integers(1, 500))
def test_more_never_costs_less_but_where_a_break_is_told(
    listed: tuple[float, tuple[Break, ...]], one: int, other: int
) -> None:
    price, breaks = listed
    fewer, more = sorted((one, other))
    costs = {n: cost_of(packs(n), price_at(price, breaks, Decimal(n))) for n in (fewer, more)}
    assert costs == {n: Decimal(cents_of(n, price, breaks)) / 100 for n in costs}
    better = larger_but_cheaper(packs(fewer), price, breaks)
    if costs[more] < costs[fewer]:
        assert better is not None
        assert better.cost <= costs[more]
    if better is not None:
        enlarged = fewer + better.more
        assert better.more > 0
        assert better.cost == Decimal(cents_of(enlarged, price, breaks)) / 100 == costs[fewer] - better.saved
        assert better.saved > 0


@given(price_lists(), st.lists(st.tuples(st.integers(1, 60), st.integers(1200, 6000)), min_size=1, max_size=4))
def test_order_of_several_lengths_costs_what_its_lines_cost(
    listed: tuple[float, tuple[Break, ...]], lengths: list[tuple[int, int]]
) -> None:
    price, breaks = listed
    order = [Units(n, Decimal(mm) / 1000, lambda metre, mm=mm: exact(metre) * mm / 1000) for n, mm in lengths]
    metres = Fraction(sum(n * mm for n, mm in lengths), 1000)
    assert Fraction(quantity_of(order)) == metres
    metre = min([price] + [one.price for one in breaks if Fraction(one.start) <= metres])
    sums = [Fraction(str(metre)) * n * mm / 1000 for n, mm in lengths]
    rounded = sum(math.floor(100 * amount + Fraction(1, 2)) for amount in sums)
    assert cost_of(order, price_at(price, breaks, quantity_of(order))) * 100 == rounded


@given(st.integers(0, 10**9), st.integers(1, 10**5))
def test_money_is_rounded_half_a_cent_up_from_what_is_written(mils: int, count: int) -> None:
    # A price in thousandths, as a file writes it and as a float holds it
    assert money(mils / 1000, count) * 100 == (mils * count + 5) // 10


def test_nothing_ordered_can_not_be_cheaper() -> None:
    assert larger_but_cheaper([], 3.0, (Break(start=2, price=1.0),)) is None

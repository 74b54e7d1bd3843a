"""Several lengths of board: a further one never makes an order dearer that keeps the rules as well."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from checker import check_plan
from courseline.engine import design, plan_json
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_table
from courseline.engine.takeoff import payable
from generated_sites import generated_site
from shares import shares

LENGTHS = ([4000], [4000, 5000], [3000, 4000, 5000])
"""Each has one length more than the one before."""
CASES = shares(24, fast=1, tested=8)
"""Generated sites."""


def planned(number: int, lengths: list[int]) -> Plan:
    table = generated_site(number)
    table["boards"] = {**table["boards"], "lengths": lengths, "price_per_board": max(lengths) / 100}
    return design(site_from_table(table))


def rated(plan: Plan) -> tuple[int, Decimal]:
    return sum(not check.ok for check in plan.checks), payable(plan.takeoff, plan.site.prices)


@pytest.mark.slow
@pytest.mark.parametrize("number", CASES)
def test_a_further_length_never_makes_an_order_dearer_that_keeps_as_many_rules(number: int) -> None:
    plans = [planned(number, lengths) for lengths in LENGTHS]
    merits = [rated(plan) for plan in plans]
    assert merits == sorted(merits, reverse=True)
    assert check_plan(json.loads(plan_json(plans[-1]))) == []

"""Gaps that close in the sun."""

from __future__ import annotations

import pytest
from courseline.engine import design
from courseline.engine.checks.heat import growth
from courseline.engine.site import site_from_table


# dL = alpha L dT, worked by hand: 3600 x 5e-5 x 40, 4000 x 3.6e-5 x 50, 4800 x 5e-5 x 60.
@pytest.mark.parametrize(
    ("length", "expansion", "warming", "grown"),
    [(3600, 5e-5, 40, 7.2), (4000, 3.6e-5, 50, 7.2), (4800, 5e-5, 60, 14.4)],
)
def test_free_board_grows(length: float, expansion: float, warming: float, grown: float) -> None:
    assert growth(length, expansion, warming) == pytest.approx(grown, abs=1e-6)


def closing(butt: float, laid_at: float) -> dict[str, tuple[float, bool]]:
    deck = {"outline": [[0, 0], [8008, 0], [8008, 2000], [0, 2000]], "house_edges": [0]}
    gaps = {"butt": butt, "wall": 8, "laid_at": laid_at, "hottest": 65}
    plan = design(site_from_table({"schema": 1, "name": "long run", "deck": deck, "gaps": gaps}))
    return {check.id: (check.value, check.ok) for check in plan.checks}


def test_joint_laid_in_the_cold_closes_and_the_check_says_what_to_leave() -> None:
    # Two full boards of 4000 mm meet: each gives half its growth, 4000 x 4e-5 x (65 - 5) = 9.6 mm together.
    value, ok = closing(butt=8, laid_at=5)["butt gap"]
    assert value == pytest.approx(9.6)
    assert not ok


def test_the_same_joint_laid_on_a_warm_day_stays_open() -> None:
    value, ok = closing(butt=8, laid_at=20)["butt gap"]  # 4000 x 4e-5 x 45 = 7.2
    assert value == pytest.approx(7.2)
    assert ok


def test_wall_takes_half_of_one_board() -> None:
    value, ok = closing(butt=12, laid_at=5)["wall gap"]  # 4000 / 2 x 4e-5 x 60 = 4.8
    assert value == pytest.approx(4.8)
    assert ok

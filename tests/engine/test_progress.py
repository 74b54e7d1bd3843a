"""What a search tells of how far it has come."""

from __future__ import annotations

import pytest
from courseline.engine import design
from courseline.engine.progress import listening, tell
from test_lanes import rectangle_of


@pytest.mark.slow
def test_a_search_tells_zone_by_zone_what_it_is_at() -> None:
    told: list[str] = []
    with listening(told.append):
        design(rectangle_of(6, 9_300.0), "normal")
    assert told[0] == "joint lines of zone A, 1 of 3"
    assert "joints and cutting of zone A as one" in told
    assert told[-1] == "the saw list"


def test_nothing_is_told_where_no_one_listens() -> None:
    told: list[str] = []
    tell("before")
    with listening(told.append):
        tell("now")
    tell("after")
    assert told == ["now"]

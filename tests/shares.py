"""Which of many generated cases run when: a few in `make fast`, more in `make test`, the rest in `make long`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest


def shares(total: int, fast: int, tested: int, broken: Mapping[int, str] | None = None) -> list[Any]:
    """Numbers below `total` as parameters, marked by their share; those `broken` are expected to fail, and why."""
    known = broken or {}
    cases = []
    for number in range(total):
        marks = [pytest.mark.xfail(strict=True, reason=known[number])] if number in known else []
        if number >= tested:
            marks.append(pytest.mark.long)
        elif number >= fast:
            marks.append(pytest.mark.slow)
        cases.append(pytest.param(number, marks=marks))
    return cases

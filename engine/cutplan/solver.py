"""HiGHS by way of `highspy`, where it is installed: one thread, fixed seed, every run capped."""

from __future__ import annotations

import importlib
import math
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

INFINITE = math.inf
BUSY = 5.0
"""Seconds by the clock in which a busy machine does a second's work (ours)."""


@cache
def library() -> Any | None:
    """The module `highspy`, imported when it is first wanted; None where it is not installed."""
    try:
        highs = importlib.import_module("highspy")
    except ImportError:
        return None
    with _silence():
        highs.Highs()
    return highs


@contextmanager
def _silence() -> Iterator[None]:
    """Nothing written to standard output: some versions tell their name there when they are first made."""
    if sys.stdout is not None:
        sys.stdout.flush()
    try:
        kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    except OSError:  # a process without standard output
        yield
        return
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


class Model:
    """A linear or mixed-integer programme that is minimised; columns are added as they are found."""

    def __init__(self, lower: Sequence[float], upper: Sequence[float]) -> None:
        highs = library()
        assert highs is not None
        self._names = highs
        self._model = highs.Highs()
        options = {"log_to_console": False, "output_flag": False, "threads": 1, "random_seed": 0, "parallel": "off"}
        for option, value in options.items():
            self._model.setOptionValue(option, value)
        for low, high in zip(lower, upper, strict=True):
            self._model.addRow(low, high, 0, np.zeros(0, np.int32), np.zeros(0))

    def add_column(
        self, cost: float, rows: NDArray[np.int32], values: NDArray[np.float64], whole: bool = False
    ) -> None:
        """Add a variable of zero or more."""
        self._model.addCol(cost, 0.0, INFINITE, len(rows), rows, values)
        if whole:
            self._model.changeColIntegrality(self._model.getNumCol() - 1, self._names.HighsVarType.kInteger)

    def between(self, column: int, lower: float, upper: float) -> None:
        """Change the bounds of a variable."""
        self._model.changeColBounds(column, lower, upper)

    def bounds(self, row: int, lower: float, upper: float) -> None:
        """Change the bounds of a row."""
        self._model.changeRowBounds(row, lower, upper)

    def solve(self, seconds: float, nodes: int | None = None, target: float | None = None) -> bool:
        """Solve; whether there is a solution. The clock is a guard only: what ends a run is a number of nodes.

        Parameters
        ----------
        seconds : float
            Guard for this run alone, of work; the solver counts its time over all runs of a model, by the clock.
        nodes : int, optional
            Most nodes of a mixed-integer search.
        target : float, optional
            An objective that is good enough.
        """
        model = self._model
        model.setOptionValue("time_limit", model.getRunTime() + max(0.05, BUSY * seconds))
        if nodes is not None:
            model.setOptionValue("mip_max_nodes", nodes)
            model.setOptionValue("mip_rel_gap", 0.0)
            model.setOptionValue("mip_abs_gap", 1e-6)
        if target is not None:
            model.setOptionValue("objective_target", target)
        model.run()
        info = model.getInfo()
        return bool(info.primal_solution_status == self._names.SolutionStatus.kSolutionStatusFeasible)

    def values(self) -> NDArray[np.float64]:
        """Values of the variables, (n,)."""
        return np.array(self._model.getSolution().col_value)

    def duals(self) -> NDArray[np.float64]:
        """Duals of the rows, (m,)."""
        return np.array(self._model.getSolution().row_dual)

    def solved(self) -> bool:
        """Whether the last run ended at an optimum."""
        return bool(self._model.getModelStatus() == self._names.HighsModelStatus.kOptimal)

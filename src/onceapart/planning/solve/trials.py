"""Which column to branch on: the one whose two sides raise the bound most, learnt by trial."""

from __future__ import annotations

from collections.abc import Callable

import highspy
import numpy as np
from numpy.typing import NDArray

from onceapart.planning.solve.effort import Effort
from onceapart.planning.solve.program import Key, Program

CANDIDATES = 8
"""Columns tried by strong branching at a node."""
TRUSTED = 1
"""Times a column has been tried after which its average is believed."""
TRIAL_ITERATIONS = 100

Values = NDArray[np.float64]


class Trials:
    """What has been learnt of columns in one search. ``bounds_of`` gives a column's bounds at the node."""

    def __init__(
        self, program: Program, effort: Effort, bounds_of: Callable[[int], tuple[float, float]]
    ) -> None:
        self.program, self.effort, self.bounds_of = program, effort, bounds_of
        self.tried: dict[tuple[Key, int], list[float]] = {}
        """Sum and number of gains of a column's side, each for one whole unit."""
        self.average: dict[tuple[object, int], list[float]] = {}
        """The same over all columns of a kind."""

    def choose(
        self,
        values: Values,
        bound: float,
        basis: highspy.HighsBasis,
        open_columns: list[tuple[int, float]],
        reach: float,
    ) -> tuple[int, float]:
        """One of the (column, part above the whole below); gains beyond ``reach`` are all as good."""
        ranked = sorted(
            ((-self._expected(column, part), column, part) for column, part in open_columns),
        )
        best, best_score, tried = ranked[0][1:], -1.0, 0
        for score, column, part in ranked:
            key = self.program.keys[column]
            if min(self._times(key, 0), self._times(key, 1)) >= TRUSTED:
                worth = -score
            elif tried < CANDIDATES:
                tried += 1
                down, up = self._try(column, values, bound, basis, reach, part)
                worth = down * up
            else:
                continue
            if worth > best_score:
                best, best_score = (column, part), worth
        return best

    def _times(self, key: Key, side: int) -> float:
        return self.tried.get((key, side), (0.0, 0.0))[1]

    def _expected(self, column: int, part: float) -> float:
        key = self.program.keys[column]
        result = 1.0
        for side, away in ((0, part), (1, 1 - part)):
            total, times = self.tried.get((key, side)) or self.average.get((key[0], side)) or (1.0, 1.0)
            result *= max(total / times * away, 1e-3)
        return result

    def _try(
        self,
        column: int,
        values: Values,
        bound: float,
        basis: highspy.HighsBasis,
        reach: float,
        part: float,
    ) -> tuple[float, float]:
        """How much each side raises the bound, over the contents that are there."""
        key = self.program.keys[column]
        low, high = self.bounds_of(column)
        floor = round(values[column] - part)
        gains = []
        for side, sides in enumerate(((low, floor), (floor + 1, high))):
            self.program.set_bounds(column, *sides)
            self.program.set_basis(basis)
            before = self.program.iterations
            solved = self.program.run(TRIAL_ITERATIONS)
            self.effort.count(self.program.iterations - before)
            gain = min(max(self.program.objective - bound, 1e-3), reach) if solved else reach
            gains.append(gain)
            for sums in (
                self.tried.setdefault((key, side), [0.0, 0.0]),
                self.average.setdefault((key[0], side), [0.0, 0.0]),
            ):
                sums[0] += gain / (part if side == 0 else 1 - part)
                sums[1] += 1.0
        self.program.set_bounds(column, low, high)
        return gains[0], gains[1]

"""A linear program that grows by rows and columns, each named by a key: a thin cover over HiGHS."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping

import highspy
import numpy as np
from numpy.typing import NDArray

INF = highspy.kHighsInf
Key = tuple[Hashable, ...]
TOLERANCE = 1e-6
"""What is this near to a whole number, or to nought, counts as that."""


class SolverTroubleError(RuntimeError):
    """The solver gave up on a linear program for numerical reasons."""


class _Quiet(highspy.Highs):
    """HiGHS prints its banner while it is constructed, before it can be told to be quiet.

    It does so when callbacks are switched on; they are not needed here.
    """

    def enableCallbacks(self) -> None:  # noqa: N802 (the library's name)
        pass


def quiet_highs() -> highspy.Highs:
    """A HiGHS instance that prints nothing, uses one thread and the same seed each time."""
    highs = _Quiet()  # type: ignore[no-untyped-call]
    highs.silent()
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("random_seed", 0)
    return highs


class Program:
    """Rows and columns by key, with bounds kept beside the solver so that they can be looked up cheaply."""

    def __init__(self) -> None:
        self.highs = quiet_highs()
        self.highs.setOptionValue("presolve", "off")
        self.column: dict[Key, int] = {}
        self.keys: list[Key] = []
        self.whole: list[bool] = []
        self.lower: list[float] = []
        self.upper: list[float] = []
        self.n_rows = 0
        self.iterations = 0
        self.solves = 0

    def add_column(
        self,
        key: Key,
        cost: float = 0.0,
        lower: float = 0.0,
        upper: float = INF,
        *,
        whole: bool = False,
        entries: Mapping[int, float] | None = None,
    ) -> int:
        """Add a column; ``entries`` gives its coefficient in rows that are there."""
        items = sorted((entries or {}).items())
        rows = np.array([row for row, _ in items], np.int32)
        values = np.array([value for _, value in items], np.float64)
        self.highs.addCol(cost, lower, upper, len(items), rows, values)
        at = len(self.keys)
        self.column[key] = at
        self.keys.append(key)
        self.whole.append(whole)
        self.lower.append(lower)
        self.upper.append(upper)
        return at

    def add_row(self, lower: float, upper: float, terms: Iterable[tuple[int, float]]) -> int:
        """Add a row over columns; coefficients of a column named twice are added up."""
        sums: dict[int, float] = {}
        for column, value in terms:
            sums[column] = sums.get(column, 0.0) + value
        items = sorted(sums.items())
        columns = np.array([column for column, _ in items], np.int32)
        values = np.array([value for _, value in items], np.float64)
        self.highs.addRow(lower, upper, len(items), columns, values)
        self.n_rows += 1
        return self.n_rows - 1

    def set_bounds(self, column: int, lower: float, upper: float) -> None:
        """Bounds for now; ``lower`` and ``upper`` keep those the column was made with."""
        self.highs.changeColBounds(column, lower, upper)

    def set_costs(self, costs: NDArray[np.float64]) -> None:
        """A new objective for all columns."""
        n = len(self.keys)
        self.highs.changeColsCost(n, np.arange(n, dtype=np.int32), costs)

    def run(self, iteration_limit: int | None = None) -> bool:
        """Solve from where it stands. False where there is no solution.

        With ``iteration_limit`` the objective reached is a bound from below only (dual simplex).
        """
        if iteration_limit is not None:
            self.highs.setOptionValue("simplex_iteration_limit", iteration_limit)
        self.highs.run()
        if iteration_limit is not None:
            self.highs.setOptionValue("simplex_iteration_limit", 2147483647)
        self.solves += 1
        self.iterations += max(0, self.highs.getInfo().simplex_iteration_count)
        status = self.highs.getModelStatus()
        good = highspy.HighsModelStatus
        if status in (good.kOptimal, good.kIterationLimit):
            return True
        if status in (good.kInfeasible, good.kUnboundedOrInfeasible):
            return False
        # A stale basis can trip the simplex: once more from scratch, with presolve.
        self.highs.clearSolver()
        self.highs.setOptionValue("presolve", "on")
        self.highs.run()
        self.highs.setOptionValue("presolve", "off")
        self.solves += 1
        status = self.highs.getModelStatus()
        if status == good.kOptimal:
            return True
        if status == good.kInfeasible:
            return False
        raise SolverTroubleError(f"HiGHS ended with {self.highs.modelStatusToString(status)}")

    @property
    def objective(self) -> float:
        return float(self.highs.getInfo().objective_function_value)

    def values(self) -> NDArray[np.float64]:
        """(columns,) the solution."""
        return np.array(self.highs.getSolution().col_value)

    def row_duals(self) -> NDArray[np.float64]:
        """(rows,) what one more of each row's right side is worth."""
        return np.array(self.highs.getSolution().row_dual)

    def column_duals(self) -> NDArray[np.float64]:
        """(columns,) reduced costs."""
        return np.array(self.highs.getSolution().col_dual)

    def basis(self) -> highspy.HighsBasis:
        return self.highs.getBasis()

    def set_basis(self, basis: highspy.HighsBasis) -> None:
        """Set a basis taken when there were fewer columns or rows: new columns at their lower bound."""
        columns = list(basis.col_status)
        missing = len(self.keys) - len(columns)
        if missing:
            basis.col_status = columns + [highspy.HighsBasisStatus.kLower] * missing
        rows = list(basis.row_status)
        if len(rows) < self.n_rows:
            basis.row_status = rows + [highspy.HighsBasisStatus.kBasic] * (self.n_rows - len(rows))
        self.highs.setBasis(basis)

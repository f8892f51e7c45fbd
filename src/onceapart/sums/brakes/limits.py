"""What inspection and use rules ask of brakes, set beside what was found. The inspector decides."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from onceapart.sums.brakes.tables import read_table

RuleRow = tuple[str, str, str, bool | None, str]


@dataclass(frozen=True)
class Limit:
    """One row of the rules."""

    quantity: str
    """What is judged: ``imbalance``, ``efficiency``, ``parking`` ..."""
    sense: str
    """``least`` or ``most``."""
    asks: float
    words: str
    rule: str
    if_missed: str
    status: str

    def met_by(self, found: float) -> bool:
        """Whether the figure is on the right side; the limit itself is."""
        # Forgive the last bits of a float: a stop in exactly 25 ft is within 25 ft.
        if math.isclose(found, self.asks, rel_tol=1e-9):
            return True
        return found > self.asks if self.sense == "least" else found < self.asks

    def row(self, found: float, words: str) -> RuleRow:
        """The row of a rules table for a figure, with the figure in words."""
        missed = f"{self.words} (else {self.if_missed})"
        return (self.rule, missed, words, self.met_by(found), self.status)


@cache
def limits_for(quantity: str) -> tuple[Limit, ...]:
    """All rows on a quantity, in the order of the table."""
    return tuple(
        Limit(
            row["quantity"],
            row["sense"],
            float(row["asks"]),
            row["words"],
            row["rule"],
            row["if_missed"],
            row["status"],
        )
        for row in read_table("limits")
        if row["quantity"] == quantity
    )

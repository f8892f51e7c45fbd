"""Every exception that onceapart raises on purpose.

OnceapartError
├── WorkshopFileError    a workshop file cannot be used; carries all its problems
├── PlanFileError        a plan file cannot be used (in planning/plan_reading.py)
├── TradeDataError       a shipped or user-made data file breaks its schema
└── SumError             an engineering sum was asked outside what it can answer (also a ValueError)
    ├── QuantityError    typed text is not a quantity we read
    └── SumInputsError   inputs of a sum cannot be used, all at once (in sums/run.py)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class OnceapartError(Exception):
    """Base of all errors of this package."""


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a file: where, what was found, the rule it breaks and the way out."""

    line: int | None
    """Line in the file, counted from 1; None where no line can be named."""
    where: str
    """Path of the value, such as ``jobs[3].minutes``."""
    value: str
    """The offending value, shortened."""
    rule: str
    way_out: str

    def __str__(self) -> str:
        place = f"line {self.line}: " if self.line is not None else ""
        value = f" {self.value}:" if self.value else ""
        return f"{place}{self.where}:{value} {self.rule}; {self.way_out}"


class FileProblemsError(OnceapartError):
    """A file that cannot be used, with all its problems at once."""

    def __init__(self, source: str, problems: Sequence[Problem]) -> None:
        self.source = source
        self.problems = tuple(problems)
        super().__init__(source, self.problems)

    def __str__(self) -> str:
        return "\n".join([f"{self.source}: {len(self.problems)} problem(s)", *map(str, self.problems)])


class WorkshopFileError(FileProblemsError):
    """A workshop file cannot be used."""


class TradeDataError(FileProblemsError):
    """A recipe, rule pack or table breaks its schema."""


class SumError(OnceapartError, ValueError):
    """An engineering sum was asked outside what it can answer."""


class QuantityError(SumError):
    """Typed text is not a quantity we read."""

"""What a sum gives back, and what its outputs are called."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True, slots=True)
class Band:
    """A figure that is only known within a spread, all three in the same unit."""

    low: float
    typical: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.typical <= self.high:
            raise ValueError(f"band out of order: {self.low}, {self.typical}, {self.high}")

    def scaled(self, factor: float) -> Band:
        """The band in other units; the factor is above nought."""
        return Band(self.low * factor, self.typical * factor, self.high * factor)


Value = float | Band | str | bool | None
"""A figure in the unit of its output, or words; None where there is nothing to say."""


@dataclass(frozen=True, kw_only=True)
class Output:
    """One thing a sum answers, or one column of a table."""

    name: str
    label: str
    unit: str | None
    """Symbol from ``units.UNITS``; "" for a plain number, None for words and yes or no."""
    digits: int = 3
    """Significant figures worth showing."""


@dataclass(frozen=True)
class Table:
    """Rows that belong to an answer, such as a schedule; each row has one value a column."""

    title: str
    columns: tuple[Output, ...]
    rows: tuple[tuple[Value, ...], ...]


@dataclass(frozen=True)
class Reading:
    """An input as it was understood."""

    name: str
    label: str
    typed: str
    value: Any
    words: str
    """The value as understood, in words: ``19.05 mm``."""
    note: str = ""
    """What was taken for granted: a unit that was not typed, a default."""


@dataclass(frozen=True, kw_only=True)
class Result:
    """The answer of a sum. ``values`` has one entry for each output of the sum."""

    values: Mapping[str, Value]
    verdict: str = ""
    """One of the verdict words of the sum, or empty."""
    reasons: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    drawing: str = ""
    """A picture as SVG text, or empty."""
    plot: Callable[[], Figure] | None = None
    """Draws the plot when called, so that an answer without it need not import matplotlib."""
    readings: tuple[Reading, ...] = field(default=())
    """The inputs as understood; filled in by ``run.run_sum``."""

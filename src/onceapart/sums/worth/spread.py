"""Figures known within a spread, as typed: ``400 to 700``, ``400 to 550 to 900``, ``550 ± 20 %``, ``550``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Any

from onceapart.errors import SumError
from onceapart.sums.inputs import Input, QuantityInput
from onceapart.sums.present import show_value
from onceapart.sums.quantity import parse_quantity, shorten
from onceapart.sums.result import Band
from onceapart.sums.wear.days import DAYS_A_YEAR, parse_day

LONGEST = 120
_BARE = re.compile(r"^[\s\d.,½¼¾⅓⅔+-]*(?:/\s*\d+)?\s*")
"""The number a figure begins with; what is left after it is its unit."""


def _split(text: str) -> list[str]:
    """The parts of a spread; a hyphen between figures counts as "to" where no fraction is meant."""
    plain = text.strip()
    if "/" not in re.sub(r"/ ?(h|month|year)\b", "", plain):
        plain = re.sub(r"(?<=\d)\s*[-–—]\s*(?=\d)", " to ", plain)
    return re.split(r"\s+to\s+", plain)


def _rising(low: float, typical: float, high: float, text: str) -> Band:
    if not low <= typical <= high:
        raise SumError(f"{shorten(text)}: must go up, least first; write it like 400 to 550 to 900")
    return Band(low, typical, high)


@dataclass(frozen=True, kw_only=True)
class SpreadInput(QuantityInput):
    """A figure with a unit that may be given with its spread; the sum gets a ``Band``."""

    @property
    def accepts(self) -> str:
        return f"{super().accepts}, or from ... to ..."

    def value_of(self, text: str) -> tuple[Any, str, str]:
        if len(text) > LONGEST:
            raise SumError(f"{shorten(text)}: longer than {LONGEST} characters; write it like {self.example}")
        middle, around, share = re.sub(r"\+\s*/?\s*-", "±", text).partition("±")
        if around:
            centre, _, note = QuantityInput.value_of(self, middle)
            if "%" in share:
                width = centre * parse_quantity(share, "%", "number").value / 100
            else:
                width = parse_quantity(share, self.unit, self.unit_kind).value
            if not 0 <= width <= centre:
                rule = f"must be at most the figure itself, {show_value(centre, self.unit)}"
                raise SumError(f"{shorten(share.strip())} either way: {rule}; write it like 550 ± 20%")
            return self._shown(Band(centre - width, centre, centre + width), note)
        parts = _split(text)
        if len(parts) > 3:
            raise SumError(f"{shorten(text)}: more than three figures; write least to likely to most")
        # "1 to 2 years": a unit typed at the end is meant for the figures before it too.
        unit = _BARE.sub("", parts[-1])
        parts = [part if _BARE.sub("", part) else f"{part} {unit}" for part in parts]
        read = [QuantityInput.value_of(self, part) for part in parts]
        values = [value for value, _, _ in read]
        typical = values[1] if len(values) == 3 else (values[0] + values[-1]) / 2
        return self._shown(_rising(values[0], typical, values[-1], text), read[-1][2])

    def _shown(self, band: Band, note: str) -> tuple[Band, str, str]:
        return band, show_value(band, self.unit, 6), note


@dataclass(frozen=True)
class Due:
    """When something is due: months from now, or dates."""

    months: Band | None
    dates: tuple[date, date, date] | None = None

    def __str__(self) -> str:
        if self.dates is None:
            return show_value(self.months, "month", 3)
        low, typical, high = self.dates
        return str(typical) if low == high else f"{typical} ({low} to {high})"

    def months_from(self, today: date | None) -> Band:
        """Months from a day on; what is overdue is due now."""
        if self.months is not None:
            return self.months
        assert self.dates is not None
        if today is None:
            raise SumError("today: not given, but upkeep has dates; give today's date, or months")
        low, typical, high = (max((each - today).days / DAYS_A_YEAR * 12, 0.0) for each in self.dates)
        return Band(low, typical, high)


@dataclass(frozen=True, kw_only=True)
class DueInput(Input):
    """When something is due: ``5 to 12 months``, ``2026-11-03``, ``2026-08-06 to 2027-02-11``."""

    most_months: float = 240

    @property
    def accepts(self) -> str:
        return "months from now or a date, or from ... to ..."

    def value_of(self, text: str) -> tuple[Any, str, str]:
        if re.search(r"\d{4}-\d", text):
            parts = re.split(r"\s+to\s+", text.strip())
            if len(parts) > 3:
                raise SumError(f"{shorten(text)}: more than three dates; write earliest to likely to latest")
            days = [parse_day(part) for part in parts]
            first, last = days[0], days[-1]
            middle = days[1] if len(days) == 3 else first + (last - first) / 2
            if not first <= middle <= last:
                raise SumError(f"{shorten(text)}: must go forward; write the earliest date first")
            due = Due(None, (first, middle, last))
            return due, str(due), ""
        months = SpreadInput(
            name=self.name, label=self.label, unit="month", low=0, high=self.most_months, example=self.example
        )
        band, words, note = months.value_of(text)
        return Due(band), words, note


def widened(band: Band, share: float) -> Band:
    """A figure given without a spread gets one; any other stays.

    Parameters
    ----------
    band : Band
        As given. [any]
    share : float
        Half-width over the figure. [-]

    Returns
    -------
    Band
        With a spread. [as given]

    Examples
    --------
    >>> widened(Band(100, 100, 100), 0.2)
    Band(low=80.0, typical=100, high=120.0)

    References
    ----------
    .. [1] Arithmetic.
    """
    if band.low < band.high or not 0 <= share <= 1:
        return band
    return Band(band.typical * (1 - share), band.typical, band.typical * (1 + share))

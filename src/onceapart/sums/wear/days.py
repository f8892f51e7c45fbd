"""Dates as typed, and how far is driven between them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

from onceapart.errors import SumError
from onceapart.sums.quantity import shorten
from onceapart.sums.wear.theil_sen import theil_sen_slope

DAYS_A_YEAR = 365.25
LEAST_DAYS = 28
"""Dates closer together than this say nothing about a year's driving: our judgement."""


def parse_day(text: str) -> date:
    """A date typed as year-month-day.

    >>> parse_day("2026-04-11")
    datetime.date(2026, 4, 11)
    """
    if re.fullmatch(r"\d{4}-\d{1,2}-\d{1,2}", text.strip(), re.ASCII):
        year, month, day = map(int, text.strip().split("-"))
        try:
            found = date(year, month, day)
        except ValueError:
            raise SumError(f"{shorten(text)}: no such day in the calendar; check month and day") from None
        if 1950 <= year <= 2199:
            return found
        raise SumError(f"{shorten(text)}: must be from 1950 to 2199; check the year")
    raise SumError(f"{shorten(text)}: not a date; write year-month-day, like 2026-04-11")


def yearly_distance_km(at_km: Sequence[float], on: Sequence[date]) -> float | None:
    r"""Distance driven in a year, from odometer readings with dates.

    Parameters
    ----------
    at_km : sequence of float
        Odometer readings. [km]
    on : sequence of date
        When each was taken.

    Returns
    -------
    float or None
        Distance a year; None if the dates are all within four weeks. [km/year]

    Notes
    -----
    The middle one of the rates between every two dates, so that one odd spell does not settle it.

    Examples
    --------
    >>> yearly_distance_km([80000, 90000], [date(2024, 1, 1), date(2025, 1, 1)])
    9979.508196721312

    References
    ----------
    .. [1] Sen, J. Am. Stat. Assoc. 63 (1968) 1379-1389, for the median of slopes.
    """
    in_order = sorted(zip(on, at_km, strict=True))
    for (day, km), (later, further) in pairwise(in_order):
        if further < km:
            raise SumError(
                f"{further:g} km on {later} after {km:g} km on {day}: an odometer does not run backward; "
                "check both rows"
            )
    days = [float(day.toordinal()) for day, _ in in_order]
    if len(days) < 2 or days[-1] - days[0] < LEAST_DAYS:
        return None
    yearly = theil_sen_slope(days, [km for _, km in in_order]) * DAYS_A_YEAR
    return yearly if yearly > 0 else None


def day_after(start: date, years: float) -> date | None:
    """The day so many years on (or back); None if that is beyond a lifetime, where a date means nothing."""
    if not -60 <= years <= 60:
        return None
    return start + timedelta(days=round(years * DAYS_A_YEAR))

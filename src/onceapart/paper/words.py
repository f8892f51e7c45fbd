"""Figures and days as papers say them, in English whatever the locale."""

from __future__ import annotations

import datetime as dt

from onceapart.workshop.words import count, hours, listed, money
from onceapart.workshop.words import day as day_of_week

__all__ = ["SAFETY", "count", "day", "hours", "listed", "money", "sentence"]

SAFETY = (
    "The tool advises; the workshop manual of the car, the law where you live, licensed mechanics and an "
    "inspector decide. Have work on brakes, steering, suspension, fuel and airbags checked by a licensed "
    "mechanic if you are not sure of it."
)
"""What every paper for the bench says at its end."""


def day(date: dt.date) -> str:
    """A date with its weekday and its year: a paper is kept.

    >>> day(dt.date(2026, 3, 7))
    'Sat 7 Mar 2026'
    """
    return day_of_week(date, year=True)


def sentence(text: str) -> str:
    """Text that begins with a capital letter and ends with a mark.

    >>> sentence("it wears"), sentence("Why?")
    ('It wears.', 'Why?')
    """
    begun = text[:1].upper() + text[1:]
    return begun if begun.endswith((".", "?", "!")) else f"{begun}."

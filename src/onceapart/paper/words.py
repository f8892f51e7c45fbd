"""Figures and days as papers say them, in English whatever the locale."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from onceapart.workshop.money import format_money

_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

SAFETY = (
    "The tool advises; the workshop manual of the car, the law where you live, licensed mechanics and an "
    "inspector decide. Have work on brakes, steering, suspension, fuel and airbags checked by a licensed "
    "mechanic if you are not sure of it."
)
"""What every paper for the bench says at its end."""


def money(amount: int, currency: str) -> str:
    """Minor units with the currency.

    >>> money(-1234, "EUR")
    '-12.34 EUR'
    """
    return f"{format_money(amount)} {currency}"


def hours(minutes: int) -> str:
    """Minutes as hours and minutes.

    >>> hours(1707), hours(120), hours(35)
    ('28 h 27 min', '2 h', '35 min')
    """
    whole, rest = divmod(minutes, 60)
    return " ".join([f"{whole} h"] * bool(whole) + [f"{rest} min"] * bool(rest or not whole))


def day(date: dt.date) -> str:
    """A date with its weekday.

    >>> day(dt.date(2026, 3, 7))
    'Sat 7 Mar 2026'
    """
    return f"{_WEEKDAYS[date.weekday()]} {date.day} {_MONTHS[date.month - 1]} {date.year}"


def count(number: int, one: str, many: str | None = None) -> str:
    """A number of things.

    >>> count(1, "order"), count(3, "order"), count(2, "entry", "entries")
    ('1 order', '3 orders', '2 entries')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """Words in a row.

    >>> listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])
    ('a', 'a and b', 'a, b and c')
    """
    return " and ".join(part for part in (", ".join(words[:-1]), words[-1] if words else "") if part)


def sentence(text: str) -> str:
    """Text that begins with a capital letter and ends with a mark.

    >>> sentence("it wears"), sentence("Why?")
    ('It wears.', 'Why?')
    """
    begun = text[:1].upper() + text[1:]
    return begun if begun.endswith((".", "?", "!")) else f"{begun}."

"""Figures as one says them: money with its currency, hours, dates."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from onceapart.workshop.money import format_money

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def money(amount: int, currency: str) -> str:
    """Minor units with the currency.

    >>> money(-1234, "EUR")
    '-12.34 EUR'
    """
    return f"{format_money(amount)} {currency}"


def hours(minutes: int) -> str:
    """Minutes as hours and minutes.

    >>> hours(1707), hours(120), hours(-35)
    ('28 h 27 min', '2 h', '-35 min')
    """
    if minutes < 0:
        return f"-{hours(-minutes)}"
    whole, rest = divmod(minutes, 60)
    return " ".join([f"{whole} h"] * bool(whole) + [f"{rest} min"] * bool(rest or not whole))


def day(date: dt.date, *, year: bool = False) -> str:
    """A date with its weekday, in English whatever the locale.

    >>> day(dt.date(2026, 3, 7)), day(dt.date(2026, 3, 7), year=True)
    ('Sat 7 Mar', 'Sat 7 Mar 2026')
    """
    text = f"{WEEKDAYS[date.weekday()]} {date.day} {MONTHS[date.month - 1]}"
    return f"{text} {date.year}" if year else text


def count(number: int, one: str, many: str | None = None) -> str:
    """A number of things.

    >>> count(1, "order"), count(3, "order"), count(2, "delivery", "deliveries")
    ('1 order', '3 orders', '2 deliveries')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """Words in a row.

    >>> listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])
    ('a', 'a and b', 'a, b and c')
    """
    return " and ".join(part for part in (", ".join(words[:-1]), words[-1] if words else "") if part)

"""Days and stints as a sentence names them."""

from __future__ import annotations

import datetime as dt

from onceapart.planning.workload import Workload

_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def day_in_words(day: dt.date, today: dt.date) -> str:
    """Day and month, and the year where it is not today's.

    >>> day_in_words(dt.date(2026, 4, 11), dt.date(2026, 3, 2))
    '11 April'
    >>> day_in_words(dt.date(2027, 1, 5), dt.date(2026, 12, 20))
    '5 January 2027'
    """
    words = f"{day.day} {_MONTHS[day.month - 1]}"
    return words if day.year == today.year else f"{words} {day.year}"


def stint_in_words(workload: Workload, place: int) -> str:
    """``on 7 March``, with the stint's id where there are several on that day."""
    stint = workload.stints[place]
    words = f"on {day_in_words(stint.date, workload.today)}"
    several = sum(other.date == stint.date for other in workload.stints) > 1
    return f"{words} ({stint.id})" if several and stint.id else words

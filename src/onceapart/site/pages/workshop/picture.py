"""The way to the inspection as a dimension line: today, the stints on it, the day of the inspection."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

WIDTH, LEFT, RIGHT = 300, 8, 292
NEAR = 9
"""Strokes nearer than this to one another would run together."""


@dataclass(frozen=True)
class Stroke:
    """A day on the line. ``x`` in the units of the picture."""

    x: float
    date: dt.date


@dataclass(frozen=True)
class WayPicture:
    """Places of what is drawn; ``words`` say the same to who can't see it."""

    days: int
    due: dt.date
    stints: tuple[Stroke, ...]
    ready: Stroke | None
    words: str

    @property
    def label(self) -> str:
        return f"{self.days} {'day' if self.days == 1 else 'days'}"

    @property
    def ready_anchor(self) -> str:
        assert self.ready is not None
        return "end" if self.ready.x > WIDTH * 0.62 else "start"


def way_to(
    today: dt.date, due: dt.date | None, stints: Sequence[dt.date], ready: dt.date | None
) -> WayPicture | None:
    """The picture for a car; None where there is no inspection ahead.

    >>> way_to(dt.date(2026, 3, 5), dt.date(2026, 4, 1), [dt.date(2026, 3, 7)], None).label
    '27 days'
    """
    if due is None or due <= today:
        return None
    days = (due - today).days

    def stroke(date: dt.date) -> Stroke:
        return Stroke(round(LEFT + (RIGHT - LEFT) * (date - today).days / days, 1), date)

    shown: list[Stroke] = []
    for date in stints:
        one = stroke(date)
        if not shown or one.x - shown[-1].x >= NEAR:
            shown.append(one)
    flag = stroke(ready) if ready is not None and today <= ready <= due else None
    words = f"{days} days from today to the inspection, {len(stints)} of them with a stint"
    if ready is not None:
        words += f"; ready by the plan on {ready:%d %B}"
    return WayPicture(days, due, tuple(shown), flag, words)

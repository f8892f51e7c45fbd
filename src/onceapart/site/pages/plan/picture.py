"""Ways of doing the work as a picture: when all is ready against the money it takes."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass

WIDTH, HEIGHT = 360, 250
LEFT, RIGHT, TOP, BOTTOM = 50, 300, 34, 205
NEAR = 20
"""Spots nearer than this to one another are drawn as one."""


@dataclass(frozen=True)
class Way:
    """A way of doing the work. ``ready`` is None where it can't be told or is too late."""

    name: str
    money: int
    ready: dt.date | None
    minutes: int
    fits: bool = True
    run: int | None = None


@dataclass(frozen=True)
class Spot:
    """Where a way is drawn; ``x`` and ``y`` in units of the picture. Ways near one another share it."""

    x: float
    y: float
    number: int
    names: tuple[str, ...]
    fits: bool


@dataclass(frozen=True)
class Tick:
    at: float
    label: str


@dataclass(frozen=True)
class Picture:
    """What is drawn: money upward, days to the right."""

    spots: tuple[Spot, ...]
    days: tuple[Tick, ...]
    amounts: tuple[Tick, ...]


def picture_of(ways: Sequence[Way]) -> Picture | None:
    """The picture; None where fewer than two ways have both figures."""
    shown = [way for way in ways if way.ready is not None]
    if len(shown) < 2:
        return None
    dates = [way.ready for way in shown if way.ready is not None]
    first, last = min(dates), max(dates)
    span = max(1, (last - first).days)
    step = _nice_step(max(way.money for way in shown) / 4)
    top = step * math.ceil(max(way.money for way in shown) / step)
    low = step * math.floor(min(way.money for way in shown) / step)
    if low == top:
        top += step

    def x(date: dt.date) -> float:
        return round(LEFT + (RIGHT - LEFT) * (0.06 + 0.88 * (date - first).days / span), 1)

    def y(money: int) -> float:
        return round(BOTTOM - (BOTTOM - TOP) * (money - low) / (top - low), 1)

    spots: dict[tuple[float, float], list[Way]] = {}
    for way in shown:
        assert way.ready is not None
        here = (x(way.ready), y(way.money))
        near = (
            spot
            for spot, there in spots.items()
            if math.dist(spot, here) < NEAR and there[0].fits == way.fits
        )
        spots.setdefault(next(near, here), []).append(way)
    labels: list[Tick] = []
    for date in sorted(set(dates)):
        tick = Tick(x(date), f"{date.day} {date:%b}")
        if not labels or tick.at - labels[-1].at > 42:
            labels.append(tick)
    return Picture(
        spots=tuple(
            Spot(sx, sy, number, tuple(way.name for way in there), all(way.fits for way in there))
            for number, ((sx, sy), there) in enumerate(spots.items(), 1)
        ),
        days=tuple(labels),
        amounts=tuple(Tick(y(amount), str(amount // 100)) for amount in range(low, top + 1, step)),
    )


def _nice_step(rough: float) -> int:
    """A round step of money near to a rough one. [minor units]

    >>> _nice_step(13_700), _nice_step(26_000), _nice_step(40)
    (10000, 20000, 100)
    """
    power = int(10 ** max(2, math.floor(math.log10(max(rough, 1)))))
    return next(power * k for k in (5, 2, 1) if power * k <= rough or k == 1)

"""What the findings pages show of a car: its verdicts, what is to be looked at where, and how things wear."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from onceapart.inspection.judging import Verdict
from onceapart.inspection.latest import in_order
from onceapart.inspection.reading import Reading, readings
from onceapart.inspection.verdicts import CarVerdict, ItemVerdict, inspect_car
from onceapart.inspection.walking import RING, Leg, Task, legs_of, tasks_for
from onceapart.inspection.wording import (
    ahead_words,
    asked_words,
    found_words,
    item_words,
    place_words,
    rule_words,
    when_words,
)
from onceapart.sums.present import round_significant
from onceapart.trade.rules import Item, Pack, load_pack, pack_ids
from onceapart.workshop import Car, Workshop

USUAL_RULES = "home-check"
STAGE_WORDS = {
    "cold": "Cold, engine off, wheels on the ground",
    "on-the-ground": "On the ground",
    "engine-running": "Engine running",
    "on-the-road": "On a short drive",
    "on-stands": "Up on stands",
}


@dataclass(frozen=True)
class PlaceShown:
    """A place of the car on the drawing, and what there is to do at it."""

    place: str
    words: str
    to_look_at: int
    worst: str
    """The worst verdict found there; "" if nothing was looked at."""


@dataclass(frozen=True)
class VerdictShown:
    """A verdict with everything a page says of it."""

    item: Item
    place: str
    title: str
    verdict: str
    worst: str
    found: str
    when: str
    asked: str
    rules: tuple[str, ...]
    ahead: str
    cannot: str
    unknown: tuple[str, ...]
    is_old: bool
    note: str
    photo: str
    plot: WearPlot | None = None


@dataclass(frozen=True)
class Spot:
    x: float
    y: float
    words: str


@dataclass(frozen=True)
class Rung:
    y: float
    label: str


@dataclass(frozen=True)
class WearPlot:
    """Readings over time against their limits, in units of the picture (300 by 150)."""

    spots: tuple[Spot, ...]
    limits: tuple[Rung, ...]
    marks: tuple[Rung, ...]
    expected: Spot | None
    low: float
    high: float
    """Where the spread of what is expected begins and ends."""
    first: dt.date
    last: dt.date

    @property
    def line(self) -> str:
        return " ".join(f"{spot.x},{spot.y}" for spot in self.spots)


def pack_of(car: Car, wanted: str = "") -> Pack:
    """The rule pack that a page judges by: the one wanted if there is such a one, else the car's own."""
    name = (car.inspection.rules if car.inspection else None) or USUAL_RULES
    return load_pack(wanted if wanted in pack_ids() else name)


def verdict_of(workshop: Workshop, car: Car, pack: Pack, today: dt.date) -> CarVerdict:
    """What an inspection would say."""
    return inspect_car(workshop, car.id, pack, today=today)


def places_of(verdict: CarVerdict) -> tuple[PlaceShown, ...]:
    """Every place at which something can be looked at, in walking order."""
    waiting = Counter(task.place for task in tasks_for(verdict))
    every = Counter(task.place for task in tasks_for(verdict, everything=True))
    worst: dict[str, ItemVerdict] = {}
    for one in verdict.verdicts:
        if one.place not in worst or one.verdict.rank > worst[one.place].verdict.rank:
            worst[one.place] = one
    return tuple(
        PlaceShown(
            place,
            place_words(place) or "the whole car",
            waiting[place],
            str(worst[place].verdict) if place in worst else "",
        )
        for place in RING
        if every[place] or place in worst
    )


def legs_at(verdict: CarVerdict, place: str) -> tuple[Leg, ...]:
    """Everything to look at in one place, by how the car stands."""
    return legs_of(task for task in tasks_for(verdict, everything=True) if task.place == place)


def tasks_of(leg: Leg) -> tuple[tuple[Task, bool], ...]:
    """The tasks of a leg, and whether the wheel is off for each."""
    return tuple(
        pair
        for stop in leg.stops
        for pair in (*((t, False) for t in stop.tasks), *((t, True) for t in stop.wheel_off))
    )


def shown(verdict: CarVerdict, one: ItemVerdict, history: Sequence[Reading] = ()) -> VerdictShown:
    """A verdict in words, and its wear as a picture where there is something to see."""
    last = one.readings[-1] if one.readings else None
    return VerdictShown(
        item=one.item,
        place=one.place,
        title=item_words(one.item, one.place),
        verdict=str(one.verdict),
        worst=str(one.worst) if one.worst is not one.verdict and one.is_open else "",
        found=found_words(one) if one.readings else "",
        when=when_words(last) if last else "",
        asked=asked_words(one),
        rules=tuple(rule_words(rule) for rule in one.rules),
        ahead=ahead_words(one.projection, one.item) if one.projection else "",
        cannot=one.cannot_project,
        unknown=tuple(f"{u.title}: {u.ask}" for u in one.unknown),
        is_old=one.is_old,
        note=(last.note or "") if last else "",
        photo=(last.photo or "") if last else "",
        plot=_plot(one, history),
    )


def history_of(
    workshop: Workshop, pack: Pack, car: str, today: dt.date
) -> dict[tuple[str, str], list[Reading]]:
    """All readings by item and place, the oldest first."""
    found: dict[tuple[str, str], list[Reading]] = {}
    for reading in in_order(readings(workshop, pack, car=car, today=today).good):
        for spot in reading.spots:
            found.setdefault((reading.item.id, spot), []).append(reading)
    return found


LEFT, RIGHT, TOP, BOTTOM = 34, 292, 12, 126


def _plot(one: ItemVerdict, history: Sequence[Reading]) -> WearPlot | None:
    measured = [(reading.date, reading.amount) for reading in history if reading.amount is not None]
    if one.item.wears is None or len(measured) < 2:
        return None
    ahead = one.projection
    dates = [date for date, _ in measured] + ([ahead.on] if ahead else [])
    rows = [row.limit for row in one.limits if row.limit is not None]
    amounts = [amount for _, amount in measured] + rows
    amounts += [ahead.level.low, ahead.level.high] if ahead else []
    first, last, low, high = min(dates), max(dates), min(0.0, *amounts), max(amounts)
    if one.item.wears == "rises" or low > 0.6 * high:
        low = min(amounts) - 0.1 * (high - min(amounts))
    span, days = (high - low) or 1.0, max(1, (last - first).days)

    def x(date: dt.date) -> float:
        return round(LEFT + (RIGHT - LEFT) * (date - first).days / days, 1)

    def y(amount: float) -> float:
        return round(BOTTOM - (BOTTOM - TOP) * (amount - low) / span, 1)

    unit = one.item.unit or ""
    spots = tuple(
        Spot(x(date), y(amount), f"{round_significant(amount)} {unit} on {date.isoformat()}")
        for date, amount in measured
    )
    limits = {row: Rung(y(row), f"{round_significant(row)} {unit}".strip()) for row in rows}
    return WearPlot(
        spots=spots,
        limits=tuple(limits.values()),
        marks=tuple(Rung(y(amount), round_significant(amount)) for amount in (low, high)),
        expected=Spot(x(ahead.on), y(ahead.level.typical), "expected") if ahead else None,
        low=y(ahead.level.low) if ahead else 0.0,
        high=y(ahead.level.high) if ahead else 0.0,
        first=first,
        last=last,
    )


def grouped(verdict: CarVerdict) -> tuple[tuple[str, tuple[ItemVerdict, ...]], ...]:
    """Verdicts by class, the worst first; what passes last."""
    kinds = (Verdict.DANGEROUS, Verdict.MAJOR, Verdict.MINOR, Verdict.NOT_CHECKED, Verdict.PASSES)
    return tuple((str(kind), verdict.of(kind)) for kind in kinds if verdict.of(kind))

"""What an inspection would say of a car: item by item, the worst first, and all in all."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from onceapart.errors import Problem
from onceapart.inspection.derived import Worked, work_out
from onceapart.inspection.judging import Judged, LimitRow, Verdict, judge, limits_at, rules_at
from onceapart.inspection.known import KnownCar, Unknown
from onceapart.inspection.latest import is_of_the_whole, that_count
from onceapart.inspection.odometer import yearly_km
from onceapart.inspection.reading import Flag, Reading, Readings, as_it_stands, readings
from onceapart.inspection.wear import Driven, Projection, project
from onceapart.trade.placing import suits
from onceapart.trade.rules import Item, Pack, Rule, places_of_item
from onceapart.workshop import Car, Layout, Workshop

OLD_DAYS = 365
"""After so many days a reading still counts, but is worth taking again: our judgement."""
INSPECTOR = "an inspector decides"


class Outcome(StrEnum):
    """What comes of an inspection as far as things were looked at; an inspector decides."""

    NOT_CHECKED = "nothing checked yet"
    PASS = "pass"
    MINORS = "pass with minors"
    FAIL = "fail"
    DO_NOT_DRIVE = "do not drive"


_OUTCOMES = {
    Verdict.PASSES: Outcome.PASS,
    Verdict.MINOR: Outcome.MINORS,
    Verdict.MAJOR: Outcome.FAIL,
    Verdict.DANGEROUS: Outcome.DO_NOT_DRIVE,
}


@dataclass(frozen=True)
class ItemVerdict:
    """An item at a place: what was found, what an inspection would say, and why."""

    item: Item
    place: str
    """A corner, an axle, or where on the car."""
    verdict: Verdict
    worst: Verdict = Verdict.NOT_CHECKED
    """Worse than the verdict where what is not known of the car allows it."""
    rules: tuple[Rule, ...] = ()
    """The rows that decide it."""
    readings: tuple[Reading, ...] = ()
    """Those that count, the latest last."""
    limits: tuple[LimitRow, ...] = ()
    unknown: tuple[Unknown, ...] = ()
    """What is to be looked up to say more."""
    projection: Projection | None = None
    cannot_project: str = ""
    """Why nothing can be said of the day of the inspection, for an item that wears."""
    is_old: bool = False
    """Whether the latest reading was taken over a year ago."""

    @property
    def key(self) -> tuple[str, str]:
        """Item and place."""
        return self.item.id, self.place

    @property
    def is_open(self) -> bool:
        """Whether what is not known of the car makes a difference."""
        return bool(self.unknown)


@dataclass(frozen=True)
class CarVerdict:
    """What an inspection would say of a car, and what is not known yet."""

    car: Car
    pack: Pack
    today: dt.date
    on: dt.date | None
    """The day of the inspection, if one is known."""
    verdicts: tuple[ItemVerdict, ...]
    """Of everything that was looked at, the worst first."""
    unchecked: tuple[ItemVerdict, ...]
    """What was not looked at, or only in part, in the order of the pack."""
    unruled: tuple[Reading, ...]
    """Readings on which the pack has no rule for this car."""
    flagged: tuple[Flag, ...]
    problems: tuple[Problem, ...]
    """Facts and marks of the car that can't be used."""
    missing: dict[str, str]
    """Item -> what it takes to work it out from readings that are there."""
    driven: Driven

    @property
    def outcome(self) -> Outcome:
        """That of the worst item; an inspector decides."""
        judged = [one.verdict for one in self.verdicts if one.verdict is not Verdict.NOT_CHECKED]
        worst = max(judged, key=lambda one: one.rank, default=None)
        return Outcome.NOT_CHECKED if worst is None else _OUTCOMES[worst]

    @property
    def is_law(self) -> bool:
        """Whether the rules are those of an inspection, and not mostly what a careful owner goes by."""
        own = sum(rule.status == "common practice" for rule in self.pack.rules)
        return 2 * own < len(self.pack.rules)

    @property
    def worst_possible(self) -> Verdict:
        """The worst that what is not known of the car allows of what was looked at."""
        return max(
            (one.worst for one in self.verdicts), key=lambda one: one.rank, default=Verdict.NOT_CHECKED
        )

    def of(self, verdict: Verdict) -> tuple[ItemVerdict, ...]:
        """Those with this verdict."""
        return tuple(one for one in self.verdicts if one.verdict is verdict)

    def as_it_stands(self, flag: Flag) -> ItemVerdict | None:
        """The worst a finding would be judged if only its date or odometer were in doubt."""
        reading = as_it_stands(flag, self.pack, self.car)
        if reading is None:
            return None
        found = [_judged(KnownCar(self.car, self.pack), spot, (reading,)) for spot in reading.spots]
        return max((one for one in found if one), key=lambda one: one.verdict.rank, default=None)


def inspect_car(
    workshop: Workshop,
    car: str,
    pack: Pack,
    *,
    on: dt.date | None = None,
    today: dt.date | None = None,
    found: Readings | None = None,
) -> CarVerdict:
    """Judge everything that was found on a car by a rule pack.

    Parameters
    ----------
    workshop : Workshop
    car : str
        Id of the car.
    pack : Pack
    on : date, optional
        The day of the inspection; by default the one the car is due.
    today : date, optional
        Where the workshop has no ``today``.
    found : Readings, optional
        If the findings were read before.

    Returns
    -------
    CarVerdict

    Raises
    ------
    KeyError
        There is no such car.
    """
    the_car = next((one for one in workshop.cars if one.id == car), None)
    if the_car is None:
        raise KeyError(car)
    day = workshop.today or today or dt.date.today()
    due = on or (the_car.inspection.due if the_car.inspection else None)
    known = KnownCar(the_car, pack)
    checked = found or readings(workshop, pack, car=car, today=day)
    worked = work_out(the_car, pack, checked.good)
    everything = (*checked.good, *worked.readings)
    at: dict[tuple[str, str], list[Reading]] = defaultdict(list)
    for one in everything:
        for spot in one.spots:
            at[one.item.id, spot].append(one)
    driven = _driven(everything, day)
    verdicts: list[ItemVerdict] = []
    unruled: dict[int, Reading] = {}
    for (_, spot), several in at.items():
        for counted in _grouped(that_count(several)):
            judged = _judged(known, spot, counted)
            if judged is None:
                unruled.update({id(one): one for one in counted})
                continue
            verdicts.append(_with_outlook(known, judged, spot, several, due, day, driven))
    order = {item.id: place for place, item in enumerate(pack.items)}
    verdicts.sort(key=lambda one: (-one.verdict.rank, -one.worst.rank, order[one.item.id], one.place))
    return CarVerdict(
        car=the_car,
        pack=pack,
        today=day,
        on=due,
        verdicts=tuple(verdicts),
        unchecked=_unchecked(known, at),
        unruled=tuple(one for one in unruled.values() if one.item.id not in worked.used),
        flagged=checked.flagged,
        problems=(*known.problems, *known.slips),
        missing=_missing(known, worked, at),
        driven=driven,
    )


def _grouped(counted: tuple[Reading, ...]) -> list[tuple[Reading, ...]]:
    """Readings judged together: those of one place."""
    by_place: dict[str, list[Reading]] = defaultdict(list)
    for one in counted:
        by_place["" if is_of_the_whole(one) else one.place].append(one)
    return [tuple(several) for several in by_place.values()]


def _judged(known: KnownCar, spot: str, counted: Sequence[Reading]) -> ItemVerdict | None:
    """The verdict on an item at a spot by the readings that count; None if there is no rule."""
    item = counted[-1].item
    words = tuple(dict.fromkeys(word for one in counted for word in one.words))
    judged: Judged | None = judge(known, item, spot, counted[-1].amount, words)
    if judged is None:
        return None
    return ItemVerdict(
        item=item,
        place=spot if is_of_the_whole(counted[-1]) else counted[-1].place,
        verdict=judged.verdict,
        worst=judged.worst,
        rules=judged.rules,
        readings=tuple(counted),
        limits=limits_at(known, item, spot) if item.is_measured else (),
        unknown=judged.unknown,
    )


def _with_outlook(
    known: KnownCar,
    judged: ItemVerdict,
    spot: str,
    several: Sequence[Reading],
    due: dt.date | None,
    today: dt.date,
    driven: Driven,
) -> ItemVerdict:
    """The verdict with where wear takes it, and whether its reading is old."""
    is_old = (today - judged.readings[-1].date).days > OLD_DAYS
    ahead: Projection | str | None = None
    if judged.item.wears and due is not None and judged.verdict is not Verdict.NOT_CHECKED:
        whole = is_of_the_whole(judged.readings[-1])
        same = [one for one in several if whole or one.place == judged.place]
        ahead = project(known, judged.item, spot, same, judged.verdict, due, driven)
    return replace(
        judged,
        is_old=is_old,
        projection=ahead if isinstance(ahead, Projection) else None,
        cannot_project=ahead if isinstance(ahead, str) else "",
    )


def _unchecked(known: KnownCar, at: dict[tuple[str, str], list[Reading]]) -> tuple[ItemVerdict, ...]:
    """Items with rules for this car that no reading is there for, or only of a part of them."""
    layout = known.car.layout or Layout()
    found = []
    for item in known.pack.ruled_items:
        for spot in places_of_item(item):
            if not suits(item.suits, layout, spot) or not rules_at(known, item, spot):
                continue
            several = at.get((item.id, spot), [])
            looked_at = any(is_of_the_whole(one) or not one.is_sound for one in several)
            if not looked_at and judge(known, item, spot) is not None:
                limits = limits_at(known, item, spot) if item.is_measured else ()
                found.append(ItemVerdict(item, spot, Verdict.NOT_CHECKED, limits=limits))
    return tuple(found)


def _driven(everything: Iterable[Reading], today: dt.date) -> Driven:
    known = [(one.date, one.odometer_km) for one in everything if one.odometer_km is not None]
    anchor = max(known, default=None)
    return Driven(anchor, yearly_km(known))


def _missing(known: KnownCar, worked: Worked, at: dict[tuple[str, str], list[Reading]]) -> dict[str, str]:
    """What is missing to work an item out that was not measured itself."""
    have = {item for item, _ in at}
    ruled = {item.id for item in known.pack.ruled_items}
    return {name: what for name, what in worked.missing.items() if name in ruled and name not in have}


__all__ = [
    "INSPECTOR",
    "OLD_DAYS",
    "CarVerdict",
    "ItemVerdict",
    "Outcome",
    "inspect_car",
]

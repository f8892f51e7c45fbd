"""Findings as readings: each one checked against its item, and set aside with a reason if it can't be right.

Nothing is lost: every finding is a reading or flagged, and a flagged one keeps its finding and its way out.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from onceapart.errors import QuantityError
from onceapart.inspection.amounts import in_words, is_plausible, read_typed
from onceapart.inspection.odometer import odometer_km, running_backward
from onceapart.trade.placing import condition_in_words, layout_in_words, suits
from onceapart.trade.rules import SOUND, Item, Pack, places_of_item
from onceapart.workshop import PLACES, Car, Finding, Layout, Workshop, axle_of, corners_of
from onceapart.workshop.values import nearest


class Doubt(StrEnum):
    """Why a finding is not judged."""

    UNKNOWN_ITEM = "unknown item"
    UNKNOWN_WORD = "unknown word"
    WRONG_KIND = "measured or seen"
    WRONG_UNIT = "wrong unit"
    IMPOSSIBLE = "impossible value"
    PLACE = "place does not fit"
    FUTURE = "in the future"
    BACKWARD = "odometer runs backward"

    @property
    def is_error(self) -> bool:
        """Whether the finding is simply wrong, and not just odd beside others or the calendar."""
        return self not in (Doubt.FUTURE, Doubt.BACKWARD)


@dataclass(frozen=True)
class Flag:
    """One thing that keeps a finding from being judged."""

    index: int
    """Of the finding in the workshop."""
    finding: Finding
    key: str
    """Where in the finding: ``item``, ``place``, ``value``, ``seen[1]``, ``date`` or ``odometer``."""
    doubt: Doubt
    value: str
    rule: str
    way_out: str


@dataclass(frozen=True)
class Reading:
    """One finding that can be judged, or what was worked out from several."""

    item: Item
    place: str
    """As written, which may be a part of the item only; its own place for an item of the car without one."""
    spots: tuple[str, ...]
    """Corners or axles it stands for, or the place of an item of the car."""
    amount: float | None
    """What was measured. [unit of the item]"""
    words: tuple[str, ...]
    """What was seen, without ``sound``; empty if it is sound or was measured."""
    date: dt.date
    odometer_km: float | None
    text: str
    """What was found, as a person reads it."""
    index: int | None
    """Of the finding in the workshop; None if worked out."""
    note: str | None = None
    photo: str | None = None
    worked_out: str = ""
    """How it was worked out from other readings."""

    @property
    def is_sound(self) -> bool:
        """Whether it says that nothing is wrong."""
        return self.amount is None and not self.words


@dataclass(frozen=True)
class Readings:
    """All findings of a workshop or car: those that can be judged, in the order of the file, and the rest."""

    good: tuple[Reading, ...]
    flagged: tuple[Flag, ...]


def readings(
    workshop: Workshop, pack: Pack, *, car: str | None = None, today: dt.date | None = None
) -> Readings:
    """Check the findings of a workshop, or of one car of it, against a rule pack.

    Parameters
    ----------
    workshop : Workshop
    pack : Pack
        Says which items there are, and how each is measured or seen.
    car : str, optional
        Id of the one car to look at.
    today : date, optional
        Where the workshop has no ``today``; nothing can have been found after it.

    Returns
    -------
    Readings
        Each finding is in one of the two lists; in ``flagged`` once for everything wrong with it.
    """
    day = workshop.today or today or dt.date.today()
    cars = {one.id: one for one in workshop.cars}
    good: list[Reading] = []
    flagged: list[Flag] = []
    of_car: dict[str, list[tuple[int, Finding]]] = defaultdict(list)
    for index, finding in enumerate(workshop.findings):
        if finding.car in cars and car in (None, finding.car):
            of_car[finding.car].append((index, finding))
    backward = {
        index: earlier
        for found in of_car.values()
        for index, earlier in running_backward(
            [(index, one.date, one.odometer) for index, one in found if one.date <= day]
        ).items()
    }
    for index, finding in sorted((pair for found in of_car.values() for pair in found), key=lambda p: p[0]):
        check = _Check(index, finding, pack, cars[finding.car], day, backward.get(index))
        flags = list(check.flags())
        flagged += flags
        if not flags and check.reading is not None:
            good.append(check.reading)
    return Readings(tuple(good), tuple(flagged))


def as_it_stands(flag: Flag, pack: Pack, car: Car) -> Reading | None:
    """The reading of a flagged finding if only its date or odometer is in doubt."""
    check = _Check(flag.index, flag.finding, pack, car, flag.finding.date, None)
    return check.reading if not list(check.flags()) else None


class _Check:
    """Looks at one finding; ``reading`` is there once ``flags`` has run and found nothing."""

    def __init__(
        self,
        index: int,
        finding: Finding,
        pack: Pack,
        car: Car,
        today: dt.date,
        backward: tuple[dt.date, str] | None,
    ) -> None:
        self.index, self.finding, self.pack, self.car = index, finding, pack, car
        self.today, self.backward = today, backward
        self.reading: Reading | None = None

    def _flag(self, key: str, doubt: Doubt, value: str, rule: str, way_out: str) -> Flag:
        return Flag(self.index, self.finding, key, doubt, value, rule, way_out)

    def flags(self) -> Iterator[Flag]:
        """Everything wrong with the finding."""
        yield from self._check_day()
        finding = self.finding
        item = self.pack.item(finding.item)
        if item is None:
            names = [one.id for one in self.pack.items]
            near = nearest_names(finding.item, names)
            rule = f"the rule pack {self.pack.id} has no such item"
            way_out = f"did you mean {' or '.join(near)}?" if near else "`onceapart rules` lists them"
            yield self._flag("item", Doubt.UNKNOWN_ITEM, finding.item, rule, way_out)
            return
        spots: tuple[str, ...] = ()
        amount: float | None = None
        wrong = False
        for found in (self._spots(item), self._amount(item) if item.is_measured else self._words(item)):
            if isinstance(found, Flag):
                wrong = True
                yield found
            elif isinstance(found, tuple):
                spots = found
            else:
                amount = found
        if wrong:
            return
        words = tuple(dict.fromkeys(word for word in finding.seen if word != SOUND))
        self.reading = Reading(
            item=item,
            place=_place(item, finding.place),
            spots=spots,
            amount=amount,
            words=words,
            date=finding.date,
            odometer_km=odometer_km(finding.odometer),
            text=finding.value or ", ".join(words or (SOUND,)),
            index=self.index,
            note=finding.note,
            photo=finding.photo,
        )

    def _check_day(self) -> Iterator[Flag]:
        finding = self.finding
        if finding.date > self.today:
            rule = f"it is after today, {self.today}"
            yield self._flag("date", Doubt.FUTURE, str(finding.date), rule, "check the date")
        if self.backward is not None and finding.odometer is not None:
            day, odometer = self.backward
            rule = f"an odometer does not run backward, and it stood at {odometer} on {day}"
            yield self._flag("odometer", Doubt.BACKWARD, finding.odometer, rule, "check both readings")

    def _spots(self, item: Item) -> tuple[str, ...] | Flag:
        """Where the finding stands for; a flag if that is nowhere."""
        place, layout = self.finding.place, self.car.layout or Layout()
        there = [spot for spot in places_of_item(item) if suits(item.suits, layout, spot)]
        if not there:
            at = item.place if item.at == "car" else "all"
            rule = (
                f"{item.id} is for {condition_in_words(item.suits)}, and {self.car.id} has "
                f"({layout_in_words(layout, at)})"
            )
            return self._flag("item", Doubt.PLACE, item.id, rule, "set the car's `layout`, or take it out")
        if item.at == "car":
            return tuple(there)
        named = ", ".join(there)
        if place is None:
            rule = f"{item.id} is looked at for each {item.at}, so a place is wanted"
            return self._flag("place", Doubt.PLACE, "", rule, f"use {named}, or all")
        if item.at == "corner":
            meant: Iterable[str] = corners_of(place)
        elif place == "all":
            meant = there
        else:
            # A corner is a part of what is looked at on an axle; a figure of an axle has no parts.
            meant = (place if item.is_measured else axle_of(place) or place,)
        found = tuple(spot for spot in meant if spot in there)
        if found:
            return found
        rule = f"{item.id} is of {_each(item)}"
        if any(spot in places_of_item(item) for spot in meant):
            rule = (
                f"{item.id} is for {condition_in_words(item.suits)}, and {self.car.id} has "
                f"({layout_in_words(layout, place)})"
            )
        return self._flag("place", Doubt.PLACE, place, rule, f"use {named}, or set the car's `layout`")

    def _amount(self, item: Item) -> float | Flag:
        text = self.finding.value
        example = in_words(sum(item.plausible or (0, 0)) / 2, item, 2)
        if text is None:
            words = ", ".join(self.finding.seen)
            rule = f"{item.id} is measured, in {item.unit}" if item.unit else f"{item.id} is counted"
            return self._flag("seen", Doubt.WRONG_KIND, words, rule, f"write `value`, as in {example}")
        try:
            found = read_typed(text, item)
        except QuantityError as error:
            rule, _, way_out = str(error).partition(": ")[2].partition("; ")
            rule = f"{item.id} is a {item.quantity}: {rule}" if item.quantity != "number" else rule
            return self._flag("value", Doubt.WRONG_UNIT, text, rule, way_out or f"write it as in {example}")
        if not is_plausible(found, item):
            least, most = item.plausible or (0, 0)
            shown = in_words(found, item)
            so = "" if shown == text.strip() else f"that is {shown}, and "
            rule = f"{so}{item.id} can be {in_words(least, item, 6)} to {in_words(most, item, 6)}"
            return self._flag("value", Doubt.IMPOSSIBLE, text, rule, "measure again, or check the unit")
        return found

    def _words(self, item: Item) -> Flag | None:
        known = (SOUND, *item.words)
        if self.finding.value is not None:
            rule = f"{item.id} is looked at, not measured"
            way_out = f"write `seen`, with words of {', '.join(known)}"
            return self._flag("value", Doubt.WRONG_KIND, self.finding.value, rule, way_out)
        for at, word in enumerate(self.finding.seen):
            if word not in known:
                near = nearest_names(word, known)
                way_out = f"did you mean {' or '.join(near)}?" if near else f"use {', '.join(known)}"
                rule = f"{item.id} has no such word"
                return self._flag(f"seen[{at}]", Doubt.UNKNOWN_WORD, word, rule, way_out)
        if SOUND in self.finding.seen and len(self.finding.seen) > 1:
            words = ", ".join(self.finding.seen)
            rule = f"`{SOUND}` says that nothing is wrong, and other words stand beside it"
            return self._flag("seen", Doubt.UNKNOWN_WORD, words, rule, f"keep `{SOUND}` or the others")
        return None


def nearest_names(name: str, names: Iterable[str]) -> list[str]:
    """Names that one may have meant: a slip of the keyboard away, or with the same words in them.

    >>> nearest_names("tread", ["tyre-tread", "tyre-cut", "brake-hose"])
    ['tyre-tread']
    >>> nearest_names("brake-hos", ["tyre-tread", "brake-hose"])
    ['brake-hose']
    """
    known = list(names)
    near = nearest(name, known)
    if near:
        return [near]
    wanted = set(name.split("-"))
    shared = [(len(wanted & set(one.split("-"))), one) for one in known]
    most = max((n for n, _ in shared), default=0)
    return [one for n, one in shared if n == most][:3] if most else []


def _place(item: Item, written: str | None) -> str:
    if item.at == "car" and written in (None, "all"):
        return item.place
    return written or "all"


def _each(item: Item) -> str:
    if item.at == "corner":
        return f"a corner, not of {', '.join(one for one in PLACES if not corners_of(one))}"
    return "an axle" if item.is_measured else "an axle, or a corner of it"

"""Where wear takes a reading by the day of the inspection, and what an inspection would say of it then."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.inspection.judging import LimitRow, Verdict, judge, limits_at
from onceapart.inspection.known import KnownCar
from onceapart.inspection.latest import in_order
from onceapart.inspection.reading import Reading
from onceapart.sums.result import Band
from onceapart.sums.wear.days import DAYS_A_YEAR, day_after
from onceapart.sums.wear.kinds import Kind, find_kind
from onceapart.sums.wear.line import margin_mm
from onceapart.sums.wear.outlook import Outlook, WearReading, doubts, judge_wear
from onceapart.trade.rules import Item, Rule

KINDS = {
    "tyre-tread": "tread",
    "pad-lining": "pad",
    "shoe-lining": "shoe",
    "disc-thickness": "disc",
    "drum-diameter": "drum",
}
"""Items whose gauge the wear sum knows."""
ROUGH_GAUGE = 0.02
"""For others, how far a reading may be off as a share of what can be read: our judgement."""
ONE_READING = "one reading says what is left, not how fast it goes; read it again after 1000 km or more"


@dataclass(frozen=True)
class Projection:
    """What a wearing item will be like on a day if it wears on as it did."""

    since: dt.date
    """The day of the latest reading."""
    on: dt.date
    level: Band
    """Expected reading, with its spread. [unit of the item]"""
    becomes: Verdict
    """Of the expected reading."""
    may_become: Verdict
    """Of the worst reading within the spread."""
    rules: tuple[Rule, ...]
    """The rows it falls under then, or may fall under."""
    reached: dt.date | None
    """When the first of these limits is reached; None if that can't be said."""
    reached_earliest: dt.date | None
    readings: int
    by_distance: bool
    """Whether it goes by the distance driven; else by the days."""
    doubts: tuple[str, ...]


@dataclass(frozen=True)
class Driven:
    """How far a car is driven."""

    anchor: tuple[dt.date, float] | None
    """The latest day with an odometer reading, and the reading. [km]"""
    yearly_km: float | None

    def at_km(self, day: dt.date) -> float | None:
        """Odometer to expect on a day. [km]"""
        if self.anchor is None or self.yearly_km is None:
            return None
        return self.anchor[1] + (day - self.anchor[0]).days / DAYS_A_YEAR * self.yearly_km

    def day_of(self, at_km: float) -> dt.date | None:
        """The day on which the odometer is to show a figure."""
        if self.anchor is None or not self.yearly_km:
            return None
        return day_after(self.anchor[0], (at_km - self.anchor[1]) / self.yearly_km)


def project(
    car: KnownCar,
    item: Item,
    spot: str,
    history: Iterable[Reading],
    now: Verdict,
    on: dt.date,
    driven: Driven,
) -> Projection | str | None:
    """What an item at a spot will be like on a day, by its readings over time.

    Parameters
    ----------
    car : KnownCar
    item : Item
        One that ``wears``.
    spot : str
    history : iterable of Reading
        All readings of it at the spot.
    now : Verdict
        Of its latest reading.
    on : date
        The day of the inspection.
    driven : Driven

    Returns
    -------
    Projection, str or None
        None where nothing gets worse by then; text where it can't be said, with the reason.

    Notes
    -----
    A straight line through the readings since the part was renewed (Theil and Sen; ``sums.wear``), over the
    distance driven if every reading has an odometer, else over the days. What it says is what the rules say
    of the reading expected, and of the worst one within its spread.
    """
    grows = item.wears == "rises"
    kind = _kind(item)
    readings = _since_renewed([one for one in in_order(history) if one.amount is not None], kind)
    rows = [row for row in limits_at(car, item, spot) if row.limit is not None and row.is_sure]
    if not readings or not rows or on <= readings[-1].date:
        return None
    by_distance, at, needed, day_of = _axis(readings, on, driven)
    if len(set(at)) < 2:
        return ONE_READING
    amounts = [one.amount or 0.0 for one in readings]
    worn = [WearReading(x, value) for x, value in zip(at, amounts, strict=True)]
    first = _first_limit(rows, amounts[-1], grows=grows)
    if first is None or first.limit is None:
        return None
    try:
        outlook = judge_wear("it", worn, kind, first.limit, ahead_km=max(needed - at[-1], 0.0))
    except SumError as error:
        return str(error)
    line = outlook.line
    assert line is not None
    level = _possible(line.level_at_mm(needed), item)
    becomes = judge(car, item, spot, level.typical)
    worst = judge(car, item, spot, level.high if grows else level.low)
    if becomes is None or worst is None or worst.verdict.rank <= now.rank:
        return None
    expected = becomes.verdict if becomes.verdict.rank > now.rank else now
    return Projection(
        since=readings[-1].date,
        on=on,
        level=level,
        becomes=expected,
        may_become=worst.verdict,
        rules=worst.rules if expected is now else becomes.rules,
        reached=_day(day_of, outlook.reach.likely_km),
        reached_earliest=_day(day_of, outlook.reach.earliest_km),
        readings=len(readings),
        by_distance=by_distance,
        doubts=tuple(one.removeprefix("It: ") for one in _said(outlook, kind)),
    )


def _said(outlook: Outlook, kind: Kind) -> list[str]:
    return doubts(outlook, kind)


def _axis(
    readings: Sequence[Reading], on: dt.date, driven: Driven
) -> tuple[bool, list[float], float, Callable[[float], dt.date | None]]:
    """What wear goes by: whether distance, where each reading stands, where the day stands, and back."""
    start = readings[0].date
    odometers = [one.odometer_km for one in readings if one.odometer_km is not None]
    needed = driven.at_km(on)
    if len(odometers) == len(readings) and len(set(odometers)) > 1 and needed is not None:
        return True, odometers, max(needed, odometers[-1]), driven.day_of
    days = [float((one.date - start).days) for one in readings]
    return False, days, float((on - start).days), lambda x: day_after(start, x / DAYS_A_YEAR)


def _day(day_of: Callable[[float], dt.date | None], at: float | None) -> dt.date | None:
    return None if at is None else day_of(at)


def _kind(item: Item) -> Kind:
    """The kind of part as the wear sum takes it."""
    least, most = item.plausible or (0.0, 0.0)
    gauge, words = (most - least) * ROUGH_GAUGE, "a rough reading"
    if item.id in KINDS:
        known = find_kind(KINDS[item.id])
        gauge, words = known.gauge_mm, known.gauge_words
    return Kind(item.id, item.title, item.wears == "rises", least, most, None, "", gauge, words, ())


def _since_renewed(readings: list[Reading], kind: Kind) -> list[Reading]:
    """The readings since the last one that is clearly less worn than the one before it."""
    start = 0
    for at in range(1, len(readings)):
        before, after = readings[at - 1].amount or 0.0, readings[at].amount or 0.0
        if margin_mm(after, before, grows=kind.grows) > 2 * kind.gauge_mm:
            start = at
    return readings[start:]


def _first_limit(rows: Sequence[LimitRow], value: float, *, grows: bool) -> LimitRow | None:
    """The limit that wear comes to first from a reading; None if it is past all of them."""
    ahead = [
        row
        for row in rows
        if row.limit is not None
        and (row.rule.above is not None) == grows
        and margin_mm(value, row.limit, grows=grows) >= 0
    ]
    return min(ahead, key=lambda row: abs(value - (row.limit or 0.0)), default=None)


def _possible(level: Band, item: Item) -> Band:
    """A level with nothing in it that can't be read, such as a tread below nought."""
    least, most = item.plausible or (level.low, level.high)
    return Band(*(min(max(one, least), most) for one in (level.low, level.typical, level.high)))

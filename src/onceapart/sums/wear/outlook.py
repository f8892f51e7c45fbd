"""What the readings of one wearing part say about it, in figures and in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from onceapart.errors import SumError
from onceapart.sums.present import show_value
from onceapart.sums.result import Band
from onceapart.sums.wear.kinds import Kind
from onceapart.sums.wear.line import LEAST_RATE, Reach, WearLine, assumed_line, fit_line, margin_mm

LASTS = "lasts"
MAY_NOT = "may not last"
WILL_NOT = "will not last"
PAST = "past its limit"
CANNOT_SAY = "cannot say"
VERDICTS = (LASTS, CANNOT_SAY, MAY_NOT, WILL_NOT, PAST)
"""Best first. "Cannot say" calls for another look sooner than "lasts" does."""
FAR_AHEAD = 2.0
"""A forecast that looks this many times further ahead than the readings reach back is marked as such."""


@dataclass(frozen=True)
class WearReading:
    """One reading of one part."""

    at_km: float
    value_mm: float
    day: date | None = None


@dataclass(frozen=True)
class Outlook:
    """One part: where it stands, how fast it wears, and when its limit comes."""

    where: str
    readings: tuple[WearReading, ...]
    """By distance."""
    line: WearLine | None
    """None if the readings hold no rate."""
    now_km: float
    level_mm: Band
    """At ``now_km``, or the last reading if there is no line."""
    margin_mm: float
    """From the level, or from the last reading if that is worse."""
    reach: Reach
    verdict: str

    def left_km(self, which: str) -> float | None:
        """Distance from now to the limit: ``earliest``, ``likely`` or ``latest``; nought if it is past."""
        at: float | None = getattr(self.reach, f"{which}_km")
        if self.margin_mm <= 0:
            return 0.0
        return None if at is None else max(at - self.now_km, 0.0)


def judge_wear(
    where: str,
    readings: Sequence[WearReading],
    kind: Kind,
    limit_mm: float,
    *,
    now_km: float | None = None,
    ahead_km: float | None = None,
    new_mm: float | None = None,
    fitted_km: float | None = None,
) -> Outlook:
    """Judge one part by its readings.

    Parameters
    ----------
    where : str
        What the part is called.
    readings : sequence of WearReading
        In any order.
    kind : Kind
        Kind of part.
    limit_mm : float
        Figure at which it is worn out. [mm]
    now_km : float, optional
        Odometer now; the last reading's if not given. [km]
    ahead_km : float, optional
        Distance it has to last from now. [km]
    new_mm, fitted_km : float, optional
        Figure as new; odometer when fitted. Used only if all readings were taken at one distance. [mm; km]

    Returns
    -------
    Outlook
        Where it stands and when the limit comes.
    """
    ordered = tuple(sorted(readings, key=lambda each: each.at_km))
    last = ordered[-1]
    for each in ordered:
        if not kind.least_mm <= each.value_mm <= kind.most_mm:
            rule = f"must be {kind.least_mm:g} to {kind.most_mm:g} mm for {kind.meaning}"
            raise SumError(f"{where}: {each.value_mm:g} mm at {each.at_km:g} km: {rule}; check the figure")
    now = last.at_km if now_km is None else now_km
    if now < last.at_km:
        rule = f"must not be below the last reading's {last.at_km:g} km"
        raise SumError(f"odometer {now:g} km: {rule}; check both")
    line = _line_of(ordered, kind, new_mm, fitted_km)
    level = Band(last.value_mm, last.value_mm, last.value_mm) if line is None else line.level_at_mm(now)
    margin = min(margin_mm(each, limit_mm, grows=kind.grows) for each in (level.typical, last.value_mm))
    reach = Reach(None, None, None) if line is None else line.reaches(limit_mm)
    verdict = _verdict(margin, reach, None if ahead_km is None else now + ahead_km)
    return Outlook(where, ordered, line, now, level, margin, reach, verdict)


def _line_of(
    readings: tuple[WearReading, ...], kind: Kind, new_mm: float | None, fitted_km: float | None
) -> WearLine | None:
    at_km = [each.at_km for each in readings]
    values = [each.value_mm for each in readings]
    if len(set(at_km)) > 1:
        return fit_line(at_km, values, grows=kind.grows, gauge_mm=kind.gauge_mm)
    if fitted_km is None:
        return None
    if new_mm is not None:
        new = Band(new_mm, new_mm, new_mm)
    elif kind.new_mm is not None:
        new = Band(kind.new_mm[0], sum(kind.new_mm) / 2, kind.new_mm[1])
    else:
        raise SumError(
            f"new: not given, and {kind.meaning} has no usual figure as new; give it, or leave fitted out"
        )
    value = sum(values) / len(values)
    return assumed_line(at_km[0], value, fitted_km, new, grows=kind.grows, gauge_mm=kind.gauge_mm)


def _verdict(margin: float, reach: Reach, needed_km: float | None) -> str:
    if margin <= 0:
        return PAST
    if needed_km is None:
        return ""
    if reach.earliest_km is None:
        return CANNOT_SAY
    if reach.likely_km is not None and reach.likely_km < needed_km:
        return WILL_NOT
    return MAY_NOT if reach.earliest_km < needed_km else LASTS


def soonest_first(outlooks: Sequence[Outlook]) -> list[Outlook]:
    """The parts by when their limit may come, those past it first."""

    def key(each: Outlook) -> tuple[bool, float, float]:
        left = each.left_km("earliest")
        return each.margin_mm > 0, float("inf") if left is None else left, each.margin_mm

    return sorted(outlooks, key=key)


def doubts(each: Outlook, kind: Kind) -> list[str]:
    """What to beware of in one part's figures, in words."""
    found = _odd_readings(each, kind)
    line = each.line
    name = _capital(each.where)
    if line is None:
        found.append(
            f"{name}: one reading tells what is left, not how fast it goes. Read again after 1000 km or "
            "more, or give when it was fitted."
        )
        return found
    if line.points == 1:
        found.append(f"{name}: one reading; the rate is assumed from a part fitted new, not measured.")
    elif len(each.readings) == 2:
        found.append(f"{name}: two readings; the spread is the gauge's alone, and a misread one goes unseen.")
    elif line.confidence < 0.945:
        found.append(
            f"{name}: {len(each.readings)} readings hold the rate within this spread in "
            f"{line.confidence:.0%} of cases only; five reach 95%."
        )
    if line.rate_mm_per_1000km.typical <= LEAST_RATE:
        found.append(f"{name}: no wear to be seen yet; read again further on.")
    elif line.rate_mm_per_1000km.low <= LEAST_RATE:
        found.append(f"{name}: the readings allow that it hardly wears, so there is no latest distance.")
    likely = each.reach.likely_km
    if line.points > 1 and likely is not None:
        span = each.readings[-1].at_km - each.readings[0].at_km
        if likely - each.readings[-1].at_km > FAR_AHEAD * span:
            found.append(
                f"{name}: looks more than {FAR_AHEAD:g} times further ahead than the readings reach back."
            )
    return found


def _odd_readings(each: Outlook, kind: Kind) -> list[str]:
    """Readings that go the wrong way: misread, or the part was renewed."""
    found = []
    for before, after in pairwise(each.readings):
        gained = margin_mm(after.value_mm, before.value_mm, grows=kind.grows)
        if gained > 2 * kind.gauge_mm:
            here = f"{show_value(after.value_mm, 'mm')} at {show_value(after.at_km, 'km', 6)}"
            there = f"{show_value(before.value_mm, 'mm')} at {show_value(before.at_km, 'km', 6)}"
            found.append(
                f"{_capital(each.where)}: {here} is less worn than {there}: misread, or renewed in "
                "between. Give only readings since it was fitted."
            )
    return found


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]

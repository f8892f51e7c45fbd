"""Findings, limits, rows and projections in words for a person."""

from __future__ import annotations

from onceapart.inspection.amounts import in_words
from onceapart.inspection.judging import LimitRow, Verdict
from onceapart.inspection.reading import Flag, Reading
from onceapart.inspection.verdicts import ItemVerdict
from onceapart.inspection.walking import Task
from onceapart.inspection.wear import Projection
from onceapart.sums.result import Band
from onceapart.trade.rules import MARKED, SOUND, Item, Rule

_STATUS = {
    "verified": "verified",
    "from memory": "from memory, check",
    "common practice": "common practice, no source",
}


def place_words(place: str, item: Item | None = None) -> str:
    """A place as one says it; nothing for the car as such, or where an item has only the one place.

    >>> place_words("front-left"), place_words("engine-bay"), place_words("all")
    ('front left', 'engine bay', '')
    """
    if place == "all" or (item is not None and item.at == "car" and place == item.place):
        return ""
    return place.replace("-", " ")


def item_words(item: Item, place: str) -> str:
    """An item with its place."""
    return ", ".join(part for part in (item.title, place_words(place, item)) if part)


def rule_words(rule: Rule) -> str:
    """Clause, source and how far the row can be trusted."""
    return f"{rule.clause} ({rule.source}; {_STATUS[rule.status]})"


def limit_words(row: LimitRow, item: Item) -> str:
    """A limit as one says it: ``at least 1.6 mm``."""
    side = "at most" if row.rule.above is not None else "at least"
    limit = row.rule.above or row.rule.below
    assert limit is not None
    if limit.amount is None:
        whose = "the marked" if limit.of == MARKED else f"the {str(limit.of).replace('-', ' ')}'s"
        times = "" if limit.factor == 1 else f"{float(limit.factor):g} times "
        if row.limit is None:
            return f"{side} {times}{'what is marked' if limit.of == MARKED else whose}"
        return f"{side} {in_words(row.limit, item)} ({times}{whose} figure)"
    if row.limit is not None and limit.amount.unit != (item.unit or ""):
        return f"{side} {limit.text} ({in_words(row.limit, item)})"
    return f"{side} {limit.text}"


def asked_words(one: ItemVerdict) -> str:
    """What a measured item is asked to be; empty if that is not known."""
    sure = [row for row in one.limits if row.is_sure]
    if not sure:
        return ""
    # The strictest: what fails it at all comes before what fails it badly.
    return limit_words(sure[-1], one.item)


def found_words(one: ItemVerdict) -> str:
    """What was found on an item, with what each word means."""
    if one.readings[-1].amount is not None:
        last = one.readings[-1]
        shown = in_words(last.amount or 0.0, one.item)
        is_other = bool(one.item.unit) and not last.text.strip().endswith(one.item.unit or "")
        typed = f" ({last.text})" if is_other and not last.worked_out else ""
        return f"{shown}{typed}" + (f" {last.worked_out}" if last.worked_out else "")
    words = dict.fromkeys(word for reading in one.readings for word in reading.words)
    return "; ".join(f"{word} ({one.item.words[word]})" for word in words) or SOUND


def when_words(reading: Reading) -> str:
    """When a reading was taken."""
    at = f", {reading.odometer_km:.0f} km" if reading.odometer_km is not None else ""
    return f"{reading.date.isoformat()}{at}"


def band_words(band: Band, item: Item) -> str:
    """A figure with its spread."""
    low, typical, high = (in_words(one, item, 2) for one in (band.low, band.typical, band.high))
    return typical if low == high else f"{typical} ({low} to {high})"


def klass_words(verdict: Verdict) -> str:
    """A class as part of a sentence."""
    return "a pass" if verdict is Verdict.PASSES else str(verdict)


def ahead_words(ahead: Projection, item: Item) -> str:
    """What wear makes of an item by the day of the inspection, in a sentence or two."""
    will = ahead.becomes.rank > Verdict.NOT_CHECKED.rank
    worse = ahead.may_become if ahead.may_become is not ahead.becomes else None
    said = f"by {ahead.on.isoformat()} about {band_words(ahead.level, item)}: "
    if will:
        said += f"will be {ahead.becomes}" + (f", may be {worse}" if worse else "")
    else:
        said += f"may be {ahead.may_become}"
    by = "distance driven" if ahead.by_distance else "days"
    said += f", by {ahead.readings} readings over the {by}"
    days = [f"likely on {ahead.reached.isoformat()}"] if ahead.reached is not None else []
    if ahead.reached_earliest is not None and ahead.reached_earliest != ahead.reached:
        is_past = ahead.reached_earliest <= ahead.since
        days.append("perhaps already" if is_past else f"at the earliest {ahead.reached_earliest.isoformat()}")
    return f"{said}; limit reached {', '.join(days)}" if days else said


def flag_words(flag: Flag) -> str:
    """What is wrong with a finding, and the way out."""
    value = f" {flag.value}" if flag.value else ""
    return f"{flag.key}{value}: {flag.rule}; {flag.way_out}"


def blank_words(task: Task) -> str:
    """What may be written down for a task: the limit of what is measured, or the words that may be seen."""
    item = task.item
    if item.is_measured:
        return asked_words(task.last) if task.last is not None else ""
    return ", ".join((SOUND, *item.words))

"""What a dossier says of findings: verdicts today and as of each day, measurements, what was not checked."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from onceapart.inspection.judging import Verdict
from onceapart.inspection.reading import Reading
from onceapart.inspection.verdicts import CarVerdict, ItemVerdict, inspect_car
from onceapart.inspection.wording import (
    ahead_words,
    asked_words,
    flag_words,
    found_words,
    item_words,
    place_words,
    rule_words,
    when_words,
)
from onceapart.paper.words import count, day, listed, sentence
from onceapart.trade.rules import Pack
from onceapart.workshop import Finding, Workshop

_CLASSES = (Verdict.DANGEROUS, Verdict.MAJOR, Verdict.MINOR, Verdict.NOT_CHECKED, Verdict.PASSES)
_HEADS = {
    Verdict.DANGEROUS: "Dangerous",
    Verdict.MAJOR: "Major: fails",
    Verdict.MINOR: "Minor: passes, and is noted",
    Verdict.NOT_CHECKED: "Looked at, but can't be told",
    Verdict.PASSES: "Passes",
}


def verdict_data(verdict: CarVerdict) -> dict[str, Any]:
    """How the car stands today: outcome, items by class, what was set aside, what was not looked at."""
    return {
        "outcome": str(verdict.outcome),
        "rules": f"{verdict.pack.title} ({verdict.pack.id})",
        "due": day(verdict.on) if verdict.on else "no day known",
        "looked_at": _counted(verdict),
        "worst": f"Worse is possible by what is not known of the car: {verdict.worst_possible}."
        if verdict.worst_possible.rank > max(_worst(verdict), Verdict.NOT_CHECKED.rank)
        else "",
        "classes": [
            {
                "title": f"{_HEADS[each]} ({len(verdict.of(each))})",
                "rows": [_row(several, each) for several in _alike(verdict.of(each))],
            }
            for each in _CLASSES
            if verdict.of(each)
        ],
        "ahead": [
            [item_words(one.item, one.place), sentence(ahead_words(one.projection, one.item))]
            for one in verdict.verdicts
            if one.projection is not None
        ],
        "aside": [
            f"{flag.finding.item}, {flag.finding.date.isoformat()}: {sentence(flag_words(flag))}"
            for flag in verdict.flagged
        ],
        "unruled": [f"{item_words(one.item, one.place)}: {one.text}" for one in verdict.unruled],
        "untold": [
            *(f"{_title(verdict.pack, name)}: it takes {what}." for name, what in verdict.missing.items()),
            *(f"{one.where}, {one.value}: {one.rule}; {sentence(one.way_out)}" for one in verdict.problems),
        ],
        "unchecked": _unchecked(verdict.unchecked),
        "unchecked_count": count(len(verdict.unchecked), "thing"),
        "sources": _sources(verdict),
    }


def _alike(found: Iterable[ItemVerdict]) -> list[list[ItemVerdict]]:
    """Verdicts that say the same of one item at several places, together."""
    groups: dict[tuple[object, ...], list[ItemVerdict]] = {}
    for one in found:
        rules = tuple(rule.id for rule in one.rules)
        noted = tuple((each.note, each.photo) for each in one.readings)
        key = (
            one.item.id,
            found_words(one),
            when_words(one.readings[-1]),
            asked_words(one),
            rules,
            noted,
            one.worst,
        )
        groups.setdefault(key, []).append(one)
    return list(groups.values())


def _row(several: Sequence[ItemVerdict], verdict: Verdict) -> dict[str, Any]:
    one = several[0]
    places = [place for each in several if (place := place_words(each.place, each.item))]
    last = one.readings[-1]
    rules = [f"{rule.class_}: {rule_words(rule)}" for rule in one.rules]
    rules += [sentence(rule.note) for rule in one.rules if rule.note]
    unknown = [
        f"{sentence(each.title)} is not known. {each.ask}".replace(". is", " is") for each in one.unknown
    ]
    return {
        "item": ", ".join(filter(None, [one.item.title, listed(places)])),
        "found": found_words(one),
        "when": when_words(last) + (", over a year ago" if one.is_old else ""),
        "asked": asked_words(one),
        "rules": rules if verdict is not Verdict.PASSES else [],
        "notes": [f"Noted: {each.note}" for each in one.readings if each.note],
        "photos": [each.photo for each in one.readings if each.photo],
        "unknown": [*([f"May be {one.worst}."] if one.is_open else []), *unknown],
    }


def history(workshop: Workshop, car: str, pack: Pack, today: dt.date) -> list[dict[str, Any]]:
    """Verdicts as of each day on which something was found, the latest first.

    Each is what the rules said with the findings up to that day, and no later ones.
    """
    found = [one for one in workshop.findings if one.car == car and one.date <= today]
    rows = []
    for date in sorted({one.date for one in found}):
        until = tuple(one for one in found if one.date <= date)
        then = workshop.model_copy(update={"findings": until, "today": date})
        verdict = inspect_car(then, car, pack)
        failing = [one for one in verdict.verdicts if one.verdict.rank >= Verdict.MINOR.rank]
        rows.append(
            {
                "date": day(date),
                "findings": count(sum(one.date == date for one in found), "finding"),
                "outcome": f"{verdict.outcome}, by what was found",
                "looked_at": _counted(verdict),
                "found": [_finding_words(one, pack) for one in found if one.date == date],
                "failing": [f"{item_words(one.item, one.place)}: {one.verdict}" for one in failing],
            }
        )
    return rows[::-1]


def _finding_words(one: Finding, pack: Pack) -> str:
    """A finding as it was noted."""
    item = pack.item(one.item)
    what = item.title if item else one.item
    where = place_words(one.place or "all", item)
    said = one.value or ", ".join(one.seen)
    at = f" at {one.odometer}" if one.odometer else ""
    note = f" ({one.note})" if one.note else ""
    return f"{' '.join(filter(None, [what, where]))}: {said}{at}{note}"


def measurements(readings: Iterable[Reading]) -> list[dict[str, Any]]:
    """Everything that was measured, by item: each reading with its place and day."""
    by_item: dict[str, list[Reading]] = {}
    for one in readings:
        if one.amount is not None:
            by_item.setdefault(one.item.id, []).append(one)
    return [
        {
            "item": several[0].item.id,
            "title": several[0].item.title,
            "rows": [
                [place_words(one.place, one.item) or "car", _typed(one), when_words(one), one.note or ""]
                for one in sorted(several, key=lambda one: (one.place, one.date))
            ],
        }
        for several in by_item.values()
    ]


def _typed(one: Reading) -> str:
    return f"{one.text} ({one.worked_out})" if one.worked_out else one.text


def _counted(verdict: CarVerdict) -> str:
    counts = Counter(one.verdict for one in verdict.verdicts)
    words = {Verdict.PASSES: "passed", Verdict.NOT_CHECKED: "can't be told"}
    said = [f"{counts[each]} {words.get(each, each)}" for each in _CLASSES if counts[each]]
    looked = len(verdict.verdicts)
    return f"{looked} of {looked + len(verdict.unchecked)} things" + (f": {', '.join(said)}" if said else "")


def _worst(verdict: CarVerdict) -> int:
    return max((one.verdict.rank for one in verdict.verdicts), default=0)


def _unchecked(found: Sequence[ItemVerdict]) -> list[dict[str, Any]]:
    """What was not looked at, by system; each item once with its places."""
    systems: dict[str, dict[str, list[str]]] = {}
    for one in found:
        items = systems.setdefault(one.item.system, {})
        items.setdefault(one.item.title, []).append(place_words(one.place, one.item))
    return [
        {
            "system": system,
            "items": [
                f"{title} ({listed(places)})" if (places := [one for one in where if one]) else title
                for title, where in items.items()
            ],
        }
        for system, items in systems.items()
    ]


def _sources(verdict: CarVerdict) -> list[str]:
    rules = [rule for one in verdict.verdicts for rule in one.rules]
    rules += [rule for one in verdict.verdicts if one.projection for rule in one.projection.rules]
    keys = dict.fromkeys(rule.source for rule in rules)
    return [f"{key}: {verdict.pack.sources[key].title}" for key in keys if key in verdict.pack.sources]


def _title(pack: Pack, name: str) -> str:
    item = pack.item(name)
    return item.title if item else name

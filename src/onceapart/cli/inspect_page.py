"""What an inspection would say, for the screen and for paper."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from onceapart.cli.words import count, day, listed
from onceapart.inspection.judging import Verdict
from onceapart.inspection.verdicts import INSPECTOR, CarVerdict, ItemVerdict
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

if TYPE_CHECKING:
    from onceapart.cli.page import Page
    from onceapart.inspection.reading import Flag

LABEL = 10
HEADINGS = {
    Verdict.DANGEROUS: ("Dangerous", "do not drive", "do not drive"),
    Verdict.MAJOR: ("Major", "fails", "put right before the next drive"),
    Verdict.MINOR: ("Minor", "passes, and is noted", "put right soon"),
}
"""Heading, and what it means by a rule pack of the law and by a home check."""


def add_car(page: Page, one: CarVerdict) -> None:
    """All that is said of one car."""
    add_outcome(page, one)
    for verdict in HEADINGS:
        found = one.of(verdict)
        if found:
            title, by_law, at_home = HEADINGS[verdict]
            page.heading(title, by_law if one.is_law else at_home)
            for several in _alike(found):
                _add_failing(page, several)
    _add_ahead(page, one)
    _add_open(page, one)
    _add_flagged(page, one)
    _add_passing(page, one)
    _add_unchecked(page, one)


def add_outcome(page: Page, one: CarVerdict) -> None:
    """The outcome, and what it goes by."""
    page.heading(f"{one.car.name}: {one.outcome}", INSPECTOR)
    page.fact("Rules", f"{one.pack.title} ({one.pack.id})", LABEL)
    if one.on is not None:
        left = (one.on - one.today).days
        away = f"in {count(left, 'day')}" if left > 0 else "today" if left == 0 else f"{-left} days ago"
        page.fact("Inspection", f"{day(one.on, year=True)}, {away}", LABEL)
    counts = Counter(each.verdict for each in one.verdicts)
    said = [
        f"{counts[verdict]} {word}"
        for verdict, word in (
            (Verdict.DANGEROUS, "dangerous"),
            (Verdict.MAJOR, "major"),
            (Verdict.MINOR, "minor"),
            (Verdict.PASSES, "passed"),
            (Verdict.NOT_CHECKED, "can't be told yet"),
        )
        if counts[verdict]
    ]
    looked = len(one.verdicts)
    text = f"{looked} of {looked + len(one.unchecked)} things" + (f": {', '.join(said)}" if said else "")
    page.fact("Looked at", text, LABEL)
    if one.worst_possible.rank > max((each.verdict.rank for each in one.verdicts), default=0):
        page.fact("May be", f"{one.worst_possible}, by what is not known of the car (below)", LABEL)


def _add_failing(page: Page, several: Sequence[ItemVerdict]) -> None:
    """What fails alike at one place or at several."""
    one = several[0]
    page.below(_title(several), 2)
    asked = asked_words(one)
    found = f"{found_words(one)}, found {when_words(one.readings[-1])}"
    page.below(f"{found}; {asked} is asked" if asked else found)
    for rule in one.rules:
        page.below(f"{rule.class_}: {rule_words(rule)}")
        if rule.note:
            page.below(rule.note, 6)
    for reading in one.readings:
        if reading.note:
            page.below(f"Noted: {reading.note}")
        if reading.photo:
            page.below(f"Photo: {reading.photo}")
    if one.is_open:
        page.below(f"May be {one.worst}: {_to_know(one)}")


def _title(several: Sequence[ItemVerdict]) -> str:
    places = [place_words(each.place, each.item) for each in several]
    return ", ".join(part for part in (several[0].item.title, listed([p for p in places if p])) if part)


def _alike(found: Iterable[ItemVerdict]) -> Iterator[list[ItemVerdict]]:
    """Verdicts that say the same of one item at several places, together."""
    groups: dict[tuple[object, ...], list[ItemVerdict]] = {}
    for one in found:
        last = one.readings[-1]
        rows = tuple(rule.id for rule in one.rules)
        noted = tuple((reading.note, reading.photo) for reading in one.readings)
        key = (one.item.id, found_words(one), when_words(last), noted, rows, asked_words(one))
        groups.setdefault(key, []).append(one)
    yield from groups.values()


def _to_know(one: ItemVerdict) -> str:
    """What is to be looked up, how, and where it is written down."""
    return " ".join(
        f"{capital(each.title)} is not known. {each.ask} Write {each.write}." for each in one.unknown
    )


def _add_ahead(page: Page, one: CarVerdict) -> None:
    found = [each for each in one.verdicts if each.projection is not None]
    doubts: dict[str, None] = {}
    if found:
        page.heading("By the inspection", "if it wears on as it did")
    for each in found:
        assert each.projection is not None
        page.below(item_words(each.item, each.place), 2)
        now = f"{found_words(each)} on {each.readings[-1].date.isoformat()}; {asked_words(each)} is asked"
        page.below(now)
        page.below(capital(ahead_words(each.projection, each.item)) + ".")
        page.below("; ".join(rule_words(rule) for rule in each.projection.rules))
        doubts.update(dict.fromkeys(each.projection.doubts))
    page.sentences(doubts)
    once = [
        each for each in one.of(Verdict.PASSES) if each.cannot_project and not each.readings[-1].worked_out
    ]
    if once:
        if not found:
            page.heading("By the inspection")
        page.sentences(
            [
                f"Read once, so how fast it wears can't be told: {_by_item(once)}. Read again after 1000 km "
                "or more."
            ]
        )


def _add_open(page: Page, one: CarVerdict) -> None:
    found = one.of(Verdict.NOT_CHECKED)
    if found or one.problems or one.missing:
        page.heading("Can't be told yet")
    page.sentences(
        f"{_title(several)}: {found_words(several[0])}. {_to_know(several[0])} It may be "
        f"{several[0].worst}: {'; '.join(rule_words(rule) for rule in several[0].rules)}."
        for several in _alike(found)
    )
    titles = {item.id: item.title for item in one.pack.items}
    page.sentences(f"{titles[name]}: it takes {what}." for name, what in one.missing.items())
    page.sentences(
        f"{problem.where} of {one.car.id}, {problem.value}: {problem.rule}; {sentence(problem.way_out)}"
        for problem in one.problems
    )


def _add_flagged(page: Page, one: CarVerdict) -> None:
    if not one.flagged:
        return
    findings = len({flag.index for flag in one.flagged})
    page.heading("Set aside", f"{count(findings, 'finding')} that can't be right, so not judged")
    page.sentences(
        f"{_finding(flag)}: {sentence(flag_words(flag))}{_stands(flag, one)}" for flag in one.flagged
    )


def _finding(flag: Flag) -> str:
    found = flag.finding
    place = f", {place_words(found.place)}" if found.place and place_words(found.place) else ""
    return f"{found.item}{place} on {found.date.isoformat()} (findings[{flag.index}])"


def _stands(flag: Flag, one: CarVerdict) -> str:
    stands = one.as_it_stands(flag) if not flag.doubt.is_error else None
    if stands is None or stands.verdict.rank < Verdict.MINOR.rank:
        return ""
    return f" If only that is wrong, what was found is {stands.verdict}."


def _add_passing(page: Page, one: CarVerdict) -> None:
    found = one.of(Verdict.PASSES)
    if found:
        page.heading("Passes")
        by_item: dict[str, list[ItemVerdict]] = {}
        for each in found:
            by_item.setdefault(each.item.id, []).append(each)
        page.below("; ".join(_passing(several) for several in by_item.values()) + ".", 2)
        old = [each for each in found if each.is_old]
        if old:
            page.sentences([f"Looked at over a year ago, so worth another look: {_by_item(old)}."])
    if one.unruled:
        words = [f"{item_words(each.item, each.place)} {each.text}" for each in one.unruled]
        page.heading("No rule", f"{one.pack.id} says nothing of these for this car")
        page.below("; ".join(words) + ".", 2)


def _by_item(found: Iterable[ItemVerdict]) -> str:
    """Items with their places, each item once."""
    by_item: dict[str, list[ItemVerdict]] = {}
    for one in found:
        by_item.setdefault(one.item.id, []).append(one)
    return "; ".join(_title(several) for several in by_item.values())


def _passing(several: list[ItemVerdict]) -> str:
    item = several[0].item
    said = []
    for each in several:
        place = place_words(each.place, item)
        figure = found_words(each).split(" (")[0]
        said.append(" ".join(part for part in (place, figure if figure != "sound" else "") if part))
    told = ", ".join(part for part in said if part)
    return f"{item.title}{f' ({told})' if told else ''}"


def _add_unchecked(page: Page, one: CarVerdict) -> None:
    if not one.unchecked:
        return
    page.heading("Not checked yet", f"{count(len(one.unchecked), 'thing')}")
    counts = Counter(each.item.system for each in one.unchecked)
    page.below(listed([f"{system} {n}" for system, n in counts.items()]) + ".", 2)
    page.below("`onceapart walkround FILE` gives the list to go round the car with.", 2)


def add_sources(page: Page, cars: Sequence[CarVerdict]) -> None:
    """What the packs say of themselves, and where the rows come from that were named, each once."""
    about = {f"{one.pack.id}: {note}": None for one in cars for note in one.pack.notes}
    if about:
        page.heading("About the rules")
        page.sentences(about)
    said: dict[str, None] = {}
    for one in cars:
        rules = [rule for each in one.verdicts for rule in each.rules]
        rules += [rule for each in one.verdicts if each.projection for rule in each.projection.rules]
        used = {rule.source for rule in rules}
        for key, source in one.pack.sources.items():
            if key in used:
                said[f"{key}: {source.title}. Seen: {source.seen}."] = None
    if said:
        page.heading("Sources")
        page.sentences(said)


def sentence(text: str) -> str:
    """Text with a full stop, unless it ends with a mark of its own."""
    return text if text.endswith((".", "?")) else f"{text}."


def capital(text: str) -> str:
    """Text with a capital letter in front; the rest stays as it is."""
    return text[:1].upper() + text[1:]


def add_advice(page: Page) -> None:
    """Who decides."""
    page.paragraph(
        f"The tool advises; {INSPECTOR}. What is dangerous is not driven, not even to the inspection, until "
        "it is put right. Rows that are from memory are to be checked in the law where you live."
    )

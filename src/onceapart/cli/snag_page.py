"""Snags on the screen: the ways on from one, and what choosing one did."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from onceapart.cli.page import Page
from onceapart.cli.words import count, day, money
from onceapart.workshop.money import format_money

if TYPE_CHECKING:
    from onceapart.bench.replan import Left
    from onceapart.bench.state import Snag
    from onceapart.bench.ways import WayOn
    from onceapart.bench.ways_choose import Chosen
    from onceapart.cli.record_bench import Bench
    from onceapart.workshop.model import Car

BASIS = (
    "Minutes, prices and odds are common practice, without a source. The car's manual, the law and a "
    "licensed mechanic decide; a makeshift in brakes, steering or suspension is never fine to drive on, "
    "unless its check passes and a person signs for it."
)
LABEL = 8


def add_snag(page: Page, bench: Bench, left: Left, found: Snag, ways: tuple[WayOn, ...]) -> None:
    """A snag and the ways on from it."""
    opened = found.opened
    page.heading(f"Snag {opened.number}: {opened.snag}", f"{_name(bench, opened.car)}, {opened.time.date()}")
    page.fact("What", opened.words, LABEL)
    page.items("Where", [name for name in (opened.job, *opened.blocks) if name], LABEL)
    page.items("Part", [opened.part] if opened.part else [], LABEL)
    page.items("Tool", [opened.tool] if opened.tool else [], LABEL)
    if opened.dangerous:
        page.fact("Danger", "As it stands the car must not be driven; it can't be released.", LABEL)
    if found.ways:
        page.fact("Chosen", ", then ".join(way.way for way in found.ways), LABEL)
    page.heading("Ways on", "minutes: typical, and from good to bad")
    free = [one for one in ways if one.number]
    for one in free:
        page.line(
            f"{one.number}  {_title(one)}:", _figures(one, left.workload.currency), 0 if one.number > 9 else 1
        )
        page.below(one.way.do)
        notes = [*one.effects]
        if one.way.after:
            notes.append(one.way.after)
        if notes:
            page.below(" ".join(notes))
    closed = [one for one in ways if not one.number]
    if closed:
        page.heading("Not here")
        page.sentences([f"{one.way.title}: {one.against}" for one in closed])
    _add_cautions(page, bench, free)
    page.paragraph(BASIS)
    page.paragraph(f"To choose: `onceapart snag FILE {opened.number} --way N`, then `onceapart replan FILE`.")


def _title(one: WayOn) -> str:
    if one.buy is None:
        return one.way.title
    units = f"{one.buy.units} of " if one.buy.units > 1 else ""
    return f"{one.way.title} ({units}{one.buy.offer.id})"


def _figures(one: WayOn, currency: str) -> str:
    spread, parts = one.minutes, []
    if spread.bad:
        parts.append(f"{spread.typical} min ({spread.good} to {spread.bad})")
    if one.price:
        with_fee = f" with {format_money(one.buy.delivery)} delivery" if one.buy and one.buy.delivery else ""
        parts.append(money(one.price, currency) + with_fee)
    if one.buy is not None:
        parts.append(f"here {day(one.buy.arrives)}")
    if one.way.works is not None:
        parts.append(f"works {one.way.works * 10:.0f} times in 10")
    return ", ".join(parts) or "no time of its own"


def _add_cautions(page: Page, bench: Bench, ways: list[WayOn]) -> None:
    from onceapart.bench.ways import cautions_of

    found = {caution.id: caution for one in ways for caution in cautions_of(bench.work, one.way)}
    if found:
        page.heading("Mind")
        page.sentences([f"{one.title}: {one.text}" for one in found.values()])


def add_chosen(page: Page, bench: Bench, found: Snag, way: WayOn, chosen: Chosen) -> None:
    """What choosing a way did."""
    from onceapart.bench.entries import SnagClosed, StopgapFitted
    from onceapart.bench.entries_words import entry_words

    page.heading(f"Snag {found.opened.number}: {way.way.title}")
    page.sentences(chosen.say)
    numbers = {one.id: one.number for one in bench.entries}
    kept = {one.id: one for one in bench.entries}
    for entry in chosen.entries:
        page.fact(f"{numbers.get(entry.id, 0):4}", entry_words(kept.get(entry.id, entry), numbers), 4)
    page.items("New job", [str(job["id"]) for job in chosen.jobs], LABEL)
    if any(isinstance(one, StopgapFitted) for one in chosen.entries):
        from onceapart.bench.stopgap import open_stopgaps

        page.heading("Stopgaps on this car")
        page.sentences(open_stopgaps(bench.state, found.opened.car, on=found.opened.time.date()))
    if not any(isinstance(one, SnagClosed) for one in chosen.entries):
        number = found.opened.number
        page.paragraph(f"When it is settled: `onceapart snag FILE {number} --close HOW`.")
    page.paragraph("Plan what is left: `onceapart replan FILE`.")


def add_list(page: Page, bench: Bench) -> None:
    """All snags: the open ones, and how many are closed."""
    state = bench.state
    shut = len(state.snags) - len(state.open_snags())
    page.heading(f"{bench.workshop.name}: {count(len(state.open_snags()), 'open snag')}", f"{shut} closed")
    for one in state.open_snags():
        opened = one.opened
        danger = ", DANGEROUS" if opened.dangerous else ""
        page.line(
            f"{opened.number}  {opened.snag}{danger}:", f"{_name(bench, opened.car)}, {opened.words}", 2
        )
        chosen = ", then ".join(way.way for way in one.ways)
        page.below(
            f"way on: {chosen}" if chosen else f"no way on yet: `onceapart snag FILE {opened.number}`", 6
        )


def list_to_json(bench: Bench) -> list[dict[str, Any]]:
    """All snags as data."""
    return [
        {
            **one.opened.model_dump(mode="json", exclude_none=True),
            "ways": [way.way for way in one.ways],
            "closed": one.closed.how if one.closed else None,
        }
        for one in bench.state.snags
    ]


def ways_to_json(bench: Bench, found: Snag, ways: tuple[WayOn, ...]) -> dict[str, Any]:
    """A snag with the ways on from it, as data; money in whole minor units, time in minutes."""
    return {
        "snag": found.opened.model_dump(mode="json", exclude_none=True),
        "ways": [
            {
                "number": one.number or None,
                "way": one.way.id,
                "title": one.way.title,
                "do": one.way.do,
                "minutes": one.minutes.model_dump(),
                "price": one.price,
                "works": one.way.works,
                "offer": one.buy.offer.id if one.buy else None,
                "arrives": one.buy.arrives.isoformat() if one.buy else None,
                "waits": list(one.waits),
                "goes_on": one.goes_on.isoformat() if one.goes_on else None,
                "holds": one.holds,
                "effects": list(one.effects),
                "against": one.against or None,
                "basis": one.way.basis,
            }
            for one in ways
        ],
    }


def _name(bench: Bench, car_id: str) -> str:
    cars: dict[str, Car] = {car.id: car for car in bench.workshop.cars}
    return cars[car_id].name if car_id in cars else car_id

"""A job card as it is read at the car: boxes to tick, blanks to fill, cautions in plain words."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from onceapart.bench.card_model import Card, CardPart, Phase, Step, StepCaution, StepFastener, StepKind
from onceapart.bench.card_work import place_words, titled
from onceapart.cli.files import add_stopgaps
from onceapart.cli.page import Page
from onceapart.cli.plan_page import SAFETY
from onceapart.cli.words import day, hours, listed
from onceapart.cli.wrapping import tied, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator

LABEL = 11
LEAD = "  [ ] {:>3}  "
INDENT = " " * len(LEAD.format(1))
NOT_RELEASED = (
    "The car is not released until every check has its answer and no dangerous snag is open. A makeshift "
    "repair of brakes, steering or suspension is not fit to drive on."
)
_PHASES = {Phase.CHECKS: "Release checks", Phase.ROAD: "On the road, after release"}


def show_card(card: Card, busy: Sequence[str] = (), *, with_ids: bool = False) -> None:
    """Print a card; ``busy`` names the stints with work, for when this one has none."""
    page = Page()
    label = day(card.date, year=True) + (f" {card.stint}" if card.stint else "")
    page.heading(f"{card.workshop}: job card for {label}")
    add_stopgaps(page, card.open_stopgaps)
    if not card.steps:
        where = f" It has work on {listed(list(busy))}." if busy else " It has no work at all."
        page.paragraph(f"The plan has nothing to do in this stint.{where}")
        page.show()
        return
    _add_head(page, card)
    _add_lay_out(page, card)
    _add_steps(page, card, with_ids=with_ids)
    page.paragraph(NOT_RELEASED)
    page.paragraph(SAFETY)
    page.show()


def _add_head(page: Page, card: Card) -> None:
    names = card.car_names or {}
    page.fact("Time", f"{hours(card.minutes)} of {hours(card.minutes_available)}", LABEL)
    for car in card.cars:
        jobs = [_job_words(job.title, job.place) for job in card.jobs if job.car == car]
        page.fact("Work", f"{names.get(car, car)}: {', '.join(jobs) or 'put together again'}", LABEL)
    page.items("Off already", card.found_off, LABEL)
    if card.left_off:
        page.fact("Stays off", f"{', '.join(card.left_off)}: the car stays off the road meanwhile", LABEL)
    if card.cautions:
        page.heading("Before anything else")
        page.sentences(f"{one.title}: {one.text}" for one in card.cautions)


def _job_words(title: str, place: str) -> str:
    where = place_words(place)
    return f"{title} {where}".strip()


def _add_lay_out(page: Page, card: Card) -> None:
    lay_out = card.lay_out
    page.heading("Lay out")
    ways = {"hire": " (hired)", "buy": " (bought with this plan)", "": " (NOT IN HAND)"}
    special = [f"{tool.title}{ways.get(tool.from_where, '')}" for tool in lay_out.tools]
    rows = [
        ("Tools", [*special, *lay_out.hand_tools]),
        ("Drives", list(lay_out.drives)),
        (
            "New",
            [what if n == 1 else f"{n} x {what}" for what, n in (lay_out.new_fasteners or {}).items()],
        ),
        ("Besides", list(lay_out.consumables)),
    ]
    for part in lay_out.parts:
        page.add(wrapped(_part_words(part), page.width, "  [ ] ", "      "))
    for label, items in rows:
        page.items(label, items, LABEL - 2, indent=2)


def _part_words(part: CardPart) -> str:
    pieces = "" if part.pieces == 1 else f"{part.pieces} x "
    froms = []
    for one in part.sources:
        many = f"{one.pieces} " if len(part.sources) > 1 else ""
        froms.append(f"{many}from {'the shelf' if one.is_shelf else one.words}" if one.offer or one.is_shelf
                     else f"{many}NOT IN HAND")  # fmt: skip
    return f"{pieces}{part.title} ({part.id}), {', '.join(froms)}"


def _add_steps(page: Page, card: Card, *, with_ids: bool) -> None:
    names = card.car_names or {}
    number = 0
    on_top = {one.id for one in card.cautions}
    previous: Step | None = None
    for (car, phase), inside in groupby(card.steps, key=lambda step: (step.car, step.phase)):
        steps = list(inside)
        if len(card.cars) > 1 and (previous is None or previous.car != car):
            page.heading(f"== {names.get(car, car)} ==")
        if phase in _PHASES:
            page.heading(_PHASES[phase].upper())
        for place, here in groupby(steps, key=lambda step: step.place):
            page.heading(titled(place_words(place)) or "The car")
            for step in here:
                number += 1
                _add_step(page, step, number, on_top, previous)
                if with_ids:
                    page.add(wrapped(step.id, page.width, INDENT, INDENT + "  "))
                previous = step


def _add_step(page: Page, step: Step, number: int, on_top: set[str], previous: Step | None) -> None:
    for line in _caution_lines(step.cautions, on_top):
        page.add(wrapped(f"! {line}", page.width, " " * 6, " " * 8))
    lead = LEAD.format(number)
    minutes = f" {tied(f'({step.minutes}', 'min)')}" if step.minutes else ""
    page.add(wrapped(f"{_step_words(step, previous)}{minutes}", page.width, lead, INDENT))
    for line in _fastener_lines(step):
        page.add(wrapped(line, page.width, INDENT, INDENT + "  "))


def _step_words(step: Step, previous: Step | None) -> str:
    if step.kind is StepKind.MEASURE:
        blanks = [
            f"{titled(one.what)}: {tied('____', one.unit)}" + (f" (limit: {one.limit})" if one.limit else "")
            for one in step.measurements
        ]
        return "; ".join(blanks)
    goes_on = (
        step.kind is StepKind.DO
        and previous is not None
        and previous.kind in (StepKind.DO, StepKind.MEASURE)
        and previous.jobs == step.jobs
        and previous.place == step.place
    )
    return step.words if goes_on else f"{step.title}: {step.words}"


def _fastener_lines(step: Step) -> Iterator[str]:
    for one in step.fasteners:
        if not one.is_tightened:
            if step.kind is StepKind.OFF:
                yield f"{_what(one)}: {one.drive}"
            continue
        drive = f", {one.drive}" if step.kind is StepKind.DO else ""
        yield f"{_what(one)}, {one.thread}{drive}: {tied('____', 'Nm', '(manual)')}"
        if one.band:
            low, high = f"{one.band.low_nm:.0f}", f"{one.band.high_nm:.0f}"
            yield f"cross-check only {tied(low, 'to', high, 'Nm')}; the car's manual decides"


def _what(one: StepFastener) -> str:
    many = [str(one.count)] if one.count > 1 else []
    return " ".join([*many, *["new"] * (one.renew and one.is_tightened), one.what])


def _caution_lines(cautions: Sequence[StepCaution], on_top: set[str]) -> Iterator[str]:
    """Cautions in words; what stands at the top is only called to mind, no makeshift is said once for all."""
    makeshift = [one for one in cautions if one.id.startswith("no-makeshift-")]
    brought = [one.title for one in cautions if one.id in on_top]
    if brought:
        yield f"{', '.join(brought)}: see the top."
    for one in cautions:
        if one.id not in on_top and one not in makeshift:
            yield f"{one.title}: {one.text}"
    if len(makeshift) == 1:
        yield f"{makeshift[0].title}: {makeshift[0].text}"
    elif makeshift:
        systems = listed([one.id.removeprefix("no-makeshift-") for one in makeshift])
        yield (
            f"No makeshift in {systems}: such a part or repair is not fit to drive on. If the right part is "
            "not there, the car stays."
        )

"""The list to go round a car with: stage by stage, corner by corner, with boxes and blanks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from onceapart.cli.inspect_page import capital
from onceapart.cli.words import count, day
from onceapart.cli.wrapping import TIE, wrapped
from onceapart.inspection.walking import Leg, Stop, Task, Why
from onceapart.inspection.wording import blank_words, place_words

if TYPE_CHECKING:
    from onceapart.cli.page import Page
    from onceapart.inspection.verdicts import CarVerdict
    from onceapart.trade.schema import Caution

STATES = {
    "cold": ("Cold, engine off, wheels on the ground", "before it has run today"),
    "on-the-ground": ("Engine off, wheels on the ground", ""),
    "engine-running": ("Engine running", "out of doors or with the gate wide open"),
    "on-the-road": ("A short drive", "leave it out if brakes or steering are in doubt"),
    "on-stands": ("Up on stands", "once; wheels go on again when all has been looked at"),
}
BLANK = "________"


def add_walks(page: Page, one: CarVerdict, legs: Sequence[Leg], *, everything: bool) -> None:
    """All walks round one car."""
    tasks = sum(len(leg.tasks) for leg in legs)
    what = "everything" if everything else "what is not checked yet or worth another look"
    page.heading(f"{one.car.name}: going round it", what)
    wheels = sum(len(leg.wheels_off) for leg in legs)
    if not tasks:
        page.below("There is nothing left to look at.", 2)
        return
    text = f"{count(tasks, 'thing')} in {count(len(legs), 'walk')}"
    up = any(leg.state == "on-stands" for leg in legs)
    text += f", car up {'once' if up else 'not at all'}, {count(wheels, 'wheel')} off" if up else ""
    page.below(f"{text}. Rules: {one.pack.title} ({one.pack.id}).", 2)
    page.below(f"Date ____________   Odometer ____________   (today is {day(one.today, year=True)})", 2)
    told: set[str] = set()
    cautions = _cautions(one)
    for number, leg in enumerate(legs, 1):
        title, beside = STATES[leg.state]
        page.heading(f"{number}. {title}", beside)
        mind = dict.fromkeys(cautions[name].title for name in _named([leg]) if name in cautions)
        if mind:
            page.below(f"Mind: {'; '.join(mind)} (in full at the end).", 2)
        for stop in leg.stops:
            _add_stop(page, stop, told)
    page.heading(f"{len(legs) + 1}. Done")
    if up:
        _box(page, "Wheels on, car down, nuts to the manual's torque; again after 50 km.")
        _box(page, "Pump the brake pedal until it is hard, before the car moves.")
    _box(page, "Findings into the file: `onceapart walkround FILE --form` gives the lines.")


def _add_stop(page: Page, stop: Stop, told: set[str]) -> None:
    page.line(capital(place_words(stop.place) or "The whole car"), indent=2)
    for task in stop.tasks:
        _add_task(page, task, told)
    if stop.takes_wheel_off:
        page.below("wheel off", 4)
    for task in stop.wheel_off:
        _add_task(page, task, told)


def _add_task(page: Page, task: Task, told: set[str]) -> None:
    item = task.item
    blank = f"{BLANK} {item.unit or ''}".rstrip() if item.is_measured else BLANK
    why = "" if task.why in (Why.NEW, Why.AGAIN) else f" ({task.why})"
    title = f"{item.title}{why}".ljust(page.width - len(blank) - 10, TIE)
    _box(page, f"{title}{TIE}{TIE}{blank}")
    told_before = item.id in told
    told.add(item.id)
    words = blank_words(task)
    if told_before:
        if item.is_measured and words:
            page.below(words, 8)
        return
    page.below(item.check, 8)
    if words:
        page.below(f"Write: {words}" if not item.is_measured else f"Asked: {words}", 8)


def _box(page: Page, text: str) -> None:
    from rich.text import Text

    page.add(Text(wrapped(text, page.width, "    [ ] ", "        ")))


def add_safety(page: Page, walks: Sequence[tuple[CarVerdict, Sequence[Leg]]]) -> None:
    """Cautions of everything on the list, each once."""
    texts = {
        name: caution
        for one, legs in walks
        for name, caution in _cautions(one).items()
        if name in _named(legs)
    }
    page.heading("Cautions")
    page.sentences(f"{caution.title}: {caution.text}" for caution in texts.values())
    page.paragraph("The tool advises; the car's manual, the law and the inspector decide.")


def _cautions(one: CarVerdict) -> dict[str, Caution]:
    from onceapart.trade.library import Library

    return {**Library().cautions, **{caution.id: caution for caution in one.pack.cautions}}


def _named(legs: Sequence[Leg]) -> dict[str, None]:
    """Cautions of what is looked at, in order."""
    return dict.fromkeys(name for leg in legs for task in leg.tasks for name in task.item.cautions)

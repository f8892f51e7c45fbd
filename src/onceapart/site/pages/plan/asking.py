"""What is asked of a plan, read from a form, and said in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.http import QueryDict

from onceapart.planning.plan import Aim
from onceapart.site.store.wishes import Wishes
from onceapart.workshop import Workshop
from onceapart.workshop.words import day

AIMS = {
    Aim.BALANCE: ("Money and time together", "each hour of yours counts as what it is worth to you"),
    Aim.THRIFT: ("Least money", "however long it takes"),
    Aim.SOONEST: ("Ready soonest", "all that must be done, as early as can be"),
    Aim.LEAST_WORK: ("Least work", "fewest minutes at the bench"),
}


@dataclass(frozen=True)
class Choice:
    """Something that can be asked for."""

    key: str
    label: str
    name: str
    value: str = ""
    error: str = ""
    options: tuple[tuple[str, str], ...] = ()
    is_on: bool = False


@dataclass(frozen=True)
class Asked:
    """A form for a plan: what is asked, or what is wrong with it."""

    aim: Aim
    wishes: Wishes
    held: tuple[Choice, ...] = ()
    dues: tuple[Choice, ...] = ()
    sellers: tuple[Choice, ...] = ()
    errors: tuple[str, ...] = ()
    wished: frozenset[str] = field(default_factory=frozenset)

    @property
    def is_open(self) -> bool:
        """Whether the wishes are shown at once."""
        return bool(self.wishes) or bool(self.errors)


def asked_of(
    workshop: Workshop, typed: QueryDict | Mapping[str, Any] | None, of: Wishes | None = None
) -> Asked:
    """Read a form, or fill one from wishes.

    Parameters
    ----------
    workshop : Workshop
    typed : QueryDict, optional
        Sent: ``aim``, ``held-N``, ``due-N`` by place in the file, ``without`` (sellers).
    of : Wishes, optional
        What an empty form starts from.
    """
    sent = typed is not None
    given: Mapping[str, Any] = typed if typed is not None else {}
    start = of or Wishes()
    errors: list[str] = []
    stints = tuple(
        (s.id or s.date.isoformat(), f"{day(s.date)}{f' {s.id}' if s.id else ''}") for s in workshop.stints
    )
    held, dues = {}, {}
    held_rows, due_rows = [], []
    for at, job in enumerate(workshop.jobs):
        value = str(given.get(f"held-{at}", "")) if sent else start.held.get(job.id, "")
        error = ""
        if value and value not in dict(stints):
            error = f"{value}: there is no such stint"
            errors.append(f"{job.id}: {error}")
        elif value:
            held[job.id] = value
        held_rows.append(Choice(job.id, job.id, f"held-{at}", value, error, stints))
    for at, car in enumerate(workshop.cars):
        if car.inspection is None:
            continue
        usual = car.inspection.due.isoformat()
        value = (
            str(given.get(f"due-{at}", "")).strip()
            if sent
            else start.due.get(car.id, car.inspection.due).isoformat()
        )
        error = ""
        try:
            date = dt.date.fromisoformat(value or usual)
        except ValueError:
            error = f"{value[:20]}: a date is wanted, as in {usual}"
            errors.append(f"{car.name}: {error}")
        else:
            if date != car.inspection.due:
                dues[car.id] = date
        due_rows.append(Choice(car.id, car.name, f"due-{at}", value or usual, error))
    without = (
        frozenset(given.getlist("without") if isinstance(given, QueryDict) else given.get("without", ()))
        if sent
        else start.without_sellers
    )
    without &= {seller.id for seller in workshop.sellers}
    aim = str(given.get("aim", Aim.BALANCE.value))
    if aim not in [one.value for one in Aim]:
        errors.append(f"{aim[:20]}: there is no such aim")
        aim = Aim.BALANCE.value
    return Asked(
        aim=Aim(aim),
        wishes=Wishes(held=held, without_sellers=without, due=dues),
        held=tuple(held_rows),
        dues=tuple(due_rows),
        sellers=tuple(
            Choice(one.id, one.name, "without", one.id, is_on=one.id in without) for one in workshop.sellers
        ),
        errors=tuple(errors),
    )


def wishes_in_words(workshop: Workshop, wishes: Wishes) -> tuple[str, ...]:
    """A sentence for each kind of wish."""
    cars = {car.id: car.name for car in workshop.cars}
    sellers = {seller.id: seller.name for seller in workshop.sellers}
    words = [f"{job} held to {stint}" for job, stint in sorted(wishes.held.items())]
    words += [f"nothing from {sellers.get(one, one)}" for one in sorted(wishes.without_sellers)]
    words += [f"without the offer {one}" for one in sorted(wishes.without_offers)]
    words += [f"{cars.get(car, car)} inspected {day(date)}" for car, date in sorted(wishes.due.items())]
    words += [f"{job} by {day(date)}" for job, date in sorted(wishes.by.items())]
    return tuple(words)

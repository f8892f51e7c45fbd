"""What a new plan changes: what moves where, what it costs more, whether the inspection date still holds."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from onceapart.bench.replan import Left, real_units
from onceapart.planning.cost import cost, ready_days
from onceapart.planning.dates import day_in_words
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload
from onceapart.workshop.money import format_money

Place = tuple[dt.date, str | None]
"""Date and id of a stint."""


@dataclass(frozen=True)
class Planned:
    """What a plan said, to hold another one against. Minutes and minor units, all that was done counted."""

    stint_of: Mapping[str, Place]
    left: frozenset[str] = frozenset()
    money: int = 0
    minutes: int = 0
    total: int = 0
    ready: Mapping[str, dt.date] = field(default_factory=dict)


@dataclass(frozen=True)
class CarDate:
    """When a car is ready: nothing that must be done is open, and nothing is off.

    ``after`` is None where that is so now, ``before`` where the old plan did not say.
    """

    car: str
    due: dt.date | None
    before: dt.date | None
    after: dt.date | None

    @property
    def holds(self) -> bool:
        """Whether it is ready by its inspection."""
        return self.due is None or self.after is None or self.after <= self.due


@dataclass(frozen=True)
class Changes:
    """The differences between two plans. [minor units, minutes]"""

    moved: Mapping[tuple[Place, Place], tuple[str, ...]]
    """Stint before and after -> jobs."""
    dropped: tuple[str, ...]
    """Jobs that were planned and are left now."""
    taken_up: Mapping[str, Place]
    """Jobs that were left, or were not there, and are planned now."""
    orders: Mapping[str, int]
    """Offer -> units to be ordered now."""
    cars: tuple[CarDate, ...]
    money: int
    """More than the old plan; less if below nought."""
    minutes: int
    total: int
    money_now: int = 0
    total_now: int = 0

    @property
    def is_nothing(self) -> bool:
        """Whether all stays as it was."""
        return not (self.moved or self.dropped or self.taken_up or self.orders or self.total or self.minutes)


def as_planned(workload: Workload, plan: Plan) -> Planned:
    """What a plan of a workload says."""
    price = cost(workload, plan)
    return Planned(
        _stint_of(workload, plan),
        frozenset(workload.job) - plan.done,
        price.money,
        price.minutes,
        price.total,
        ready_days(workload, plan),
    )


def as_replanned(left: Left, plan: Plan) -> Planned:
    """What a new plan says, with all that was done and spent before."""
    return Planned(
        _stint_of(left.workload, plan),
        frozenset(left.workload.job) - plan.done,
        left.money_in_all(plan),
        left.spent.minutes + cost(left.workload, plan).minutes,
        left.total_in_all(plan),
        ready_days(left.workload, plan),
    )


def planned_to_json(planned: Planned) -> dict[str, Any]:
    """What ``planned_from_json`` needs besides the stints of a plan."""
    return {
        "money": planned.money,
        "minutes": planned.minutes,
        "total": planned.total,
        "ready": {car: day.isoformat() for car, day in planned.ready.items()},
    }


def planned_from_json(data: Mapping[str, Any]) -> Planned:
    """What a plan said that was saved by ``replan --json``.

    Raises
    ------
    ValueError, KeyError, TypeError
        It is none.
    """
    whole = data["in_all"]
    return Planned(
        {
            str(job): (dt.date.fromisoformat(stint["date"]), stint["id"])
            for stint in data["stints"]
            for job in stint["jobs"]
        },
        frozenset(str(one["job"]) for one in data["left"]),
        int(whole["money"]),
        int(whole["minutes"]),
        int(whole["total"]),
        {str(car): dt.date.fromisoformat(day) for car, day in whole["ready"].items()},
    )


def changes(before: Planned, left: Left, plan: Plan) -> Changes:
    """What a new plan changes against an old one.

    Parameters
    ----------
    before : Planned
        The old plan.
    left : Left
        What was left, and planned anew.
    plan : Plan
        The new plan, of ``left.workload``.
    """
    now = as_replanned(left, plan)
    moved: dict[tuple[Place, Place], list[str]] = {}
    taken_up = {}
    for job, place in now.stint_of.items():
        old = before.stint_of.get(job)
        if old is None:
            taken_up[job] = place
        elif old != place:
            moved.setdefault((old, place), []).append(job)
    done = {*left.jobs.done}
    dropped = tuple(
        job for job in before.stint_of if job not in now.stint_of and job not in done and job in now.left
    )
    return Changes(
        moved={key: tuple(moved[key]) for key in sorted(moved, key=str)},
        dropped=dropped,
        taken_up=taken_up,
        orders=real_units(left.workload, plan),
        cars=tuple(
            CarDate(
                car.id,
                car.inspection.due if car.inspection else None,
                before.ready.get(car.id),
                now.ready.get(car.id),
            )
            for car in left.workshop.cars
            if car.id in before.ready or car.id in now.ready
        ),
        money=now.money - before.money,
        minutes=now.minutes - before.minutes,
        total=now.total - before.total,
        money_now=now.money,
        total_now=now.total,
    )


def changes_in_words(left: Left, found: Changes) -> tuple[str, ...]:
    """The differences as sentences, what moves first."""
    return tuple(_words(left, found))


def _words(left: Left, found: Changes) -> Iterator[str]:
    today, currency = left.workload.today, left.workload.currency

    def on(place: Place) -> str:
        return day_in_words(place[0], today) + (f" ({place[1]})" if place[1] else "")

    if found.is_nothing:
        yield "Nothing changes: the old plan goes on as it was."
    for (old, new), jobs in found.moved.items():
        verb = "move" if len(jobs) > 1 else "moves"
        yield f"{_listed(jobs)} {verb} from {on(old)} to {on(new)}."
    for job, place in found.taken_up.items():
        care = left.jobs.owed.get(job)
        what = f"{care} still has to follow what was done" if care else f"{job} is new"
        yield f"{what}: on {on(place)}."
    for job in found.dropped:
        yield f"{job} is left; it was to be done."
    if found.orders:
        lines = [f"{units} of {offer}" if units > 1 else offer for offer, units in found.orders.items()]
        yield f"To order now: {_listed(lines)}."
    money = _more(found.money, lambda amount: f"{format_money(amount)} {currency}")
    minutes = _more(found.minutes, lambda amount: f"{amount} minutes")
    if not found.is_nothing:
        yield (
            f"In all it comes to {format_money(found.money_now)} {currency}, {money} than planned, and takes "
            f"{minutes}; with your time, {_more(found.total, lambda a: f'{format_money(a)} {currency}')}."
        )
    for car in found.cars:
        yield _car_words(left, car)


def _car_words(left: Left, car: CarDate) -> str:
    today = left.workload.today
    name = next((one.name for one in left.workshop.cars if one.id == car.car), car.car)
    if car.after is None:
        ready = f"{name}: all that must be done is done"
    else:
        ready = f"{name} is ready on {day_in_words(car.after, today)}"
        if car.before is not None and car.before != car.after:
            ready += f", not on {day_in_words(car.before, today)}"
    if car.due is None:
        return f"{ready}."
    due = day_in_words(car.due, today)
    if not car.holds:
        return f"{ready}: TOO LATE for its inspection, due {due}."
    if car.after is None:
        return f"{ready}; its inspection is due {due}."
    days = (car.due - car.after).days
    spare = "on the very day" if not days else f"with {days} day{'' if days == 1 else 's'} to spare"
    return f"{ready}; its inspection, due {due}, holds {spare}."


def _more(amount: int, words: Any) -> str:
    if not amount:
        return "no more"
    return f"{words(abs(amount))} {'more' if amount > 0 else 'less'}"


def _listed(words: Any) -> str:
    words = list(words)
    return " and ".join(part for part in (", ".join(words[:-1]), words[-1] if words else "") if part)


def _stint_of(workload: Workload, plan: Plan) -> dict[str, Place]:
    return {
        job: (stint.date, stint.id)
        for stint, work in zip(workload.stints, plan.work, strict=True)
        for job in work.jobs
    }

"""A plan as a line of days: when to order, what arrives, what is done in each stint, when inspections are."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from onceapart.planning.cost import delivery_of, goods_by_seller
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload
from onceapart.workshop import Workshop

Kind = Literal["order", "arrives", "stint", "inspection"]
_TURN: dict[Kind, int] = {"order": 0, "arrives": 1, "stint": 2, "inspection": 3}


@dataclass(frozen=True)
class SharedWork:
    """What is done once for several jobs, or only taken off or put on."""

    name: str
    minutes: int
    jobs: int
    price: int = 0


@dataclass(frozen=True)
class JobIn:
    """A job in a stint, with the reasons it is there."""

    id: str
    car: str
    minutes: int
    is_must: bool
    why: tuple[str, ...] = ()


@dataclass(frozen=True)
class StintShown:
    """A stint of the plan. ``share`` is how much of it is used. [%]"""

    place: int
    label: str
    used: int
    room: int
    jobs: tuple[JobIn, ...]
    off: tuple[SharedWork, ...]
    rest_off: int
    """How much else comes off, each for one job only."""
    rest_minutes: int
    on: tuple[str, ...]
    """What was off already and goes on."""
    stays_off: tuple[str, ...]
    aftercare: tuple[SharedWork, ...]
    hire: tuple[tuple[str, int], ...]

    @property
    def share(self) -> int:
        return round(100 * self.used / self.room) if self.room else 100

    @property
    def is_empty(self) -> bool:
        return not self.used and not self.jobs


@dataclass(frozen=True)
class Line:
    """Something bought."""

    offer: str
    title: str
    units: int
    price: int
    arrives: dt.date


@dataclass(frozen=True)
class OrderShown:
    """An order at one seller."""

    seller: str
    name: str
    goods: int
    delivery: int
    deposit: int
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Day:
    """A point on the line of days."""

    date: dt.date
    kind: Kind
    stint: StintShown | None = None
    orders: tuple[OrderShown, ...] = ()
    seller: str = ""
    lines: tuple[Line, ...] = ()
    car: str = ""
    car_id: str = ""


def orders_of(workload: Workload, plan: Plan) -> tuple[OrderShown, ...]:
    """What is ordered, a seller each."""
    return tuple(_orders(workload, plan))


def _orders(workload: Workload, plan: Plan) -> Iterator[OrderShown]:
    for seller, goods in goods_by_seller(workload, plan).items():
        bought = [o for o in workload.offers if o.seller == seller and plan.units.get(o.id)]
        yield OrderShown(
            seller=seller,
            name=workload.seller[seller].name,
            goods=goods,
            delivery=delivery_of(workload, seller, goods),
            deposit=sum(plan.units[o.id] * o.deposit for o in bought),
            lines=tuple(
                Line(
                    offer.id,
                    offer.title
                    or ", ".join(f"{n} {part}" if n > 1 else part for part, n in offer.parts.items()),
                    plan.units[offer.id],
                    plan.units[offer.id] * offer.price,
                    offer.arrives,
                )
                for offer in bought
            ),
        )


def days_of(
    workshop: Workshop, workload: Workload, plan: Plan, why: dict[str, Sequence[str]] | None = None
) -> list[Day]:
    """All that happens, in order of days.

    Parameters
    ----------
    why : dict, optional
        Job -> sentences on why it is in its stint.
    """
    days = []
    orders = orders_of(workload, plan)
    if orders or plan.tools_bought:
        days.append(Day(workload.today, "order", orders=orders))
    coming: defaultdict[tuple[dt.date, str], list[Line]] = defaultdict(list)
    for order in orders:
        for line in order.lines:
            if line.arrives > workload.today:
                coming[line.arrives, order.name].append(line)
    days += [Day(date, "arrives", seller=name, lines=tuple(lines)) for (date, name), lines in coming.items()]
    for at, stint in enumerate(workload.stints):
        days.append(Day(stint.date, "stint", stint=stint_shown(workload, plan, at, why or {})))
    for car in workshop.cars:
        if car.inspection and car.inspection.due >= workload.today:
            days.append(Day(car.inspection.due, "inspection", car=car.name, car_id=car.id))
    return sorted(days, key=lambda one: (one.date, _TURN[one.kind]))


def stint_shown(workload: Workload, plan: Plan, at: int, why: dict[str, Sequence[str]]) -> StintShown:
    """One stint of a plan."""
    stint, work, found = workload.stints[at], plan.work[at], plan.found_off(workload, at)
    serving: Counter[str] = Counter()
    for job in work.jobs:
        opened = workload.opened_for([job])
        serving.update(opened)
        serving.update(workload.aftercare_for([job], opened))
    taken = [name for name in work.access if name not in found]
    minutes = {name: workload.access_minutes(name, found, work.left_off) for name in taken}
    alone = [name for name in taken if serving[name] < 2]
    return StintShown(
        place=at,
        label=stint.id or "",
        used=plan.minutes_in(workload, at),
        room=stint.minutes,
        jobs=tuple(
            JobIn(
                job,
                workload.job[job].car,
                workload.job[job].minutes,
                workload.job[job].is_must,
                tuple(why.get(job, ())),
            )
            for job in work.jobs
        ),
        off=tuple(SharedWork(name, minutes[name], serving[name]) for name in taken if serving[name] > 1),
        rest_off=len(alone),
        rest_minutes=sum(minutes[name] for name in alone),
        on=tuple(name for name in work.access if name in found and name not in work.left_off),
        stays_off=work.left_off,
        aftercare=tuple(
            SharedWork(name, care.minutes, serving[name], care.price)
            for name in work.aftercare
            for care in [workload.aftercare_by_id[name]]
        ),
        hire=tuple((tool, workload.tool[tool].hire or 0) for tool in work.hire),
    )

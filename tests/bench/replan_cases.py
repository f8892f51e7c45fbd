"""Tiny workshops by chance, worked on as far as one likes by their own plan."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "planning"))

from test_plan_standing import LONG, workload_of
from workloads import Shape, seeded_workload

from onceapart.bench.entries import Entry, Ticked
from onceapart.bench.release_work import work_of
from onceapart.bench.replan import Left, replanned
from onceapart.bench.state import State, fold
from onceapart.planning.plan import Plan
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Workload, workload_from
from onceapart.workshop import (
    Access,
    Aftercare,
    Car,
    Inspection,
    Job,
    Need,
    Offer,
    Seller,
    Stint,
    Tool,
    Workshop,
)

ZONE = dt.UTC


def as_workshop(workload: Workload) -> Workshop:
    """A workload as a workshop; what comes off gets its car into its id, as it has in a real one."""

    def named(names: Sequence[str]) -> tuple[str, ...]:
        return tuple(f"one/{name}" for name in names)

    cars = sorted({"one", *(job.car for job in workload.jobs)})
    return Workshop(
        name="Made up",
        today=workload.today,
        currency=workload.currency,
        hour_worth=workload.hour_worth,
        cars=tuple(
            Car(
                id=car,
                name=car,
                off_road=workload.off_road.get(car, 0),
                inspection=Inspection(due=workload.due[car]) if car in workload.due else None,
            )
            for car in cars
        ),
        tools=tuple(Tool(id=t.id, have=t.have, hire=t.hire, buy=t.buy) for t in workload.tools),
        shelf=dict(workload.shelf),
        access=tuple(
            Access(
                id=f"one/{a.id}",
                minutes=a.minutes,
                under=named(a.under),
                aftercare=a.aftercare,
                tools=a.tools,
                may_stand=a.may_stand,
            )
            for a in workload.access
        ),
        aftercare=tuple(Aftercare(id=a.id, minutes=a.minutes, price=a.price) for a in workload.aftercare),
        jobs=tuple(
            Job(
                id=job.id,
                car=job.car,
                need=Need.SAFETY if job.is_must else Need.UPKEEP,
                minutes=job.minutes,
                by=job.last_day,
                worth=job.worth,
                access=named(job.access),
                parts=dict(job.parts),
                tools=job.tools,
                after=job.after,
                aftercare=job.aftercare,
            )
            for job in workload.jobs
        ),
        sellers=tuple(
            Seller(id=s.id, name=s.name, delivery=s.delivery, free_from=s.free_from, days=0)
            for s in workload.sellers
        ),
        offers=tuple(
            Offer(
                id=o.id,
                seller=o.seller,
                parts=dict(o.parts),
                price=o.price,
                limit=o.limit,
                days=(o.arrives - workload.today).days,
            )
            for o in workload.offers
        ),
        stints=tuple(Stint(date=s.date, minutes=s.minutes, id=s.id) for s in workload.stints),
    )


@cache
def planned_workshop(seed: int, shape: Shape = LONG, hour_worth: int = 1200) -> tuple[Workshop, Plan] | None:
    """A workshop of this seed with its best plan; None where there is none, or a stint lies in the past."""
    workload = replace(
        workload_of(shape, seed) if shape == LONG else seeded_workload(seed, shape),
        off_now=frozenset(),
        hour_worth=hour_worth,
    )
    if any(stint.date < workload.today for stint in workload.stints):
        return None
    stints = [replace(one, id=one.id or f"s{at}") for at, one in enumerate(workload.stints)]
    workshop = as_workshop(replace(workload, stints=tuple(stints)))
    answer = best_plan(workload_from(workshop))
    return None if answer.plan is None else (workshop, answer.plan)


def ticks_of_stint(workshop: Workshop, plan: Plan, at: int, most: int | None = None) -> list[Ticked]:
    """Everything of one stint of a plan: off, jobs, on, aftercare; the first ``most`` of it."""
    workload, work = workload_from(workshop), plan.work[at]
    stint, found_off = workload.stints[at], plan.found_off(workload, at)
    jobs = {job.id: job.car for job in workshop.jobs}
    off = [name for name in in_order(workload, work.access) if name not in found_off]
    on = [name for name in reversed(in_order(workload, work.access)) if name not in work.left_off]
    steps = [
        *((f"off:{name}", "one") for name in off),
        *((f"do:{job}", jobs[job]) for job in work.jobs),
        *((f"on:{name}", "one") for name in on),
        *((f"aftercare:{care}", "one") for care in work.aftercare),
    ]
    return [
        Ticked(time=time_of(stint.date, number), car=car, step=step, stint=stint.id)
        for number, (step, car) in enumerate(steps[:most])
    ]


def in_order(workload: Workload, names: Sequence[str]) -> list[str]:
    """The same, what must be off before in front."""
    found: dict[str, None] = {}

    def take(name: str) -> None:
        for under in workload.access_by_id[name].under:
            take(under)
        found.setdefault(name)

    for name in names:
        take(name)
    return [name for name in found if name in names]


def time_of(day: dt.date, minute: int = 0) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(9), ZONE) + dt.timedelta(minutes=minute)


def numbered(entries: Sequence[Entry]) -> list[Entry]:
    return [one.model_copy(update={"number": n}) for n, one in enumerate(entries, start=1)]


def state_of(workshop: Workshop, entries: Sequence[Entry]) -> State:
    return fold(numbered(entries), work_of(workshop).job_steps)


def left_of(
    workshop: Workshop, plan: Plan | None, entries: Sequence[Entry], now: dt.datetime, **more: object
) -> Left:
    return replanned(workshop, state_of(workshop, entries), plan, now, **more)  # type: ignore[arg-type]

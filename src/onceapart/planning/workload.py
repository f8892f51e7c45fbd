"""The planning problem as plain data: every default filled in, every date known, money in minor units."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeAlias

from onceapart.workshop import Workshop

StintKey: TypeAlias = tuple[dt.date, str | None]
"""Date and id of a stint, which no other has."""


@dataclass(frozen=True)
class Job:
    """A piece of work. ``last_day`` is the last date it may be done on, ``worth`` is in minor units.

    ``held_to`` is the key of the one stint it may be done in, where somebody wants it there.
    """

    id: str
    car: str
    is_must: bool
    minutes: int
    last_day: dt.date | None = None
    worth: int = 0
    access: tuple[str, ...] = ()
    parts: Mapping[str, int] = field(default_factory=dict)
    tools: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    aftercare: tuple[str, ...] = ()
    held_to: StintKey | None = None


@dataclass(frozen=True)
class Access:
    """What comes off and goes on again, in ``minutes`` together; ``under`` must be off before.

    ``may_stand``: it may stay off from one stint to the next.
    """

    id: str
    minutes: int
    under: tuple[str, ...] = ()
    aftercare: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    may_stand: bool = False

    @property
    def minutes_off(self) -> int:
        """Minutes of taking it off: half of all, rounded up. Putting it on takes the others."""
        return self.minutes - self.minutes // 2


@dataclass(frozen=True)
class Aftercare:
    id: str
    minutes: int
    price: int


@dataclass(frozen=True)
class Tool:
    """``hire`` is paid per stint, ``buy`` once; None where it cannot be had that way."""

    id: str
    have: bool = False
    hire: int | None = None
    buy: int | None = None


@dataclass(frozen=True)
class Seller:
    id: str
    name: str
    delivery: int
    free_from: int | None = None


@dataclass(frozen=True)
class Offer:
    """``arrives`` is the first day its pieces can be used on; ``parts`` are the pieces in one unit."""

    id: str
    seller: str
    parts: Mapping[str, int]
    price: int
    arrives: dt.date
    limit: int | None = None
    deposit: int = 0
    title: str | None = None


@dataclass(frozen=True)
class Stint:
    date: dt.date
    minutes: int
    id: str | None = None

    @property
    def key(self) -> StintKey:
        """What tells it from the others."""
        return self.date, self.id

    @property
    def label(self) -> str:
        """What a person calls it: its date, and its id where it has one."""
        return f"{self.date.isoformat()} {self.id}" if self.id else self.date.isoformat()


@dataclass(frozen=True)
class Workload:
    """All that a plan is made from. Stints are in order of date, then of the file.

    ``off_now`` is what is off already at the start and must go on again; with ``Access.may_stand``, see
    ``standing``. ``off_road`` is the price of a day that a car can't be driven, ``due`` the day of its
    inspection; both by car.
    """

    today: dt.date
    currency: str
    hour_worth: int
    jobs: tuple[Job, ...]
    access: tuple[Access, ...] = ()
    aftercare: tuple[Aftercare, ...] = ()
    tools: tuple[Tool, ...] = ()
    shelf: Mapping[str, int] = field(default_factory=dict)
    sellers: tuple[Seller, ...] = ()
    offers: tuple[Offer, ...] = ()
    stints: tuple[Stint, ...] = ()
    off_now: frozenset[str] = frozenset()
    off_road: Mapping[str, int] = field(default_factory=dict)
    due: Mapping[str, dt.date] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if any(a.date > b.date for a, b in zip(self.stints, self.stints[1:], strict=False)):
            raise ValueError("stints of a workload are in order of date")
        for name in sorted(self.off_now):
            if not self.off_now.issuperset(self.access_by_id[name].under):
                raise ValueError(f"{name} is off now, so what is under it is off too")

    @cached_property
    def job(self) -> dict[str, Job]:
        return {job.id: job for job in self.jobs}

    @cached_property
    def access_by_id(self) -> dict[str, Access]:
        return {access.id: access for access in self.access}

    @cached_property
    def aftercare_by_id(self) -> dict[str, Aftercare]:
        return {care.id: care for care in self.aftercare}

    @cached_property
    def tool(self) -> dict[str, Tool]:
        return {tool.id: tool for tool in self.tools}

    @cached_property
    def seller(self) -> dict[str, Seller]:
        return {seller.id: seller for seller in self.sellers}

    @cached_property
    def offer(self) -> dict[str, Offer]:
        return {offer.id: offer for offer in self.offers}

    def may_stand_in(self, job_id: str, at: int) -> bool:
        """Whether stint ``at`` is not after a job's last day, and the one it is held to, if it is."""
        job, stint = self.job[job_id], self.stints[at]
        in_time = job.last_day is None or stint.date <= job.last_day
        return in_time and job.held_to in (None, stint.key)

    def opened_for(self, job_ids: Iterable[str]) -> tuple[str, ...]:
        """Every access that must be open for these jobs, with all that must be off before, sorted."""
        seen: set[str] = set()
        waiting = [access for job_id in job_ids for access in self.job[job_id].access]
        while waiting:
            access = waiting.pop()
            if access not in seen:
                seen.add(access)
                waiting.extend(self.access_by_id[access].under)
        return tuple(sorted(seen))

    @cached_property
    def standing(self) -> dict[str, str]:
        """Access that may be left off between stints, and the car that can't be driven meanwhile.

        It may stand and one car's jobs alone need it, or it is off now; all that is under it likewise. The
        car is "" where no job needs it.
        """
        cars: dict[str, set[str]] = {access.id: set() for access in self.access}
        for job in self.jobs:
            for name in self.opened_for([job.id]):
                cars[name].add(job.car)
        named = {
            name
            for name, access in self.access_by_id.items()
            if name in self.off_now or (access.may_stand and len(cars[name]) < 2)
        }
        while True:
            kept = {name for name in named if named.issuperset(self.access_by_id[name].under)}
            if kept == named:
                return {name: min(cars[name], default="") for name in sorted(kept)}
            named = kept

    def may_stand_over(self, car: str, at: int) -> bool:
        """Whether a car may stand taken apart from stint ``at`` to the next: not over its inspection."""
        if at + 1 >= len(self.stints):
            return False
        due = self.due.get(car)
        return due is None or not self.stints[at].date <= due < self.stints[at + 1].date

    def days_to_next(self, at: int) -> int:
        """Days from stint ``at`` to the next."""
        return (self.stints[at + 1].date - self.stints[at].date).days

    def aftercare_for(self, job_ids: Iterable[str], opened: Iterable[str]) -> tuple[str, ...]:
        """Aftercare that these jobs and these open accesses bring, each once, sorted."""
        named = {care for job_id in job_ids for care in self.job[job_id].aftercare}
        named.update(care for access in opened for care in self.access_by_id[access].aftercare)
        return tuple(sorted(named))

    def tools_for(self, job_ids: Iterable[str], opened: Iterable[str]) -> tuple[str, ...]:
        """Tools that these jobs and these open accesses name, sorted."""
        named = {tool for job_id in job_ids for tool in self.job[job_id].tools}
        named.update(tool for access in opened for tool in self.access_by_id[access].tools)
        return tuple(sorted(named))

    def minutes_of(
        self,
        job_ids: Iterable[str],
        opened: Iterable[str],
        cares: Iterable[str],
        found_off: Collection[str] = (),
        left_off: Collection[str] = (),
    ) -> int:
        """Minutes of doing these jobs with these accesses opened and this aftercare carried out.

        What was found off is not taken off, what is left off is not put on.
        """
        return (
            sum(self.job[job_id].minutes for job_id in job_ids)
            + sum(self.access_minutes(access, found_off, left_off) for access in opened)
            + sum(self.aftercare_by_id[care].minutes for care in cares)
        )

    def access_minutes(self, name: str, found_off: Collection[str], left_off: Collection[str]) -> int:
        """Minutes of taking an access off, unless it was found off, and on, unless it is left off."""
        access = self.access_by_id[name]
        off = 0 if name in found_off else access.minutes_off
        on = 0 if name in left_off else access.minutes - access.minutes_off
        return off + on


def workload_from(workshop: Workshop, today: dt.date | None = None) -> Workload:
    """The planning problem of a workshop whose recipes have been applied.

    Parameters
    ----------
    workshop : Workshop
        Checked, every job with minutes of its own.
    today : date, optional
        The day orders are placed, where the workshop names none.

    Raises
    ------
    ValueError
        A job has no minutes (its recipe was not applied), or no day is known.
    """
    day = workshop.today or today
    if day is None:
        raise ValueError("no day to place orders on: give `today` in the workshop file or to this call")
    seller_days = {seller.id: seller.days for seller in workshop.sellers}
    jobs = []
    for job in workshop.jobs:
        if job.minutes is None:
            raise ValueError(f"job {job.id}: no minutes; apply its recipe {job.recipe} first")
        jobs.append(
            Job(
                id=job.id,
                car=job.car,
                is_must=job.need.is_must,
                minutes=job.minutes,
                last_day=workshop.deadline(job),
                worth=0 if job.need.is_must else job.worth,
                access=job.access,
                parts=job.parts,
                tools=job.tools,
                after=job.after,
                aftercare=job.aftercare,
            )
        )
    return Workload(
        today=day,
        currency=workshop.currency,
        hour_worth=workshop.hour_worth,
        jobs=tuple(jobs),
        access=tuple(
            Access(a.id, a.minutes, a.under, a.aftercare, a.tools, a.may_stand) for a in workshop.access
        ),
        aftercare=tuple(Aftercare(a.id, a.minutes, a.price) for a in workshop.aftercare),
        tools=tuple(Tool(t.id, t.have, t.hire, t.buy) for t in workshop.tools),
        shelf=dict(workshop.shelf),
        sellers=tuple(Seller(s.id, s.name, s.delivery, s.free_from) for s in workshop.sellers),
        offers=tuple(
            Offer(
                id=o.id,
                seller=o.seller,
                parts=o.parts,
                price=o.price,
                arrives=day + dt.timedelta(days=seller_days[o.seller] if o.days is None else o.days),
                limit=o.limit,
                deposit=o.deposit,
                title=o.title,
            )
            for o in workshop.offers
        ),
        stints=tuple(sorted((Stint(s.date, s.minutes, s.id) for s in workshop.stints), key=lambda s: s.date)),
        off_road={car.id: car.off_road for car in workshop.cars if car.off_road},
        due={car.id: car.inspection.due for car in workshop.cars if car.inspection},
    )

"""The jobs of each car as the list shows them: why, when, how long, what comes off, what they wait for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from onceapart.planning.workload import Workload
from onceapart.site.pages.jobs.names import Names
from onceapart.site.pages.parts.stock import Counted
from onceapart.site.pages.planned import Planned
from onceapart.workshop import Car, Job


@dataclass(frozen=True)
class StintOfJob:
    """The stint that the plan has a job in."""

    date: dt.date
    name: str
    """Its id, or its date where it has none."""

    @property
    def url(self) -> str:
        return f"/bench/{self.name}/"


@dataclass(frozen=True)
class JobLine:
    """A job as the list shows it. [min]"""

    job: Job
    title: str
    is_done: bool
    deadline: dt.date | None
    stint: StintOfJob | None
    is_left: bool
    """Whether there is a plan, and it leaves the job."""
    access: tuple[str, ...]
    """What comes off for it, in words, the first to come off in front."""
    access_minutes: int
    shared: int
    """Of these minutes, those that other jobs need too."""
    waits: tuple[str, ...]
    """What it waits for, in words."""

    @property
    def minutes(self) -> int:
        return self.job.minutes or 0

    @property
    def is_late(self) -> bool:
        """Whether the plan has it after the last day it may be done on."""
        return bool(self.stint and self.deadline and self.stint.date > self.deadline)


@dataclass(frozen=True)
class CarJobs:
    """The jobs of a car: those to do, musts first, and those that are done."""

    car: Car
    lines: tuple[JobLine, ...]
    alone: int
    """Minutes of taking off and putting on if each job were done by itself."""
    together: int
    """The same if all were done at once, each thing coming off once."""
    counts: Mapping[str, int] = field(default_factory=dict)

    @property
    def to_do(self) -> tuple[JobLine, ...]:
        return tuple(one for one in self.lines if not one.is_done)

    @property
    def done(self) -> tuple[JobLine, ...]:
        return tuple(one for one in self.lines if one.is_done)


_ORDER = ("inspection", "safety", "upkeep", "wish")


def jobs_of_cars(
    cars: Iterable[Car], counted: Counted, workload: Workload, planned: Planned | None, names: Names
) -> tuple[CarJobs, ...]:
    """The jobs of some cars, to be shown.

    Parameters
    ----------
    cars : iterable of Car
    counted : Counted
        The workshop with its recipes applied, and its parts.
    workload : Workload
        Of the same workshop.
    planned : Planned or None
        The plan that is worked by.
    names : Names
    """
    stints = stints_of_jobs(planned)
    left = {job.id for job in counted.applied.jobs if not counted.state.is_job_done(job.id)}
    days = {name: stints[name].date if name in stints else None for name in workload.job if name in left}
    short = counted.short_for(days)
    found = []
    for car in cars:
        jobs = [job for job in counted.applied.jobs if job.car == car.id]
        opened = {job.id: workload.opened_for([job.id]) for job in jobs}
        users = users_of({name: opened[name] for name in opened if name in left})
        lines = []
        for job in jobs:
            chain = taken_off_first(workload, opened[job.id])
            stint = stints.get(job.id)
            lines.append(
                JobLine(
                    job=job,
                    title=names.job(job.id),
                    is_done=job.id not in left,
                    deadline=counted.applied.deadline(job),
                    stint=stint,
                    is_left=planned is not None and stint is None and job.id in planned.workload.job,
                    access=tuple(names.access(name) for name in chain),
                    access_minutes=_minutes(workload, chain),
                    shared=_minutes(workload, [name for name in chain if len(users.get(name, ())) > 1]),
                    waits=waits_of(job, counted, short.get(job.id, ()), names) if job.id in left else (),
                )
            )
        lines.sort(key=lambda one: (one.is_done, _ORDER.index(str(one.job.need)), _day(one)))
        found.append(
            CarJobs(
                car,
                tuple(lines),
                alone=sum(one.access_minutes for one in lines if not one.is_done),
                together=_minutes(workload, users),
            )
        )
    return tuple(found)


def _day(line: JobLine) -> dt.date:
    return line.stint.date if line.stint else dt.date.max


def stints_of_jobs(planned: Planned | None) -> dict[str, StintOfJob]:
    """Job -> the stint that the plan has it in."""
    found: dict[str, StintOfJob] = {}
    if planned is not None:
        for stint, work in zip(planned.workload.stints, planned.plan.work, strict=True):
            at = StintOfJob(stint.date, stint.id or stint.date.isoformat())
            found.update(dict.fromkeys(work.jobs, at))
    return found


def users_of(opened: Mapping[str, Iterable[str]]) -> dict[str, tuple[str, ...]]:
    """Access -> the jobs that need it off."""
    found: dict[str, list[str]] = {}
    for job, names in opened.items():
        for name in names:
            found.setdefault(name, []).append(job)
    return {name: tuple(jobs) for name, jobs in found.items()}


def taken_off_first(workload: Workload, opened: Iterable[str]) -> tuple[str, ...]:
    """What comes off, in an order in which it can; what is alike stays together."""
    wanted = dict.fromkeys(opened)
    found: dict[str, None] = {}

    def take(name: str) -> None:
        if name not in found:
            for under in workload.access_by_id[name].under:
                take(under)
            found[name] = None

    for name in wanted:
        take(name)
    return tuple(found)


def _minutes(workload: Workload, names: Iterable[str]) -> int:
    return sum(workload.access_by_id[name].minutes for name in names)


def waits_of(job: Job, counted: Counted, short: Sequence[str], names: Names) -> tuple[str, ...]:
    """What a job that is not done waits for, in words."""
    found = [f"after {names.job(name)}" for name in job.after if not counted.state.is_job_done(name)]
    found += _parts_words(short, counted, names)
    tools = {tool.id: tool for tool in counted.applied.tools}
    for name in job.tools:
        tool = tools.get(name)
        if tool is not None and not tool.have and tool.hire is None and tool.buy is None:
            found.append(f"{names.tool(name)} can't be got")
    found += [
        f"snag: {snag.opened.words}"
        for snag in counted.state.open_snags(job.car)
        if snag.opened.job == job.id
    ]
    return tuple(found)


def _parts_words(short: Sequence[str], counted: Counted, names: Names) -> list[str]:
    """Parts that are missing: what nobody sells, what is on its way, and what is to be bought."""
    unsold, coming, to_buy = [], [], []
    for part in short:
        need = counted.needs[part]
        if need.comes is not None:
            late = "was to come" if need.comes < counted.today else "comes"
            coming.append(f"{names.part(part)} {late} {need.comes:%a} {need.comes.day} {need.comes:%b}")
        elif need in counted.unsold:
            unsold.append(f"{names.part(part)}: nobody sells it")
        else:
            to_buy.append(names.part(part))
    if len(to_buy) > 1:
        return [*unsold, *coming, f"{len(to_buy)} parts to buy"]
    return [*unsold, *coming, *(f"{name} to buy" for name in to_buy)]

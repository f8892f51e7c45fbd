"""A plan: what is decided, and nothing that follows from it by calculation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from onceapart.planning.workload import Workload


class Aim(StrEnum):
    """What the best plan is best in; see the workshop file's page on the planning problem."""

    BALANCE = "balance"
    THRIFT = "thrift"
    SOONEST = "soonest"
    LEAST_WORK = "least-work"


class Status(StrEnum):
    PROVEN = "proven"
    GOOD = "good"
    IMPOSSIBLE = "impossible"


@dataclass(frozen=True)
class StintWork:
    """What is done in one stint. ``hire`` names the tools hired for it."""

    jobs: tuple[str, ...] = ()
    access: tuple[str, ...] = ()
    aftercare: tuple[str, ...] = ()
    hire: tuple[str, ...] = ()


@dataclass(frozen=True)
class Plan:
    """``work`` stands beside the workload's stints, one for one; ``units`` are the offers bought."""

    work: tuple[StintWork, ...]
    units: Mapping[str, int] = field(default_factory=dict)
    tools_bought: tuple[str, ...] = ()

    @property
    def done(self) -> frozenset[str]:
        """The jobs that are done."""
        return frozenset(job for work in self.work for job in work.jobs)

    def stint_of(self, job_id: str) -> int | None:
        """Position of the stint a job is done in; None where it is left."""
        return next((at for at, work in enumerate(self.work) if job_id in work.jobs), None)


def plan_of(workload: Workload, jobs_in: Sequence[Sequence[str]], units: Mapping[str, int]) -> Plan:
    """The plan that does these jobs in these stints and buys these units, with all that follows.

    Access, aftercare and tools follow from the jobs: no more is opened than the jobs need, and a tool is
    bought where that is cheaper than hiring it for its stints, or it can't be hired. Ties go to buying,
    since a bought tool stays.
    """
    opened = [workload.opened_for(jobs) for jobs in jobs_in]
    cares = [workload.aftercare_for(jobs, off) for jobs, off in zip(jobs_in, opened, strict=True)]
    needed = [workload.tools_for(jobs, off) for jobs, off in zip(jobs_in, opened, strict=True)]
    bought = []
    for tool in workload.tools:
        times = sum(tool.id in names for names in needed)
        if tool.have or not times or tool.buy is None:
            continue
        if tool.hire is None or tool.buy <= times * tool.hire:
            bought.append(tool.id)
    owned = {*bought, *(tool.id for tool in workload.tools if tool.have)}
    return Plan(
        work=tuple(
            StintWork(tuple(sorted(jobs)), off, care, tuple(t for t in names if t not in owned))
            for jobs, off, care, names in zip(jobs_in, opened, cares, needed, strict=True)
        ),
        units={offer: count for offer, count in sorted(units.items()) if count},
        tools_bought=tuple(sorted(bought)),
    )

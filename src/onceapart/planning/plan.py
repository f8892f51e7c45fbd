"""A plan: what is decided, and nothing that follows from it by calculation."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
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
    """What is done in one stint. ``hire`` names the tools hired for it.

    ``access`` is all that is off at some time in the stint; ``left_off`` is what of it is still off at the
    end, so that the next stint finds it so.
    """

    jobs: tuple[str, ...] = ()
    access: tuple[str, ...] = ()
    aftercare: tuple[str, ...] = ()
    hire: tuple[str, ...] = ()
    left_off: tuple[str, ...] = ()


@dataclass(frozen=True)
class Plan:
    """``work`` stands beside the workload's stints, one for one; ``units`` are the offers bought."""

    work: tuple[StintWork, ...]
    units: Mapping[str, int] = field(default_factory=dict)
    tools_bought: tuple[str, ...] = ()

    def found_off(self, workload: Workload, at: int) -> Collection[str]:
        """What is off already when stint ``at`` begins."""
        return self.work[at - 1].left_off if at else workload.off_now

    def minutes_in(self, workload: Workload, at: int) -> int:
        """Minutes worked in stint ``at``."""
        work = self.work[at]
        found = self.found_off(workload, at)
        return workload.minutes_of(work.jobs, work.access, work.aftercare, found, work.left_off)

    @property
    def done(self) -> frozenset[str]:
        """The jobs that are done."""
        return frozenset(job for work in self.work for job in work.jobs)

    def stint_of(self, job_id: str) -> int | None:
        """Position of the stint a job is done in; None where it is left."""
        return next((at for at, work in enumerate(self.work) if job_id in work.jobs), None)


def plan_of(
    workload: Workload,
    jobs_in: Sequence[Sequence[str]],
    units: Mapping[str, int],
    left_off: Sequence[Collection[str]] | None = None,
) -> Plan:
    """The plan that does these jobs in these stints and buys these units, with all that follows.

    ``left_off`` is what stays off after each stint; by default nothing but what is off now, which goes on
    again in the first stint that needs any of it, or else in the first stint.

    Access, aftercare and tools follow from the jobs: no more is opened than the jobs need, and a tool is
    bought where that is cheaper than hiring it for its stints, or it can't be hired. Ties go to buying,
    since a bought tool stays.
    """
    if left_off is None:
        left_off = _put_on_when_first_needed(workload, jobs_in)
    opened, cares, needed = [], [], []
    found: Collection[str] = workload.off_now
    for jobs, left in zip(jobs_in, left_off, strict=True):
        off = tuple(sorted({*workload.opened_for(jobs), *found, *left}))
        opened.append(off)
        cares.append(workload.aftercare_for(jobs, [name for name in off if name not in left]))
        moved = [name for name in off if name not in found or name not in left]
        needed.append(workload.tools_for(jobs, moved))
        found = left
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
            StintWork(
                tuple(sorted(jobs)), off, care, tuple(t for t in names if t not in owned), tuple(sorted(left))
            )
            for jobs, off, care, names, left in zip(jobs_in, opened, cares, needed, left_off, strict=True)
        ),
        units={offer: count for offer, count in sorted(units.items()) if count},
        tools_bought=tuple(sorted(bought)),
    )


def _put_on_when_first_needed(workload: Workload, jobs_in: Sequence[Sequence[str]]) -> list[Collection[str]]:
    used = [workload.off_now.intersection(workload.opened_for(jobs)) for jobs in jobs_in]
    at = next((at for at, names in enumerate(used) if names), 0)
    return [workload.off_now if place < at else () for place in range(len(jobs_in))]

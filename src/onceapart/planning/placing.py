"""Jobs put into stints one by one, with no looking ahead; where none has room, into further stints."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

from onceapart.planning.cost import time_worth
from onceapart.planning.workload import Job, Stint, Workload


def in_turn(workload: Workload, done: Collection[str]) -> list[Job]:
    """These jobs, musts first, the nearest last day first, but none before what it comes after."""
    waiting = [job for job in workload.jobs if job.id in done]
    waiting.sort(key=lambda job: (not job.is_must, job.last_day or dt.date.max))
    order: list[Job] = []
    while waiting:
        left = {job.id for job in waiting}
        job = next(job for job in waiting if not left.intersection(job.after))
        waiting.remove(job)
        order.append(job)
    return order


def minutes_alone(workload: Workload, job_id: str) -> int:
    """Minutes of a job with all its access and aftercare, sharing nothing."""
    opened = workload.opened_for([job_id])
    return workload.minutes_of([job_id], opened, workload.aftercare_for([job_id], opened))


class Placer:
    """Places jobs. ``jobs_in`` are those of each stint, the further ones last.

    Parameters
    ----------
    workload : Workload
    shares : bool
        Whether jobs of a stint share what they open, and each goes where it adds least in minutes and
        prices; or whether they share nothing, and each goes into the first stint with room.
    """

    def __init__(self, workload: Workload, *, shares: bool) -> None:
        self.workload, self.shares = workload, shares
        self.jobs_in: list[list[str]] = [[] for _ in workload.stints]
        self.used: list[int] = [0] * len(workload.stints)
        self.at: dict[str, int] = {}
        self.longest = max((stint.minutes for stint in workload.stints), default=0)
        self.last_arrival = workload.today

    @property
    def n_real(self) -> int:
        """How many stints there are; those after them are further ones."""
        return len(self.workload.stints)

    def place(self, job: Job, arrives: dt.date) -> None:
        """Put a job where it may stand, in time if that can be, its parts being there from a day on."""
        first = max((self.at[name] for name in job.after), default=0)
        choices = []
        for at in range(first, len(self.jobs_in)):
            if at < self.n_real and job.held_to not in (None, self.workload.stints[at].key):
                continue
            minutes, price = self._adds(job, at)
            if self.used[at] + minutes > self._room(at) or self._is_before(at, arrives):
                continue
            worse = price + time_worth(minutes, self.workload.hour_worth) if self.shares else 0
            # Further stints only after all real ones, late ones only after those in time.
            choices.append((at >= self.n_real, self.is_late(job, at), worse, at))
        if choices:
            at = min(choices)[-1]
        else:
            at = len(self.jobs_in)
            self.jobs_in.append([])
            self.used.append(0)
        self.used[at] += self._adds(job, at)[0]
        self.jobs_in[at].append(job.id)
        self.at[job.id] = at
        if at >= self.n_real:
            self.last_arrival = max(self.last_arrival, arrives)

    def is_late(self, job: Job, at: int) -> bool:
        """Whether a stint comes after the job's last day."""
        return job.last_day is not None and self.day(at) > job.last_day

    def day(self, at: int) -> dt.date:
        """Day of a stint. Further ones are on the last day, or when the last of their parts have come."""
        if at < self.n_real:
            return self.workload.stints[at].date
        last = self.workload.stints[-1].date if self.workload.stints else self.workload.today
        return max(last, self.last_arrival)

    def stints(self) -> tuple[Stint, ...]:
        """The stints, then the further ones: as long as the longest, or as the one job that is longer."""
        more = [
            Stint(self.day(at), max(self.longest, self.used[at]), f"further-{at - self.n_real + 1}")
            for at in range(self.n_real, len(self.jobs_in))
        ]
        return (*self.workload.stints, *more)

    def _is_before(self, at: int, arrives: dt.date) -> bool:
        return at < self.n_real and self.workload.stints[at].date < arrives

    def _room(self, at: int) -> int:
        return self.workload.stints[at].minutes if at < self.n_real else self.longest

    def _adds(self, job: Job, at: int) -> tuple[int, int]:
        """Minutes and prices that a job adds to a stint. [minutes, minor units]"""
        if not self.shares:
            return minutes_alone(self.workload, job.id), 0
        before, after = (self._figures(jobs) for jobs in (self.jobs_in[at], [*self.jobs_in[at], job.id]))
        return after[0] - before[0], after[1] - before[1]

    def _figures(self, jobs: list[str]) -> tuple[int, int]:
        workload = self.workload
        opened = workload.opened_for(jobs)
        cares = workload.aftercare_for(jobs, opened)
        tools = [workload.tool[name] for name in workload.tools_for(jobs, opened)]
        price = sum(workload.aftercare_by_id[name].price for name in cares)
        price += sum(tool.hire or 0 for tool in tools if not tool.have)
        return workload.minutes_of(jobs, opened, cares), price

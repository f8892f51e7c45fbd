"""What the pages of jobs and parts look at, each worked out once a request."""

from __future__ import annotations

from functools import cached_property

from onceapart.planning.workload import Workload, workload_from
from onceapart.site.pages.jobs.listing import CarJobs, JobLine, jobs_of_cars, users_of
from onceapart.site.pages.jobs.names import Names
from onceapart.site.pages.parts.stock import Counted
from onceapart.site.pages.planned import Planned, chosen_plan
from onceapart.site.pages.shared import Now


class Looking:
    """The workshop with its plan, its parts and its words."""

    def __init__(self, now: Now) -> None:
        self.now = now

    @cached_property
    def names(self) -> Names:
        return Names(self.now.work)

    @cached_property
    def counted(self) -> Counted:
        return Counted(self.now.applied, self.now.state, self.now.today)

    @cached_property
    def workload(self) -> Workload:
        return workload_from(self.now.applied, self.now.today)

    @cached_property
    def planned(self) -> Planned | None:
        """The plan that is worked by; one query."""
        return chosen_plan(self.now.found)

    def jobs(self, cars: list[str]) -> tuple[CarJobs, ...]:
        """Jobs of some cars, for the list."""
        chosen = [self.now.car(car) for car in cars]
        return jobs_of_cars(chosen, self.counted, self.workload, self.planned, self.names)

    def to_do(self, car: str) -> tuple[JobLine, ...]:
        """Jobs of a car that are not done."""
        return self.jobs([car])[0].to_do

    def users(self, car: str) -> dict[str, tuple[str, ...]]:
        """Access -> jobs of a car, not done, that need it off."""
        left = [
            job.id
            for job in self.now.applied.jobs
            if job.car == car and not self.now.state.is_job_done(job.id)
        ]
        return users_of({name: self.workload.opened_for([name]) for name in left})

    def car(self, asked: str) -> str:
        """The car that is asked for; without a word the only one, or none."""
        if asked:
            return self.now.car(asked).id
        return next(iter(self.now.cars)) if len(self.now.cars) == 1 else ""

"""What came of a plan in many runs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from onceapart.planning.chance.breaks import Bools
from onceapart.planning.chance.minutes import Ints
from onceapart.planning.chance.odds import Odds
from onceapart.planning.cost import cost
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload


@dataclass(frozen=True, eq=False)
class Outcome:
    """Arrays have one figure a run."""

    workload: Workload
    plan: Plan
    due: Mapping[str, dt.date]
    runs: int
    done_at: Mapping[str, Ints]
    """Position of the stint in which each job of the plan was finished; beyond the last if never."""
    left_over: tuple[Bools, ...]
    """For each stint, whether anything planned for it or before was not finished at its end."""
    minutes: Ints
    """Worked in all stints together. [min]"""
    prices: Ints
    """Aftercare and hire, as often as it came to that. [minor units]"""
    trips: Ints
    """Trips to the counter for what broke."""

    def odds(self, happens: Bools) -> Odds:
        """The chance of what happens in these runs."""
        return Odds(int(happens.sum()), self.runs)

    @cached_property
    def cars(self) -> tuple[str, ...]:
        """Cars of which something must be done by a day, in the order of their jobs."""
        return tuple(
            dict.fromkeys(
                job.car
                for job in self.workload.jobs
                if job.is_must and (job.last_day is not None or job.car in self.due)
            )
        )

    def in_time(self, car: str) -> Bools:
        """Whether all that must be done to a car is done by its last day, and by the car's inspection.

        A job that must be done and that the plan leaves is never in time.
        """
        found = np.ones(self.runs, bool)
        for job in self.workload.jobs:
            if job.car == car and job.is_must:
                days = [day for day in (job.last_day, self.due.get(car)) if day is not None]
                stints = sum(stint.date <= min(days, default=dt.date.max) for stint in self.workload.stints)
                found &= self.done_at.get(job.id, np.full(self.runs, stints)) < stints
        return found

    @cached_property
    def all_in_time(self) -> Bools:
        """Whether every car is in time."""
        found = np.ones(self.runs, bool)
        for car in self.cars:
            found &= self.in_time(car)
        return found

    def ready_by(self, car: str, at: int) -> Odds:
        """Chance that all that must be done to a car is done at the end of a stint."""
        musts = [job.id for job in self.workload.jobs if job.is_must and job.car == car]
        found = np.ones(self.runs, bool)
        for job in musts:
            found &= self.done_at.get(job, np.full(self.runs, at + 1)) <= at
        return self.odds(found)

    def finished(self, at: int) -> Odds:
        """Chance that at the end of a stint nothing planned for it or before is left."""
        return self.odds(~self.left_over[at])

    def done(self, job: str) -> Odds:
        """Chance that a job of the plan is done at all."""
        return self.odds(self.done_at[job] < len(self.workload.stints))

    @cached_property
    def money(self) -> float:
        """Money spent on average: the plan's, but aftercare and hire as often as it came to that.

        What is bought at the counter for want of a spare is not in it. [minor units]
        """
        planned = cost(self.workload, self.plan)
        return planned.money - planned.aftercare - planned.hire + float(self.prices.mean())

    @cached_property
    def total(self) -> float:
        """Money and time less the worth of the jobs done, on average. [minor units]"""
        time = self.minutes.mean() * self.workload.hour_worth / 60
        worth = sum(self.workload.job[job].worth * self.done(job).share for job in self.done_at)
        return self.money + float(time) - worth

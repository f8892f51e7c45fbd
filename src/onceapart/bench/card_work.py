"""What a card is made from: a stint of a plan, and what workshop and library say of its work."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from onceapart.planning.plan import Plan, StintWork
from onceapart.planning.workload import Stint, Workload
from onceapart.trade import FittedRecipe, FittedWorkshop, Recipe, fit_workshop
from onceapart.trade.jobs import car_of, place_and_name
from onceapart.workshop import Job, Workshop, corners_of

RAISE, WHEEL = "on-stands", "wheel"
"""Names of the accesses that get a car up, and its wheels off."""


@dataclass(frozen=True)
class CardWork:
    """One stint of a plan, ready to be taken apart into steps."""

    workshop: Workshop
    workload: Workload
    plan: Plan
    at: int
    fitted: FittedWorkshop
    opened_by: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Job of the stint -> every access it needs open, those in the plan's stint."""

    @classmethod
    def of(
        cls, workshop: Workshop, workload: Workload, plan: Plan, at: int, recipes: Iterable[Recipe]
    ) -> CardWork:
        work = plan.work[at]
        there = set(work.access)
        opened = {
            job: tuple(name for name in workload.opened_for([job]) if name in there) for job in work.jobs
        }
        return cls(workshop, workload, plan, at, fit_workshop(workshop, recipes), opened)

    @property
    def work(self) -> StintWork:
        return self.plan.work[self.at]

    @property
    def stint(self) -> Stint:
        return self.workload.stints[self.at]

    @property
    def date(self) -> dt.date:
        return self.stint.date

    @cached_property
    def jobs(self) -> dict[str, Job]:
        """Jobs of the stint, in the workshop's order."""
        return {job.id: job for job in self.workshop.jobs if job.id in self.work.jobs}

    @cached_property
    def found_off(self) -> frozenset[str]:
        return frozenset(self.plan.found_off(self.workload, self.at))

    @cached_property
    def left_off(self) -> frozenset[str]:
        return frozenset(self.work.left_off)

    @cached_property
    def access(self) -> tuple[str, ...]:
        """What is off at some time, in the order in which one would take it off: as the library lists it."""
        names = list(self.fitted.library.access)
        own = {one.id: at for at, one in enumerate(self.workshop.access)}

        def rank(full_id: str) -> tuple[int, int]:
            fitted = self.fitted.access.get(full_id)
            return names.index(fitted.work.id) if fitted else len(names), own.get(full_id, 0)

        return tuple(sorted(self.work.access, key=rank))

    def place(self, full_id: str) -> str:
        """Where an access or an aftercare is."""
        return place_and_name(self.workshop, full_id)[0]

    def name(self, full_id: str) -> str:
        """What an access or an aftercare is called, without car and place."""
        return place_and_name(self.workshop, full_id)[1]

    def is_raise(self, access: str) -> bool:
        return self.name(access) == RAISE

    def is_wheel(self, access: str) -> bool:
        return self.name(access) == WHEEL

    def cars_of_access(self, access: str) -> tuple[str, ...]:
        """Cars whose jobs need it open; else the one it is of."""
        cars = dict.fromkeys(job.car for job in self.jobs.values() if access in self.opened_by[job.id])
        return tuple(cars) or self.cars_named(access)

    def cars_named(self, full_id: str) -> tuple[str, ...]:
        """The car in an id; where there is none, the first one worked on."""
        car = car_of(self.workshop, full_id)
        first = next((job.car for job in self.jobs.values()), "")
        return (car.id if car else first,)

    def cars_of_aftercare(self, care: str) -> tuple[str, ...]:
        """Cars whose jobs or accesses bring it."""
        cars = dict.fromkeys(job.car for job in self.jobs.values() if care in job.aftercare)
        for access in self.access_bringing(care):
            cars.update(dict.fromkeys(self.cars_of_access(access)))
        return tuple(cars) or self.cars_named(care)

    def access_bringing(self, care: str) -> tuple[str, ...]:
        return tuple(one for one in self.access if care in self.workload.access_by_id[one].aftercare)

    def jobs_bringing(self, care: str) -> tuple[str, ...]:
        return tuple(job.id for job in self.jobs.values() if care in job.aftercare)

    def jobs_behind(self, access: str) -> tuple[str, ...]:
        return tuple(job for job in self.jobs if access in self.opened_by[job])

    def under(self, access: Iterable[str]) -> set[str]:
        """These and all that is off before them."""
        found: set[str] = set()
        waiting = list(access)
        while waiting:
            name = waiting.pop()
            if name not in found:
                found.add(name)
                waiting.extend(self.workload.access_by_id[name].under)
        return found

    def is_over_wheel(self, access: str) -> bool:
        """Whether a wheel must be off for it."""
        return not self.is_wheel(access) and any(self.is_wheel(one) for one in self.under([access]))

    def opens_brake(self, access: str) -> bool:
        """Whether pressing the brake pedal with it off would push something out."""
        fitted = self.fitted.access.get(access)
        return fitted is not None and any(one.what.id == "pedal-hard" for one in fitted.release)

    def recipe(self, job: str) -> FittedRecipe | None:
        return self.fitted.jobs.get(job)


def overlaps(one: str, other: str) -> bool:
    """Whether two places have to do with each other; one without wheels has, with any.

    >>> overlaps("front", "front-left"), overlaps("front-left", "rear"), overlaps("cabin", "rear")
    (True, False, True)
    """
    here, there = corners_of(one), corners_of(other)
    return not here or not there or bool({*here} & {*there})


def place_words(place: str) -> str:
    """A place as one says it; nothing for the car as such.

    >>> place_words("front-left"), place_words("all")
    ('front left', '')
    """
    return "" if place == "all" else place.replace("-", " ")


def spoken(name: str) -> str:
    """An id as words.

    >>> spoken("passenger-door-card"), spoken("pickle/window")
    ('passenger door card', 'pickle, window')
    """
    return name.replace("/", ", ").replace("-", " ")


def titled(words: str) -> str:
    """The same, beginning with a capital letter."""
    return words[:1].upper() + words[1:]


def job_title(job: Job, fitted: FittedRecipe | None) -> str:
    """What a job is called: its recipe's title, or its id without the car.

    >>> job_title(Job(id="wren-window", car="wren", need="wish", minutes=5), None)
    'Window'
    """
    if fitted is not None:
        return fitted.recipe.title
    return titled(spoken(job.id.removeprefix(f"{job.car}-").removeprefix(f"{job.car}/")))

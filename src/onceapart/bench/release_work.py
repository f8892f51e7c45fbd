"""What workshop and library say of work that was done: its steps, release checks and aftercare."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from onceapart.bench.entries import SnagOpened, StopgapFitted, Ticked, Unticked, step_parts
from onceapart.trade import FittedAccess, FittedWorkshop, Recipe, fit_workshop
from onceapart.trade.checking import split_place
from onceapart.trade.fitting import fit_access
from onceapart.trade.schema import Stage
from onceapart.workshop import Job, Layout, Workshop

ROAD: Stage = "on-the-road"
ALWAYS = ("nothing-left", "pedal-hard")
"""Checks after any work at all: common practice, no source."""
UNKNOWN_WORK = ("steering-free", "lamps-work", "brakes-slow-try")
"""Checks besides, after work of which the library does not say what it touched: our judgement."""
RETIGHTEN = "retighten-wheels"
WHEEL_NUTS = "wheel-nuts"
PEDAL = "pedal-hard"
MOVING = frozenset({"brakes-slow-try"})
"""Checks for which the car moves: they come when all others are done."""
RUNNING = frozenset(
    {
        "belt-runs-true",
        "charging",
        "clutch-frees",
        "coolant-dry",
        "coolant-level",
        "engine-runs",
        "exhaust-tight",
        "fuel-dry",
        "gearbox-oil",
        "oil-level",
        "power-steering-level",
    }
)
"""Checks for which the engine runs: they come when the pedal is hard."""


@dataclass(frozen=True)
class Work:
    """A workshop with its recipes applied, and what the library says of it."""

    workshop: Workshop
    fitted: FittedWorkshop

    @cached_property
    def jobs(self) -> Mapping[str, Job]:
        """Jobs by id."""
        return {job.id: job for job in self.workshop.jobs}

    @cached_property
    def job_steps(self) -> Mapping[str, tuple[tuple[str, ...], ...]]:
        """What has to be ticked for each job to be done (see ``state.JobSteps``).

        Operations of the road, such as a test drive, are not among them: they come after the release.
        """
        found: dict[str, tuple[tuple[str, ...], ...]] = {}
        for job in self.workshop.jobs:
            fitted = self.fitted.jobs.get(job.id)
            operations = fitted.operations if fitted else ()
            found[job.id] = tuple(
                (f"do:{job.id}:{one.what.id}", f"do:{job.id}:{one.what.id}:{one.place}")
                for one in operations
                if one.what.stage != ROAD
            )
        return found

    @cached_property
    def steps_of_the_road(self) -> frozenset[str]:
        """Operations done after the release, and so no reason to withdraw it."""
        return frozenset(
            step
            for job_id, fitted in self.fitted.jobs.items()
            for one in fitted.operations
            if one.what.stage == ROAD
            for step in (f"do:{job_id}:{one.what.id}", f"do:{job_id}:{one.what.id}:{one.place}")
        )

    def access(self, access_id: str, car: str) -> FittedAccess | None:
        """The library's entry of an access of a car, whether or not the workshop still names it."""
        found = self.fitted.access.get(access_id)
        if found is None:
            layout = next((one.layout for one in self.workshop.cars if one.id == car), None)
            found = fit_access(access_id, car, layout or Layout(), self.fitted.library)
        return found

    def checks_of_job(self, job_id: str) -> tuple[str, ...] | None:
        """Ids of a job's release checks; None where nothing is known of what it touches."""
        fitted = self.fitted.jobs.get(job_id)
        return tuple(one.id for one in fitted.release) if fitted else None

    def checks_of_access(self, access_id: str, car: str) -> tuple[str, ...]:
        """Ids of the release checks of something that was off."""
        found = self.access(access_id, car)
        return tuple(one.id for one in found.release) if found else ()

    def access_of_job(self, job_id: str) -> tuple[str, ...]:
        """What is off while a job is done, with what that is under."""
        return self._access_by_job.get(job_id, ())

    @cached_property
    def _access_by_job(self) -> dict[str, tuple[str, ...]]:
        """Asked for at every tick of a long record."""
        under = {one.id: one.under for one in self.workshop.access}
        by_job: dict[str, tuple[str, ...]] = {}
        for job_id, job in self.jobs.items():
            found: dict[str, None] = {}
            waiting = list(job.access)
            while waiting:
                access = waiting.pop()
                if access not in found:
                    found[access] = None
                    waiting.extend(under.get(access, ()))
            by_job[job_id] = tuple(found)
        return by_job

    def aftercare_of_job(self, job_id: str) -> tuple[str, ...]:
        """Aftercare that a job asks for."""
        job = self.jobs.get(job_id)
        return job.aftercare if job else ()

    def aftercare_of_access(self, access_id: str, car: str) -> tuple[str, ...]:
        """Aftercare that something that was off asks for; the workshop's own word goes first."""
        for one in self.workshop.access:
            if one.id == access_id:
                return one.aftercare
        found = self.access(access_id, car)
        return found.aftercare if found else ()

    def is_tightened_late(self, access_id: str, car: str) -> bool:
        """Whether something is tightened for good only with the car on its wheels."""
        found = self.access(access_id, car)
        return found is not None and any(one.on_wheels for one in found.work.fasteners)

    def is_of_the_road(self, aftercare_id: str) -> bool:
        """Whether an aftercare is done by or after driving; one that the library does not know is not."""
        found = self.fitted.library.aftercare.get(name_of(aftercare_id))
        return found is not None and found.stage == ROAD

    def words_of_check(self, check_id: str) -> tuple[str, str]:
        """Title of a check, with its place, and what is looked at."""
        place, name = place_and_name(check_id)
        check, care = self.fitted.library.release.get(name), self.fitted.library.aftercare.get(name)
        if check is not None:
            title, words = check.title, check.check
        elif care is not None:
            title, words = care.title, care.do
        else:
            title, words = name.replace("-", " ").capitalize(), ""
        return (f"{title}, {place.replace('-', ' ')}" if place else title), words

    def stage_of_check(self, check_id: str) -> int:
        """0: car standing, engine off; 1: engine running; 2: the car moves."""
        name = name_of(check_id)
        return 2 if name in MOVING else 1 if name in RUNNING else 0

    def rank_of_check(self, check_id: str) -> tuple[int, int, str]:
        """Order in which checks are done: the pedal last of those with the engine off, then as listed."""
        name, names = name_of(check_id), list(self.fitted.library.release)
        at = names.index(name) if name in names else len(names)
        return self.stage_of_check(check_id), len(names) + 1 if name == PEDAL else at, check_id

    def is_work(self, entry: object) -> bool:
        """Whether an entry changes the car, so that a release given before no longer holds."""
        if isinstance(entry, StopgapFitted):
            return True
        if isinstance(entry, SnagOpened):
            return entry.dangerous
        if not isinstance(entry, Ticked | Unticked):
            return False
        kind, what = step_parts(entry.step)
        if kind in ("measure", "check"):
            return False
        if kind == "aftercare":
            return not self.is_of_the_road(what)
        return entry.step not in self.steps_of_the_road


def work_of(workshop: Workshop, recipes: Iterable[Recipe] = ()) -> Work:
    """What is known of the work in a workshop.

    Parameters
    ----------
    workshop : Workshop
        As ``apply_recipes`` returns it.
    recipes : iterable of Recipe, optional
        The recipes of one's own that it was applied with.
    """
    return Work(workshop, fit_workshop(workshop, recipes))


def place_and_name(full_id: str) -> tuple[str, str]:
    """Place and name at the end of an id, whatever car stands before them; no place where none is named.

    >>> place_and_name("wren/front-left/wheel-nuts"), place_and_name("wren/pedal-hard")
    (('front-left', 'wheel-nuts'), ('', 'pedal-hard'))
    """
    rest, _, name = full_id.rpartition("/")
    place, _ = split_place(f"{rest.rpartition('/')[2]}/{name}")
    return place or "", name


def name_of(full_id: str) -> str:
    """The name at the end of an id."""
    return full_id.rpartition("/")[2]

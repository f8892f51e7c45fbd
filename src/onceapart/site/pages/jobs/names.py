"""What jobs, parts and what comes off are called on the pages."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cached_property

from onceapart.bench.card_work import job_title, place_words, spoken, titled
from onceapart.bench.release_work import Work
from onceapart.trade.jobs import car_of, place_and_name
from onceapart.workshop import Car, Job, Workshop

CAPITALS = frozenset({"abs", "cv", "ecu", "egr", "hid", "led", "obd", "pcv"})


class Names:
    """Words for the ids of a workshop, each worked out once.

    Parameters
    ----------
    work : Work
        The workshop with its recipes applied, and what the library says of it.
    """

    def __init__(self, work: Work) -> None:
        self._work = work
        self._said: dict[tuple[str, str], str] = {}

    @property
    def workshop(self) -> Workshop:
        return self._work.workshop

    @cached_property
    def cars(self) -> dict[str, Car]:
        return {car.id: car for car in self.workshop.cars}

    def car(self, car: str) -> str:
        """What a car is called."""
        return self.cars[car].name if car in self.cars else car

    def car_in(self, full_id: str) -> str:
        """Id of the car that something belongs to; "" if to none."""
        found = car_of(self.workshop, full_id)
        return found.id if found else ""

    def job(self, name: str) -> str:
        """Title and place of a job, without its car: ``CV boot, front left``."""
        job = self._work.jobs.get(name)
        return titled(spoken(name)) if job is None else self._once("job", name, lambda: self._job(job))

    def _job(self, job: Job) -> str:
        fitted = self._work.fitted.jobs.get(job.id)
        title = job_title(job, fitted)
        where = place_words(job.place or "all") if fitted else ""
        plain = f"{title}, {where}" if where else title
        alike = [one for one in self.workshop.jobs if one.car == job.car and one.recipe == job.recipe]
        if fitted and any(one.id != job.id and one.place == job.place for one in alike):
            return f"{plain} ({job.id})"
        return plain

    def access(self, name: str) -> str:
        """What comes off, and where: ``Wheel, front left``."""
        return self._once("access", name, lambda: self._access(name))

    def _access(self, name: str) -> str:
        fitted = self._work.fitted.access.get(name)
        place, bare = place_and_name(self.workshop, name)
        return _placed(fitted.work.title if fitted else titled(spoken(bare)), place)

    def aftercare(self, name: str) -> str:
        """What has to follow: ``Wheel alignment``."""
        found = self._work.fitted.aftercare.get(name)
        place, bare = place_and_name(self.workshop, name)
        return _placed(found.title if found else titled(spoken(bare)), place)

    def part(self, name: str) -> str:
        """A part, and where it goes, without its car: ``Brake disc, front``."""
        return self._once("part", name, lambda: self._part(name))

    def _part(self, name: str) -> str:
        place, bare = place_and_name(self.workshop, name)
        return _placed(titled(_with_capitals(spoken(bare))), place)

    def tool(self, name: str) -> str:
        """A special tool."""
        found = self._work.fitted.library.tools.get(name)
        return found.title if found else titled(spoken(name))

    def parts_and_cars(self, names: Iterable[str]) -> dict[str, str]:
        """Part -> what it is called with the name of its car, as people may write it in a table."""
        return {name: f"{self.part(name)} {self.car(self.car_in(name))}" for name in names}

    def _once(self, kind: str, name: str, say: Callable[[], str]) -> str:
        key = (kind, name)
        if key not in self._said:
            self._said[key] = say()
        return self._said[key]


def _with_capitals(words: str) -> str:
    """Short words that the trade writes in capitals.

    >>> _with_capitals("cv boot kit")
    'CV boot kit'
    """
    return " ".join(word.upper() if word in CAPITALS else word for word in words.split(" "))


def _placed(title: str, place: str) -> str:
    where = place_words(place)
    return f"{title}, {where}" if where else title

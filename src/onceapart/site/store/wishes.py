"""What somebody wants of a plan besides its aim: jobs held to stints, sellers left out, other dates.

Pure functions: the workshop with the dates changed, and its workload with the rest. Nothing here changes
what is kept; a wish that turned out well can be put into the workshop by hand.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from onceapart.errors import OnceapartError
from onceapart.planning.workload import Job, Stint, Workload
from onceapart.workshop import Workshop


class WishError(OnceapartError):
    """Wishes that make no sense for a workshop; the message says all that is wrong."""

    def __init__(self, problems: Iterable[str]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(self.problems))


@dataclass(frozen=True)
class Wishes:
    """What is wanted of a plan. Stints are named as at the bench: by id, or by date where they have none."""

    held: Mapping[str, str] = field(default_factory=dict)
    """Job -> the stint that it is to be done in. It is done then, though it is a wish."""
    without_sellers: frozenset[str] = frozenset()
    without_offers: frozenset[str] = frozenset()
    due: Mapping[str, dt.date] = field(default_factory=dict)
    """Car -> day of its inspection."""
    by: Mapping[str, dt.date] = field(default_factory=dict)
    """Job -> last day it may be done on."""

    def __bool__(self) -> bool:
        return bool(self.held or self.without_sellers or self.without_offers or self.due or self.by)


def stint_name(stint: Stint) -> str:
    """What the bench calls a stint.

    >>> stint_name(Stint(dt.date(2026, 3, 7), 60)), stint_name(Stint(dt.date(2026, 3, 7), 60, "evening"))
    ('2026-03-07', 'evening')
    """
    return stint.id or stint.date.isoformat()


def wishes_to_json(wishes: Wishes) -> dict[str, Any]:
    """Plain data; what is not wished is left out.

    >>> wishes_to_json(Wishes(held={"boot": "2026-03-07"}, due={"wren": dt.date(2026, 4, 11)}))
    {'held': {'boot': '2026-03-07'}, 'due': {'wren': '2026-04-11'}}
    """
    data: dict[str, Any] = {
        "held": dict(sorted(wishes.held.items())),
        "without_sellers": sorted(wishes.without_sellers),
        "without_offers": sorted(wishes.without_offers),
        "due": {name: day.isoformat() for name, day in sorted(wishes.due.items())},
        "by": {name: day.isoformat() for name, day in sorted(wishes.by.items())},
    }
    return {key: value for key, value in data.items() if value}


def wishes_from_json(data: Mapping[str, Any]) -> Wishes:
    """The wishes that ``wishes_to_json`` gave.

    >>> wishes_from_json({"by": {"boot": "2026-03-07"}}).by
    {'boot': datetime.date(2026, 3, 7)}
    """

    def days(key: str) -> dict[str, dt.date]:
        return {name: dt.date.fromisoformat(day) for name, day in data.get(key, {}).items()}

    return Wishes(
        held=dict(data.get("held", {})),
        without_sellers=frozenset(data.get("without_sellers", ())),
        without_offers=frozenset(data.get("without_offers", ())),
        due=days("due"),
        by=days("by"),
    )


def with_other_dates(workshop: Workshop, wishes: Wishes) -> Workshop:
    """The workshop with inspections and jobs due when it is wished.

    Raises
    ------
    WishError
        A car or job that is not there, or a car with no inspection.
    """
    inspected = {car.id for car in workshop.cars if car.inspection}
    problems = [
        f"{name}: no car of this name has an inspection" for name in sorted(set(wishes.due) - inspected)
    ]
    problems += _not_there("job", wishes.by, (job.id for job in workshop.jobs))
    if problems:
        raise WishError(problems)
    cars = [
        car.model_copy(update={"inspection": car.inspection.model_copy(update={"due": wishes.due[car.id]})})
        if car.inspection and car.id in wishes.due
        else car
        for car in workshop.cars
    ]
    jobs = [
        job.model_copy(update={"by": wishes.by[job.id]}) if job.id in wishes.by else job
        for job in workshop.jobs
    ]
    return workshop.model_copy(update={"cars": tuple(cars), "jobs": tuple(jobs)})


def as_wished(workload: Workload, wishes: Wishes) -> Workload:
    """The workload with jobs held to stints, and without what is not to be bought.

    A job that is held is done, so it counts among those that must be; its worth stays.

    Raises
    ------
    WishError
        Something is named that is not there, or a stint by a name that two have.
    """
    problems = [
        *_not_there("job", wishes.held, workload.job),
        *_not_there("seller", wishes.without_sellers, workload.seller),
        *_not_there("offer", wishes.without_offers, workload.offer),
    ]
    named: dict[str, list[Stint]] = {}
    for stint in workload.stints:
        named.setdefault(stint_name(stint), []).append(stint)
    for job, name in sorted(wishes.held.items()):
        if len(named.get(name, ())) != 1:
            how_many = "two stints are" if name in named else "no stint is"
            problems.append(f"{job} held to {name}: {how_many} called so")
    if problems:
        raise WishError(problems)

    def held(job: Job) -> Job:
        if job.id not in wishes.held:
            return job
        return replace(job, is_must=True, held_to=named[wishes.held[job.id]][0].key)

    return replace(
        workload,
        jobs=tuple(held(job) for job in workload.jobs),
        offers=tuple(
            offer
            for offer in workload.offers
            if offer.seller not in wishes.without_sellers and offer.id not in wishes.without_offers
        ),
    )


def _not_there(kind: str, named: Iterable[str], known: Iterable[str]) -> Iterator[str]:
    yield from (f"{name}: there is no such {kind}" for name in sorted(set(named) - set(known)))

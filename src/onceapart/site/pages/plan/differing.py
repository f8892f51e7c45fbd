"""What one plan does otherwise than another, in figures and words."""

from __future__ import annotations

from dataclasses import dataclass

from onceapart.planning.cost import ready_days
from onceapart.planning.dates import stint_in_words
from onceapart.site.pages.plan.reading import Read
from onceapart.workshop.words import day


@dataclass(frozen=True)
class Difference:
    """Against another plan; more is above nought. [minor units, minutes]"""

    other: int
    money: int
    minutes: int
    total: int
    words: tuple[str, ...]

    @property
    def less_money(self) -> int:
        return -self.money

    @property
    def less_minutes(self) -> int:
        return -self.minutes


def difference(other: Read, one: Read) -> Difference:
    """How a plan differs from another."""
    words = []
    was = {job: stint_in_words(other.workload, at) for job in other.plan.done for at in _at(other, job)}
    is_now = {job: stint_in_words(one.workload, at) for job in one.plan.done for at in _at(one, job)}
    for job in sorted(was.keys() | is_now.keys()):
        if job not in is_now:
            words.append(f"{job} is left; it was to be done {was[job]}")
        elif job not in was:
            words.append(f"{job} is done {is_now[job]}; it was left, or not there")
        elif was[job] != is_now[job]:
            words.append(f"{job} is done {is_now[job]} instead of {was[job]}")
    before, after = ready_days(other.workload, other.plan), ready_days(one.workload, one.plan)
    names = {car.id: car.name for car in one.workshop.cars}
    words += [
        f"{names.get(car, car)} is ready {day(after[car])} instead of {day(before[car])}"
        for car in sorted(before.keys() & after.keys())
        if before[car] != after[car]
    ]
    offers = {**other.workload.offer, **one.workload.offer}
    for offer in sorted(other.plan.units.keys() | one.plan.units.keys()):
        had, has = other.plan.units.get(offer, 0), one.plan.units.get(offer, 0)
        if had != has:
            title = offers[offer].title or offer
            words.append(
                f"{title}: {has} bought instead of {had}"
                if had and has
                else f"{title} is bought"
                if has
                else f"{title} is not bought"
            )
    return Difference(
        other.number,
        one.cost.money - other.cost.money,
        one.cost.minutes - other.cost.minutes,
        one.cost.total - other.cost.total,
        tuple(words),
    )


def _at(one: Read, job: str) -> tuple[int, ...]:
    at = one.plan.stint_of(job)
    return () if at is None else (at,)

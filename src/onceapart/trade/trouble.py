"""What may go otherwise than planned: minutes in a good and a bad case, and fasteners that may not come.

Plans reckon with typical minutes. This says how far they may be off, for each job, access and aftercare
of a workshop, and which fasteners are met on the way with the probability that each is seized or shears
on a car so rusty. Figures are those of the recipes (common practice, no source) unless the workshop gives
its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from onceapart.trade.fitting import Placed
from onceapart.trade.jobs import FittedWorkshop, car_of, fasteners_of_access, fit_workshop
from onceapart.trade.placing import narrowed, placed_id
from onceapart.trade.schema import Fastener, Recipe, Spread
from onceapart.workshop import Car, Workshop

USUAL = Spread(good=50, typical=100, bad=270)
"""Good and bad case of work that nothing is known of but its minutes, in percent of these.

About the median over the recipes and access of the library (common practice, no source). [%]
"""


class Spreads(NamedTuple):
    """Minutes of all work of a workshop in a good, the typical and a bad case, by id. [min]

    ``typical`` is what the workshop plans with. ``assumed`` names the ids for which neither the workshop
    nor a recipe says anything, so that ``USUAL`` was taken.
    """

    jobs: dict[str, Spread]
    access: dict[str, Spread]
    aftercare: dict[str, Spread]
    assumed: frozenset[str]


@dataclass(frozen=True)
class MetFastener:
    """Fasteners of one kind that a job or an access meets at one place."""

    of: str
    """Id of the job, or of the access."""
    is_access: bool
    part: str
    """Part id that a spare one has: car, axle (it fits left and right) or other place, name."""
    what: str
    """In words, as in "hub nut"."""
    thread: str
    drive: str
    count: int
    renew: bool
    """A new one goes in anyway: it is used once."""
    seize: float
    """Probability that one of them is seized or shears, on this car as rusty as it is."""


def spreads_of(workshop: Workshop, recipes: Iterable[Recipe] = ()) -> Spreads:
    """Minutes of each job, access and aftercare in a good, the typical and a bad case.

    Parameters
    ----------
    workshop : Workshop
        As ``apply_recipes`` returns it.
    recipes : iterable of Recipe, optional
        The recipes of one's own that it was applied with.

    Returns
    -------
    Spreads
        For every job, access and aftercare. The typical minutes are always the workshop's. Good and bad
        are what the workshop gives as ``between``; or else those of the recipe or the library, in
        proportion if the workshop's minutes are others than theirs; or else ``USUAL``. [min]

    Raises
    ------
    ValueError
        A job has no minutes: its recipe was not applied.

    Examples
    --------
    >>> from onceapart.demo import read_demo
    >>> from onceapart.trade import apply_recipes
    >>> spreads = spreads_of(apply_recipes(read_demo().workshop))
    >>> spreads.jobs["pickle-cv-boot"]
    Spread(good=20, typical=38, bad=85)
    >>> spreads.access["pickle/front-left/wheel"]
    Spread(good=5, typical=8, bad=25)
    """
    fitted = fit_workshop(workshop, recipes)
    assumed: set[str] = set()

    def spread(name: str, minutes: int, between: tuple[int, int] | None, known: Spread | None) -> Spread:
        if between is not None:
            return Spread.model_construct(good=between[0], typical=minutes, bad=between[1])
        if known is None:
            assumed.add(name)
        return (known or USUAL).around(minutes)

    jobs = {}
    for job in workshop.jobs:
        if job.minutes is None:
            raise ValueError(f"job {job.id}: no minutes; apply its recipe {job.recipe} first")
        recipe = fitted.jobs.get(job.id)
        jobs[job.id] = spread(job.id, job.minutes, job.between, recipe.minutes if recipe else None)
    access = {}
    for one in workshop.access:
        off = fitted.access.get(one.id)
        access[one.id] = spread(one.id, one.minutes, one.between, off.work.minutes if off else None)
    aftercare = {}
    for care in workshop.aftercare:
        work = fitted.aftercare.get(care.id)
        aftercare[care.id] = spread(care.id, care.minutes, None, work.minutes if work else None)
    return Spreads(jobs, access, aftercare, frozenset(assumed))


def fasteners_of(workshop: Workshop, recipes: Iterable[Recipe] = ()) -> tuple[MetFastener, ...]:
    """Fasteners that the jobs and the access of a workshop meet, as far as the library knows them.

    Parameters
    ----------
    workshop : Workshop
        As ``apply_recipes`` returns it.
    recipes : iterable of Recipe, optional
        The recipes of one's own that it was applied with.

    Returns
    -------
    tuple of MetFastener
        Jobs first, then access, each in the workshop's order. Those of an access are met each time it
        comes off, whatever for.

    Examples
    --------
    >>> from onceapart.demo import read_demo
    >>> from onceapart.trade import apply_recipes
    >>> met = fasteners_of(apply_recipes(read_demo().workshop))
    >>> [(one.part, one.count, one.seize) for one in met if one.of == "pickle/front-left/hub-nut"]
    [('pickle/front/hub-nut', 1, 0.15)]
    """
    return tuple(_met(workshop, fit_workshop(workshop, recipes)))


def _met(workshop: Workshop, fitted: FittedWorkshop) -> Iterator[MetFastener]:
    cars = {car.id: car for car in workshop.cars}
    for job in workshop.jobs:
        recipe = fitted.jobs.get(job.id)
        for one in recipe.fasteners if recipe else ():
            yield _one(job.id, False, one, cars[job.car])
    for access in workshop.access:
        off, car = fitted.access.get(access.id), car_of(workshop, access.id)
        if off is not None and car is not None:
            for one in fasteners_of_access(off, car):
                yield _one(access.id, True, one, car)


def _one(of: str, is_access: bool, placed: Placed[Fastener], car: Car) -> MetFastener:
    fastener = placed.what
    return MetFastener(
        of=of,
        is_access=is_access,
        part=placed_id(car.id, narrowed("axle", placed.place), fastener.id),
        what=fastener.what,
        thread=fastener.thread,
        drive=fastener.drive,
        count=fastener.count,
        renew=fastener.renew,
        seize=getattr(fastener.seize, car.rust),
    )

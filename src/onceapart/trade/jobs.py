"""What the trade library says of each job and each access of a workshop, by their ids there.

An applied workshop (``apply_recipes``) says what is planned: minutes, access, parts, tools, aftercare.
This says the rest: operations in order, fasteners, measurements, cautions, release checks. Where the two
speak of the same thing the workshop wins, as its owner may have overridden it.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass, field

from onceapart.trade.checking import split_place
from onceapart.trade.fitting import (
    FittedAccess,
    FittedRecipe,
    Placed,
    fit_access,
    fit_aftercare,
    fit_recipe,
    why_not,
)
from onceapart.trade.library import Library, load_recipe, recipe_ids
from onceapart.trade.placing import holds, placed_id, spots, suits
from onceapart.trade.schema import AftercareWork, Caution, Fastener, Recipe, Spread
from onceapart.workshop import Car, Job, Layout, Workshop


@dataclass(frozen=True)
class FittedWorkshop:
    """What the library knows of the work in a workshop.

    ``jobs`` lacks jobs without a recipe, ``access`` and ``aftercare`` lack the workshop's own that the
    library has no entry for. An entry of the workshop's own that has the id of a library's entry is taken
    for the same thing: the library's words and fasteners, the workshop's minutes.
    """

    jobs: dict[str, FittedRecipe] = field(default_factory=dict)
    access: dict[str, FittedAccess] = field(default_factory=dict)
    aftercare: dict[str, AftercareWork] = field(default_factory=dict)
    library: Library = field(default_factory=Library)

    def cautions_of(self, job_id: str) -> tuple[Caution, ...]:
        """Cautions of a job itself, in the library's order; those of what comes off are at the access."""
        fitted = self.jobs.get(job_id)
        return self._cautions(fitted.recipe.cautions if fitted else ())

    def cautions_of_access(self, access_id: str) -> tuple[Caution, ...]:
        """Cautions of one access, in the library's order."""
        fitted = self.access.get(access_id)
        return self._cautions(fitted.work.cautions if fitted else ())

    def _cautions(self, names: Iterable[str]) -> tuple[Caution, ...]:
        wanted = {*names}
        return tuple(one for one in self.library.cautions.values() if one.id in wanted)


def fit_workshop(workshop: Workshop, recipes: Iterable[Recipe] = ()) -> FittedWorkshop:
    """Look up everything the library says of the jobs, access and aftercare of a workshop.

    Parameters
    ----------
    workshop : Workshop
        As ``apply_recipes`` returns it; of one that was not applied, what it names itself.
    recipes : iterable of Recipe, optional
        The recipes of one's own that it was applied with.

    Returns
    -------
    FittedWorkshop
        A recipe that is not there, or does not suit its place, is left out: ``apply_recipes`` refuses it.

    Examples
    --------
    >>> from onceapart.demo import read_demo
    >>> from onceapart.trade import apply_recipes
    >>> fitted = fit_workshop(apply_recipes(read_demo().workshop))
    >>> [one.what.id for one in fitted.jobs["pickle-cv-boot"].operations]
    ['joint-off', 'clean', 'pack', 'clips']
    >>> fitted.access["pickle/front-left/wheel"].work.title
    'Wheel'
    """
    own = {recipe.id: recipe for recipe in recipes}
    library = Library(recipe.defines for recipe in own.values())
    cars = {car.id: car for car in workshop.cars}
    jobs = {}
    for job in workshop.jobs:
        if job.car in cars:
            found = fit_job(job, cars[job.car], own, library)
            if found is not None:
                jobs[job.id] = found
    access = {}
    for one in workshop.access:
        car = car_of(workshop, one.id)
        layout = (car and car.layout) or Layout()
        fitted = fit_access(one.id, car.id, layout, library) if car else None
        if fitted is not None and suits(fitted.work.suits, layout, fitted.place):
            access[one.id] = fitted
    aftercare = {}
    for care in workshop.aftercare:
        car = car_of(workshop, care.id)
        work = fit_aftercare(care.id, car.id, library) if car else None
        if work is not None:
            aftercare[care.id] = work
    return FittedWorkshop(jobs, access, aftercare, library)


def fit_job(job: Job, car: Car, own: dict[str, Recipe], library: Library) -> FittedRecipe | None:
    """A job's recipe at its place on its car; None without a recipe that suits."""
    if job.recipe is None or job.place is None:
        return None
    recipe = own.get(job.recipe) or (load_recipe(job.recipe) if job.recipe in recipe_ids() else None)
    layout = car.layout or Layout()
    if recipe is None or why_not(recipe, job.place, layout) is not None:
        return None
    return fit_recipe(recipe, car.id, job.place, layout, library)


def car_of(workshop: Workshop, full_id: str) -> Car | None:
    """The car whose id an id starts with; the longest, as ids of cars may have a / too."""
    found = [car for car in workshop.cars if full_id.startswith(f"{car.id}/")]
    return max(found, key=lambda car: len(car.id), default=None)


def place_and_name(workshop: Workshop, full_id: str) -> tuple[str, str]:
    """Place and name in the id of an access or an aftercare of any car; ``all`` where it names no place.

    For a workshop's own access, which the library knows nothing of, that is all there is to tell.

    >>> from onceapart.demo import read_demo
    >>> workshop = read_demo().workshop
    >>> place_and_name(workshop, "pickle/front-left/wheel")
    ('front-left', 'wheel')
    >>> place_and_name(workshop, "pickle/passenger-door-card")
    ('all', 'passenger-door-card')
    """
    car = car_of(workshop, full_id)
    place, name = split_place(full_id.removeprefix(f"{car.id}/") if car else full_id)
    return place or "all", name


def fasteners_of_access(access: FittedAccess, car: Car) -> tuple[Placed[Fastener], ...]:
    """Fasteners of an access, each where it is."""
    layout = car.layout or Layout()
    return tuple(
        Placed(placed_id(car.id, spot, one.id), spot, one)
        for one in access.work.fasteners
        for spot in spots(one.per, access.place)
        if holds(one.when, layout, spot, access.place)
    )


def split_minutes(total: int, operations: Iterable[Spread]) -> tuple[int, ...]:
    """A job's minutes divided over its operations in proportion to their typical ones. [min]

    Whole minutes that add up to ``total`` exactly; no share is off by a whole minute or more.

    >>> split_minutes(10, [Spread(good=1, typical=4, bad=9), Spread(good=1, typical=8, bad=9)])
    (3, 7)
    """
    weights = [one.typical for one in operations]
    whole = sum(weights)
    if not weights:
        return ()
    if not whole:
        weights, whole = [1] * len(weights), len(weights)
    edges = [0]
    for weight in weights:
        edges.append(edges[-1] + weight)
    at = [(edge * total * 2 + whole) // (whole * 2) for edge in edges]
    return tuple(after - before for before, after in itertools.pairwise(at))

"""Applying recipes to the jobs of a workshop, and adding the access and aftercare they bring along."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from onceapart.errors import Problem, WorkshopFileError
from onceapart.trade.checking import check_together
from onceapart.trade.fitting import (
    FittedAccess,
    fit_access,
    fit_aftercare,
    fit_recipe,
    suited_places,
    why_not,
)
from onceapart.trade.jobs import car_of
from onceapart.trade.library import Library, load_recipe, recipe_ids, unknown_recipe
from onceapart.trade.placing import condition_in_words, layout_in_words, places_of, suits
from onceapart.trade.schema import Recipe, Spread
from onceapart.workshop import Access, Aftercare, Car, Job, Layout, Workshop, parse_money
from onceapart.workshop.check import LineOf, check_references
from onceapart.workshop.values import MAX_ID, MAX_MINUTES


def apply_recipes(
    workshop: Workshop,
    recipes: Iterable[Recipe] = (),
    *,
    source: str | None = None,
    line_of: LineOf | None = None,
) -> Workshop:
    """A workshop in which each job with a recipe has what the recipe brings for its place on its car.

    What a job gives beside its recipe stays as it is, and so does access and aftercare that the workshop
    defines itself; what it does not define is added. Applying twice is the same as once.

    Parameters
    ----------
    workshop : Workshop
        As read. It is not changed.
    recipes : iterable of Recipe, optional
        Recipes of one's own (``load_recipe_file``). One with the id of a shipped recipe replaces it.
    source : str, optional
        The file's name, for errors; by default the workshop's.
    line_of : callable, optional
        Says on which line of the file a path such as ``jobs[3].recipe`` stands.

    Returns
    -------
    Workshop
        Without a loose end: its references are checked. Minutes are the recipe's typical ones, and
        ``between`` its good and bad case; both in proportion to minutes that the job gives itself. [min]

    Raises
    ------
    WorkshopFileError
        With all problems at once: recipes that are not there, places or layouts that do not suit,
        special tools that ``tools`` does not list, references to what is neither in the workshop nor in
        the library.
    """
    applying = _Applying(workshop, {recipe.id: recipe for recipe in recipes}, line_of)
    expanded = applying.run() if any(job.recipe is not None for job in workshop.jobs) else workshop
    problems = applying.problems
    # What was said above with its reason is not said again as a loose reference.
    said = {("tools", tool) for tool in applying.missing_tools}
    said |= {("access", access_id) for access_id in applying.refused}
    for problem in check_references(expanded, line_of):
        key = problem.where.partition("].")[2].partition("[")[0]
        if ("access" if key == "under" else key, problem.value) not in said:
            problems.append(problem)
    if problems:
        ordered = sorted(problems, key=lambda problem: problem.line or 0)
        raise WorkshopFileError(source or f"workshop {workshop.name}", ordered)
    return expanded


class _Applying:
    def __init__(self, workshop: Workshop, own: Mapping[str, Recipe], line_of: LineOf | None) -> None:
        self.workshop = workshop
        self.own = own
        self.line_of: Callable[[str], int | None] = line_of or (lambda where: None)
        self.problems: list[Problem] = []
        self.missing_tools: set[str] = set()
        self.library = Library(recipe.defines for recipe in own.values())
        self.cars = {car.id: car for car in workshop.cars}
        self.tools = {tool.id for tool in workshop.tools}
        self.access = {access.id: access for access in workshop.access}
        self.aftercare = {aftercare.id: aftercare for aftercare in workshop.aftercare}
        self.refused: set[str] = set()

    def run(self) -> Workshop:
        for one, other, name in check_together(self.own.values()):
            rule = f"the recipes {one} and {other} define it differently"
            self.problems.append(Problem(None, "recipes", name, rule, "give one of the two another id"))
        jobs = tuple(self._apply(index, job) for index, job in enumerate(self.workshop.jobs))
        for index, job in enumerate(jobs):
            where = f"jobs[{index}]"
            self._add_access(job.access, job, where)
            self._add_aftercare(job.aftercare, where)
        for index, access in enumerate(self.workshop.access):
            where = f"access[{index}]"
            self._add_access(access.under, None, where)
            self._add_aftercare(access.aftercare, where)
        return self.workshop.model_copy(
            update={
                "jobs": jobs,
                "access": tuple(self.access.values()),
                "aftercare": tuple(self.aftercare.values()),
            }
        )

    def _report(self, where: str, value: str, rule: str, way_out: str) -> None:
        self.problems.append(Problem(self.line_of(where), where, value, rule, way_out))

    def _apply(self, index: int, job: Job) -> Job:
        """The job with what its recipe brings; as it is, with a problem, if the recipe can't be applied."""
        car = self.cars.get(job.car)
        where = f"jobs[{index}]"
        if job.recipe is None:
            return job
        if job.recipe not in self.own and job.recipe not in recipe_ids():
            self._report(f"{where}.recipe", job.recipe, *unknown_recipe(job.recipe, self.own))
            return job
        recipe = self.own.get(job.recipe) or load_recipe(job.recipe)
        if car is None:  # the check of references says so
            return job
        layout = car.layout or Layout()
        if not self._check_place(recipe, job, car, layout, where):
            return job
        assert job.place is not None
        fitted = fit_recipe(recipe, car.id, job.place, layout, self.library)
        minutes = fitted.minutes.typical if job.minutes is None else job.minutes
        brought = {
            "minutes": minutes,
            "between": _cases(fitted.minutes, minutes),
            "access": fitted.access,
            "parts": fitted.parts,
            "tools": fitted.tools,
            "aftercare": fitted.aftercare,
        }
        taken = {key: value for key, value in brought.items() if key not in job.overrides}
        if job.between is not None and not job.between[0] <= minutes <= job.between[1]:
            rule = f"the usual {minutes} minutes of recipe {recipe.id} are between the good and the bad case"
            way_out = "give `minutes` of your own, too, or other cases"
            good, bad = job.between
            self._report(f"{where}.between", f"[{good}, {bad}]", rule, way_out)
        if "tools" in taken:
            self._check_tools(fitted.tools, f"{where}.recipe", f"recipe {recipe.id}")
        return job.model_copy(update=taken)

    def _check_place(self, recipe: Recipe, job: Job, car: Car, layout: Layout, where: str) -> bool:
        """Whether the recipe can be done there; says so if not."""
        reason = why_not(recipe, job.place, layout)
        if reason is None:
            return True
        suited = ", ".join(suited_places(recipe, layout))
        if reason == "layout":
            assert job.place is not None
            default = "" if car.layout else " by default"
            rule = (
                f"recipe {recipe.id} is for {condition_in_words(recipe.suits)}, and {car.id} has "
                f"({layout_in_words(layout, job.place)}){default}"
            )
            way_out = "set the car's `layout`, or take another recipe"
            if suited:
                way_out = f"set the car's `layout`, or use the place {suited}"
            self._report(f"{where}.place", job.place, rule, way_out)
        else:
            rule = f"recipe {recipe.id} is done at {', '.join(places_of(recipe.places))}"
            if job.place is None:
                rule += ", and the job has no place"
            way_out = f"use {suited}" if suited else f"set the layout of {car.id}, or take another recipe"
            self._report(f"{where}.place", job.place or "", rule, way_out)
        return False

    def _check_tools(self, tools: Iterable[str], where: str, what: str) -> None:
        for tool in tools:
            if tool not in self.tools and tool not in self.missing_tools:
                self.missing_tools.add(tool)
                rule = f"{what} needs this special tool, and `tools` does not list it"
                way_out = f"add {{id: {tool}, have: true}} to `tools`, or its price as `hire` or `buy`"
                self._report(where, tool, rule, way_out)

    def _add_access(self, ids: Iterable[str], job: Job | None, where: str) -> None:
        """Add the library's access for ids that the workshop does not define, and what that is under."""
        waiting = list(ids)
        while waiting:
            access_id = waiting.pop()
            if access_id in self.access or access_id in self.refused:
                continue
            fitted = self._from_library(access_id)
            if fitted is None:
                continue
            car = car_of(self.workshop, access_id)
            layout = (car and car.layout) or Layout()
            if not suits(fitted.work.suits, layout, fitted.place):
                self.refused.add(access_id)
                wanted = condition_in_words(fitted.work.suits)
                found = layout_in_words(layout, fitted.place)
                rule = f"the library's {fitted.work.id} is for {wanted}, and the car has ({found})"
                self._report(
                    f"{where}.access", access_id, rule, "set the car's `layout`, or define the access"
                )
                continue
            self.access[access_id] = Access(
                id=access_id,
                minutes=fitted.work.minutes.typical,
                between=_cases(fitted.work.minutes, fitted.work.minutes.typical),
                under=fitted.under,
                aftercare=fitted.aftercare,
                tools=fitted.tools,
            )
            recipe = f" of recipe {job.recipe}" if job and job.recipe else ""
            at = f"{where}.recipe" if recipe else f"{where}.access"
            self._check_tools(fitted.tools, at, f"access {access_id}{recipe}")
            self._add_aftercare(fitted.aftercare, where)
            waiting.extend(reversed(fitted.under))

    def _add_aftercare(self, ids: Iterable[str], where: str) -> None:
        for aftercare_id in ids:
            car = car_of(self.workshop, aftercare_id)
            if aftercare_id in self.aftercare or car is None:
                continue
            work = fit_aftercare(aftercare_id, car.id, self.library)
            if work is not None and self._fits(aftercare_id, where):
                self.aftercare[aftercare_id] = Aftercare(
                    id=aftercare_id, minutes=work.minutes.typical, price=parse_money(work.price)
                )

    def _from_library(self, access_id: str) -> FittedAccess | None:
        car = car_of(self.workshop, access_id)
        if car is None or not self._fits(access_id, "cars"):
            return None
        return fit_access(access_id, car.id, car.layout or Layout(), self.library)

    def _fits(self, full_id: str, where: str) -> bool:
        """Whether an id is short enough to be one."""
        if len(full_id) <= MAX_ID:
            return True
        if full_id not in self.refused:
            self.refused.add(full_id)
            self._report(where, full_id, f"ids have at most {MAX_ID} letters", "give the car a shorter id")
        return False


def _cases(known: Spread, minutes: int) -> tuple[int, int]:
    """Good and bad case of work that takes so many minutes, as a workshop file has them."""
    moved = known.around(minutes)
    return moved.good, min(moved.bad, MAX_MINUTES)

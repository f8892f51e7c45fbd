"""From what fails to the jobs that put it right: each job once, those that are in the workshop not again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from onceapart.inspection.judging import Verdict
from onceapart.inspection.verdicts import CarVerdict, ItemVerdict
from onceapart.trade.fitting import all_access, fit_recipe, why_not
from onceapart.trade.library import Library, load_recipe, recipe_ids
from onceapart.trade.placing import holds
from onceapart.trade.rules import Cure, places_of_cure
from onceapart.workshop import Job, Layout, Need, Workshop, axle_of, corners_of
from onceapart.workshop.values import MAX_ID

_NEEDS = (Need.WISH, Need.UPKEEP, Need.SAFETY, Need.INSPECTION)
"""From what may be left to what must be done first."""


@dataclass(frozen=True)
class Reason:
    """A verdict that a job puts right."""

    verdict: ItemVerdict
    is_ahead: bool = False
    """Whether it fails only by the day of the inspection, as it wears."""

    @property
    def klass(self) -> Verdict:
        """How badly it fails, now or by then."""
        ahead = self.verdict.projection
        if not self.is_ahead or ahead is None:
            return self.verdict.verdict
        return ahead.becomes if ahead.becomes.rank > self.verdict.verdict.rank else ahead.may_become

    @property
    def is_sure(self) -> bool:
        """Whether it fails now, or is expected to by then; else it only may."""
        ahead = self.verdict.projection
        return not self.is_ahead or ahead is None or ahead.becomes.rank > self.verdict.verdict.rank


@dataclass(frozen=True)
class Proposal:
    """A job that puts something right."""

    id: str
    """Of the job in the workshop if it is there already."""
    car: str
    recipe: str
    place: str
    need: Need
    reasons: tuple[Reason, ...]
    there: Job | None = None
    """The job of the workshop that does it."""

    def entry(self) -> dict[str, Any]:
        """The job as it is written into a workshop file."""
        return {
            "id": self.id,
            "car": self.car,
            "need": str(self.need),
            "recipe": self.recipe,
            "place": self.place,
        }


@dataclass(frozen=True)
class Uncured:
    """A verdict for which no job can be proposed, and why."""

    reason: Reason
    why: str


@dataclass(frozen=True)
class Proposals:
    """Jobs for everything that fails, and what is left over."""

    jobs: tuple[Proposal, ...]
    """New ones and those that are there, must jobs first."""
    uncured: tuple[Uncured, ...]
    tools: tuple[str, ...] = ()
    """Special tools that the new jobs ask for and the workshop does not list."""

    @property
    def new(self) -> tuple[Proposal, ...]:
        """Jobs that are not in the workshop yet."""
        return tuple(job for job in self.jobs if job.there is None)

    def entries(self) -> list[dict[str, Any]]:
        """The new jobs, as for ``workshop.insert.with_entries``."""
        return [job.entry() for job in self.new]


@dataclass
class _Wanted:
    recipe: str
    place: str
    reasons: list[Reason] = field(default_factory=list)


def propose(workshop: Workshop, verdicts: Iterable[CarVerdict]) -> Proposals:
    """Propose jobs for everything that fails, or is to fail by the inspection.

    Parameters
    ----------
    workshop : Workshop
        As in its file, without recipes applied.
    verdicts : iterable of CarVerdict
        Of its cars.

    Returns
    -------
    Proposals
        Of several things cured by one job it is there once. Where the trade works in pairs, both sides.

    Notes
    -----
    Need: ``inspection`` for what is major or dangerous where a rule pack of the law is used, ``safety``
    where it is a home check; ``upkeep`` for what is minor, or may fail by
    the day of the inspection but is not expected to. Upkeep is worth nothing until it is given a worth.
    """
    jobs: list[Proposal] = []
    uncured: list[Uncured] = []
    taken = {job.id for job in workshop.jobs}
    for verdict in verdicts:
        found, left = _of_car(workshop, verdict, taken)
        jobs += found
        uncured += left
    jobs.sort(key=lambda job: -_NEEDS.index(job.need))
    return Proposals(tuple(jobs), tuple(uncured), _tools(workshop, jobs))


def _of_car(workshop: Workshop, verdict: CarVerdict, taken: set[str]) -> tuple[list[Proposal], list[Uncured]]:
    wanted: dict[tuple[str, str], _Wanted] = {}
    uncured = []
    layout = verdict.car.layout or Layout()
    for reason in _reasons(verdict):
        cured = False
        for cure in _cures(reason, layout):
            for place in _places(cure, reason.verdict, layout):
                cured = True
                job = wanted.setdefault((cure.recipe, place), _Wanted(cure.recipe, place))
                if reason not in job.reasons:
                    job.reasons.append(reason)
        if not cured:
            uncured.append(Uncured(reason, _no_recipe(workshop, verdict.car.id, reason.verdict.item.id)))
    merged = _merged(verdict.car.id, list(wanted.values()), layout)
    jobs = [_proposal(workshop, verdict, one, taken) for one in merged]
    return _once_each(jobs), uncured


def _no_recipe(workshop: Workshop, car: str, item: str) -> str:
    """What to do without a recipe: a job written out by hand may be for it already."""
    own = [job.id for job in workshop.jobs if job.car == car and job.recipe is None and item in job.id]
    if own:
        return f"no recipe puts it right; {' and '.join(own)} in the file may be for it"
    return "no recipe puts it right; write the job yourself"


def _reasons(verdict: CarVerdict) -> Iterator[Reason]:
    """What fails now, the worst first, then what is to fail by the inspection."""
    for one in verdict.verdicts:
        if one.verdict.rank > Verdict.NOT_CHECKED.rank:
            yield Reason(one)
    for one in verdict.verdicts:
        ahead = one.projection
        if ahead is not None and (
            one.verdict is Verdict.PASSES or max(ahead.becomes.rank, ahead.may_become.rank) > one.verdict.rank
        ):
            yield Reason(one, is_ahead=True)


def _cures(reason: Reason, layout: Layout) -> list[Cure]:
    """The cures of an item that suit what was found and the car."""
    one = reason.verdict
    words = {word for reading in one.readings for word in reading.words}
    # Words that the rules say nothing of need no cure.
    words &= {word for rule in one.rules for word in rule.seen}
    spot = one.readings[-1].spots[0] if one.readings else one.place
    return [
        cure
        for cure in one.item.cures
        if (not cure.for_ or words & set(cure.for_)) and holds(cure.when, layout, spot, spot)
        if cure.recipe in recipe_ids()
    ]


def _places(cure: Cure, one: ItemVerdict, layout: Layout) -> list[str]:
    """Where the job of a cure is done: at the part that was found, if the recipe can be done there."""
    recipe = load_recipe(cure.recipe)
    spot = one.place if one.item.at == "corner" else _spot(one)
    places = [place for place in places_of_cure(cure, spot) if why_not(recipe, place, layout) is None]
    narrower = one.place != spot and not cure.pair and why_not(recipe, one.place, layout) is None
    if narrower and (cure.at == "car" or axle_of(one.place) == axle_of(spot)):
        return [one.place]
    return places


def _spot(one: ItemVerdict) -> str:
    if not one.readings:
        return one.place
    spots = one.readings[-1].spots
    return one.place if one.place in spots else spots[0]


def _merged(car: str, wanted: list[_Wanted], layout: Layout) -> list[_Wanted]:
    """Jobs without those that another one does along with its own work.

    One job does another's work if it is of the same recipe at a place that takes the other in, or brings
    every part that the other brings, as new discs bring new pads.
    """
    parts = {id(one): _parts(car, one, layout) for one in wanted}
    kept = list(wanted)
    while True:
        pair = next(
            (
                (doer, done)
                for done in reversed(kept)
                for doer in kept
                if doer is not done and _does(doer, done, parts[id(doer)], parts[id(done)])
            ),
            None,
        )
        if pair is None:
            return kept
        doer, done = pair
        kept = [one for one in kept if one is not done]
        doer.reasons += [reason for reason in done.reasons if reason not in doer.reasons]


def _does(one: _Wanted, other: _Wanted, parts: dict[str, int], others: dict[str, int]) -> bool:
    if one.recipe == other.recipe:
        return takes_in(one.place, other.place)
    return bool(others) and all(parts.get(part, 0) >= pieces for part, pieces in others.items())


def _parts(car: str, one: _Wanted, layout: Layout) -> dict[str, int]:
    return fit_recipe(load_recipe(one.recipe), car, one.place, layout).parts


def takes_in(place: str, other: str) -> bool:
    """Whether a job at a place is done at another one, too.

    >>> takes_in("front", "front-left"), takes_in("front-left", "front"), takes_in("all", "rear")
    (True, False, True)
    """
    inner = corners_of(other)
    return place == other or (bool(inner) and set(inner) <= set(corners_of(place)))


def _proposal(workshop: Workshop, verdict: CarVerdict, one: _Wanted, taken: set[str]) -> Proposal:
    car = verdict.car
    need = max((_need(verdict, reason) for reason in one.reasons), key=_NEEDS.index)
    there = _there(workshop, car.id, one, car.layout or Layout())
    if there is not None:
        job_id = there.id
    else:
        job_id = _new_id(car.id, one, taken)
        taken.add(job_id)
    return Proposal(job_id, car.id, one.recipe, one.place, need, tuple(one.reasons), there)


def _need(verdict: CarVerdict, reason: Reason) -> Need:
    if reason.klass.rank < Verdict.MAJOR.rank or not reason.is_sure:
        return Need.UPKEEP
    return Need.INSPECTION if verdict.is_law else Need.SAFETY


def _there(workshop: Workshop, car: str, one: _Wanted, layout: Layout) -> Job | None:
    """The job of the workshop that does what is wanted."""
    wanted = _parts(car, one, layout)
    for job in workshop.jobs:
        if job.car != car or job.recipe is None or job.place is None or job.recipe not in recipe_ids():
            continue
        has = _Wanted(job.recipe, job.place)
        if why_not(load_recipe(job.recipe), job.place, layout) is None and _does(
            has, one, _parts(car, has, layout), wanted
        ):
            return job
    return None


def _new_id(car: str, one: _Wanted, taken: set[str]) -> str:
    """An id that says what is done and where, and is not taken.

    >>> _new_id("wren", _Wanted("brake-pads", "front"), {"wren-brake-pads-front"})
    'wren-brake-pads-front-2'
    """
    wanted = "-".join([car, one.recipe] + [one.place] * (one.place != "all"))
    name, number = wanted[:MAX_ID].rstrip("-/"), 1
    while name in taken:
        number += 1
        tail = f"-{number}"
        name = wanted[: MAX_ID - len(tail)].rstrip("-/") + tail
    return name


def _once_each(jobs: Sequence[Proposal]) -> list[Proposal]:
    """Jobs of the workshop that do several of the wanted ones, once."""
    found: dict[str, Proposal] = {}
    for job in jobs:
        before = found.get(job.id)
        if before is None:
            found[job.id] = job
            continue
        reasons = (*before.reasons, *(one for one in job.reasons if one not in before.reasons))
        need = max(before.need, job.need, key=_NEEDS.index)
        found[job.id] = replace(before, reasons=reasons, need=need)
    return list(found.values())


def _tools(workshop: Workshop, jobs: Iterable[Proposal]) -> tuple[str, ...]:
    """Special tools of new jobs, and of what comes off for them, that the workshop does not list."""
    have = {tool.id for tool in workshop.tools}
    cars = {car.id: car for car in workshop.cars}
    needed: dict[str, None] = {}
    for job in jobs:
        if job.there is not None:
            continue
        recipe = load_recipe(job.recipe)
        fitted = fit_recipe(recipe, job.car, job.place, cars[job.car].layout)
        for tool in fitted.tools:
            needed.setdefault(tool)
        for access in all_access(fitted, Library([recipe.defines])):
            needed.update(dict.fromkeys(access.tools))
    return tuple(tool for tool in needed if tool not in have)

"""Jobs that what was found on the cars calls for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable

from onceapart.errors import OnceapartError
from onceapart.inspection.proposing import Proposal, Proposals, Reason, propose
from onceapart.inspection.verdicts import CarVerdict, inspect_car
from onceapart.trade import Library, all_access, fit_recipe, load_recipe
from onceapart.trade.rules import load_pack
from onceapart.workshop import Job, Tool, Workshop

USUAL_RULES = "home-check"
"""Rule pack for a car that names none."""


def judged(workshop: Workshop, cars: Iterable[str], today: dt.date) -> list[CarVerdict]:
    """What an inspection would say of some cars; a car whose rule pack can't be used is left out."""
    found = []
    by_id = {car.id: car for car in workshop.cars}
    for name in cars:
        car = by_id[name]
        rules = (car.inspection.rules if car.inspection else None) or USUAL_RULES
        try:
            found.append(inspect_car(workshop, name, load_pack(rules), today=today))
        except OnceapartError:
            continue
    return found


def proposed_for(workshop: Workshop, cars: Iterable[str], today: dt.date) -> Proposals:
    """Jobs for what fails on some cars.

    Parameters
    ----------
    workshop : Workshop
        As in its file, without recipes applied.
    cars : iterable of str
    today : date
    """
    wanted = list(cars) if workshop.findings else []
    return propose(workshop, judged(workshop, wanted, today))


def with_proposals(workshop: Workshop, wanted: Collection[str], today: dt.date) -> Workshop:
    """The workshop with some of the proposed jobs, and the tools they ask for; others are left out.

    They are worked out anew, so that a job somebody else added meanwhile is not there twice.
    """
    all_of = proposed_for(workshop, [car.id for car in workshop.cars], today)
    chosen = tuple(one for one in all_of.new if one.id in wanted)
    jobs = tuple(
        Job(id=one.id, car=one.car, need=one.need, recipe=one.recipe, place=one.place) for one in chosen
    )
    tools = tuple(Tool(id=name) for name in tools_of(workshop, chosen))
    return workshop.model_copy(update={"jobs": (*workshop.jobs, *jobs), "tools": (*workshop.tools, *tools)})


def tools_of(workshop: Workshop, jobs: Iterable[Proposal]) -> tuple[str, ...]:
    """Special tools of proposed jobs that the workshop does not list."""
    have = {tool.id for tool in workshop.tools}
    cars = {car.id: car for car in workshop.cars}
    needed: dict[str, None] = {}
    for job in jobs:
        recipe = load_recipe(job.recipe)
        fitted = fit_recipe(recipe, job.car, job.place, cars[job.car].layout)
        needed.update(dict.fromkeys(fitted.tools))
        for access in all_access(fitted, Library([recipe.defines])):
            needed.update(dict.fromkeys(access.tools))
    return tuple(tool for tool in needed if tool not in have)


def reason_words(reason: Reason) -> str:
    """Why a job is proposed: the item, where, and what was found or is to come."""
    one = reason.verdict
    where = "" if one.place == "all" else f", {one.place.replace('-', ' ')}"
    ahead = " by the day of the inspection" if reason.is_ahead else ""
    may = "may be " if reason.is_ahead and not reason.is_sure else "will be " if reason.is_ahead else ""
    return f"{one.item.title}{where}: {may}{reason.klass}{ahead}"

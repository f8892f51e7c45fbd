"""What jobs cost: each by itself, and all of them in one plan; by planning's own functions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from onceapart.inspection.proposing import Proposals
    from onceapart.planning.answer import Answer
    from onceapart.planning.cost import Cost
    from onceapart.planning.workload import Workload
    from onceapart.workshop import ParsedWorkshop

LONG_MINUTES = 100_000
WORK = 40_000
"""Work that finding the one plan may take; it is a figure beside others, not the plan to work by."""


@dataclass(frozen=True)
class Alone:
    """One job by itself: its parts from the cheapest offers, all access and aftercare for it alone."""

    job: str
    cost: Cost
    unsold: tuple[str, ...]
    """Parts that nobody sells, and the shelf does not hold; their price is not in the cost."""
    no_tools: tuple[str, ...]
    """Tools that can't be got, and whose price is not in the cost."""


@dataclass(frozen=True)
class Costs:
    """What jobs cost one by one and together."""

    workload: Workload
    alone: tuple[Alone, ...]
    together: Answer | None
    """One plan of just these jobs; None if there are none."""
    in_time: bool
    """Whether that plan keeps to the stints and last days of the file; else it takes one long stint."""

    @property
    def musts(self) -> frozenset[str]:
        """Jobs that have to be done to pass."""
        return frozenset(job.id for job in self.workload.jobs if job.is_must)


def costs_of(parsed: ParsedWorkshop, proposals: Proposals) -> Costs:
    """Work out what the proposed jobs and those that are there cost.

    Raises
    ------
    WorkshopFileError
        The workshop can't be planned with these jobs, with every problem.
    """
    from onceapart.planning.workload import workload_from
    from onceapart.trade import apply_recipes
    from onceapart.workshop import Job, Tool

    workshop = parsed.workshop
    new = tuple(
        Job(id=one.id, car=one.car, need=one.need, recipe=one.recipe, place=one.place)
        for one in proposals.new
    )
    with_new = workshop.model_copy(
        update={
            "jobs": (*workshop.jobs, *new),
            "tools": (*workshop.tools, *(Tool(id=tool) for tool in proposals.tools)),
        }
    )
    applied = apply_recipes(with_new, source=parsed.source, line_of=parsed.line_of)
    whole = workload_from(applied, dt.date.today())
    wanted = {one.id for one in proposals.jobs}
    needs = {one.id: one.need.is_must for one in proposals.jobs}
    jobs = tuple(
        # What is there as upkeep and is needed to pass has to be done, too.
        replace(job, after=(), is_must=job.is_must or needs[job.id], worth=0)
        for job in whole.jobs
        if job.id in wanted
    )
    workload = replace(whole, jobs=jobs)
    alone = tuple(_alone(workload, job.id) for job in jobs)
    unsold = {part for one in alone for part in one.unsold}
    no_tools = {tool for one in alone for tool in one.no_tools}
    together, in_time = _together(_without(workload, unsold, no_tools))
    return Costs(workload, alone, together, in_time)


def _alone(workload: Workload, job_id: str) -> Alone:
    from onceapart.planning.baselines import line_by_line

    job = workload.job[job_id]
    sold = _pieces_to_be_had(workload)
    unsold = tuple(part for part, pieces in job.parts.items() if sold.get(part, 0) < pieces)
    tools = workload.tools_for([job_id], workload.opened_for([job_id]))
    no_tools = tuple(
        name
        for name in tools
        if not (tool := workload.tool[name]).have and tool.hire is None and tool.buy is None
    )
    kept = _without(replace(workload, jobs=(replace(job, last_day=None),)), unsold, no_tools)
    return Alone(job_id, line_by_line(kept, [job_id]).cost, unsold, no_tools)


def _pieces_to_be_had(workload: Workload) -> dict[str, int]:
    """Pieces of each part on the shelf and in all that is for sale; without a limit, any number."""
    found = dict(workload.shelf)
    for offer in workload.offers:
        for part, pieces in offer.parts.items():
            units = 10**9 if offer.limit is None else offer.limit
            found[part] = found.get(part, 0) + pieces * units
    return found


def _without(workload: Workload, parts: Iterable[str], tools: Iterable[str]) -> Workload:
    """The workload as if some parts were not needed and some tools were there."""
    gone, had = set(parts), set(tools)
    jobs = tuple(
        replace(job, parts={part: n for part, n in job.parts.items() if part not in gone})
        for job in workload.jobs
    )
    have = tuple(replace(tool, have=tool.have or tool.id in had) for tool in workload.tools)
    return replace(workload, jobs=jobs, tools=have)


def _together(workload: Workload) -> tuple[Answer | None, bool]:
    """One plan of all must jobs: in the stints of the file, or else in one long stint after all has come."""
    from onceapart.planning.plan import Aim
    from onceapart.planning.solve import best_plan
    from onceapart.planning.workload import Stint

    musts = replace(workload, jobs=tuple(job for job in workload.jobs if job.is_must))
    if not musts.jobs:
        return None, True
    answer = best_plan(musts, Aim.BALANCE, work_limit=WORK)
    if answer.plan is not None:
        return answer, True
    last = max((offer.arrives for offer in musts.offers), default=musts.today)
    long = Stint(max(last, musts.today), LONG_MINUTES)
    free = replace(musts, jobs=tuple(replace(job, last_day=None) for job in musts.jobs), stints=(long,))
    return best_plan(free, Aim.BALANCE, work_limit=WORK), False


def costs_to_json(costs: Costs) -> dict[str, Any]:
    """Costs as plain data: money in minor units, time in minutes."""
    together = costs.together
    return {
        "alone": [
            {
                "job": one.job,
                **_figures(one.cost),
                "unsold": list(one.unsold),
                "no_tools": list(one.no_tools),
            }
            for one in costs.alone
        ],
        "together": None if together is None or together.cost is None else _figures(together.cost),
        "in_time": costs.in_time,
    }


def _figures(cost: Cost) -> dict[str, int]:
    return {
        "goods": cost.goods,
        "delivery": cost.delivery,
        "aftercare": cost.aftercare,
        "tools": cost.tools + cost.hire,
        "money": cost.money,
        "minutes": cost.minutes,
        "time": cost.time,
    }

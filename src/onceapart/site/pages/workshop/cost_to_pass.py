"""What it still costs to get one car through its inspection, in money and hours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from onceapart.planning.baselines import line_by_line
from onceapart.planning.cost import Cost, cost
from onceapart.planning.plan import plan_of
from onceapart.planning.workload import Stint, Workload
from onceapart.site.pages.planned import Planned

LONG_MINUTES = 100_000


@dataclass(frozen=True)
class CostToPass:
    """Money in minor units, minutes worked; ``by_plan`` or else with no plan, bought line by line."""

    money: int
    minutes: int
    by_plan: bool
    unsold: tuple[str, ...] = ()
    """Parts that nobody sells and the shelf does not hold: their price is not in it."""
    unplanned: tuple[str, ...] = ()
    """Jobs that the plan does not have."""


def by_plan(planned: Planned, jobs: Collection[str]) -> CostToPass:
    """What some jobs cost where and when the plan has them, as if nothing else were done.

    The offers are those of the plan as far as these jobs need them; delivery is paid for these alone.
    """
    workload = planned.workload
    known = [name for name in jobs if name in workload.job and name in planned.plan.done]
    kept = tuple(replace(workload.job[name], after=()) for name in sorted(known))
    alone = replace(workload, jobs=kept)
    jobs_in = [[name for name in work.jobs if name in known] for work in planned.plan.work]
    found = cost(alone, plan_of(alone, jobs_in, _needed_of(alone, planned.plan.units)))
    unplanned = tuple(sorted(set(jobs) - set(known)))
    return CostToPass(found.money, found.minutes, by_plan=True, unplanned=unplanned)


def line_by_line_cost(workload: Workload, jobs: Collection[str]) -> CostToPass:
    """What some jobs cost without a plan: each part where it is cheapest, each job where it fits."""
    kept = tuple(replace(job, after=(), last_day=None) for job in workload.jobs if job.id in jobs)
    unsold = _unsold(replace(workload, jobs=kept))
    kept = tuple(
        replace(job, parts={part: n for part, n in job.parts.items() if part not in unsold}) for job in kept
    )
    last = max((offer.arrives for offer in workload.offers), default=workload.today)
    stints = workload.stints or (Stint(max(last, workload.today), LONG_MINUTES),)
    alone = replace(workload, jobs=kept, stints=stints)
    found: Cost = line_by_line(alone, [job.id for job in kept]).cost
    return CostToPass(found.money, found.minutes, by_plan=False, unsold=unsold)


def _unsold(workload: Workload) -> tuple[str, ...]:
    """Parts of which there are not as many pieces, on the shelf and for sale, as the jobs use."""
    needed: Counter[str] = Counter()
    for job in workload.jobs:
        needed.update(job.parts)
    had = Counter(workload.shelf)
    for offer in workload.offers:
        for part, pieces in offer.parts.items():
            had[part] += pieces * (10**6 if offer.limit is None else offer.limit)
    return tuple(sorted(part for part, pieces in needed.items() if had[part] < pieces))


def _needed_of(workload: Workload, units: Mapping[str, int]) -> dict[str, int]:
    """As many units of some offers as the jobs of a workload can't do without, the dearest dropped first."""
    kept = Counter({name: n for name, n in units.items() if n})
    needed: Counter[str] = Counter()
    for job in workload.jobs:
        needed.update(job.parts)
    had = Counter(workload.shelf)
    for name, count in kept.items():
        for part, pieces in workload.offer[name].parts.items():
            had[part] += pieces * count
    for name in sorted(kept, key=lambda one: (-workload.offer[one].price, one)):
        parts = workload.offer[name].parts
        while kept[name] and all(had[part] - n >= min(needed[part], had[part]) for part, n in parts.items()):
            kept[name] -= 1
            had.subtract(parts)
    return {name: count for name, count in kept.items() if count}

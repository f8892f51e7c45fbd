"""Whether a workload has any plan at all, asked many times: made small first, and answered once each."""

from __future__ import annotations

import math
from collections import Counter, deque
from collections.abc import Callable, Mapping
from dataclasses import replace

from onceapart.planning.answer import Progress
from onceapart.planning.conflict_wants import (
    is_out_of_reach,
    jobs_behind,
    minutes_together,
    offers_by_part,
    pieces_needed,
)
from onceapart.planning.greedy import greedy_plan
from onceapart.planning.plan import Status, plan_of
from onceapart.planning.rules import broken_rules
from onceapart.planning.workload import Job, Offer, Seller, Workload

IsPossible = Callable[[Workload], bool]
StintName = tuple[str, int]
Placing = Mapping[str, StintName]
"""The stint each job is done in."""

WORK_LIMIT = 400_000
"""Simplex iterations for all questions about one workload; most workloads take far fewer."""
PLANS_KEPT = 12
"""Plans remembered: often one of them answers the next question too."""

WORTH_A_MINUTE = 60
"""An hour's worth of one minor unit a minute: plans that share access are looked for first."""


def core_of(workload: Workload) -> Workload | None:
    """What decides whether there is a plan, and nothing else; None where there is none for sure.

    Only what must be done is left, with what it comes after. Nothing has a price, tools that can be had are
    there, and parts that can't run short are left out. Equal cores are as possible as each other.
    """
    needed = jobs_behind(workload, [job.id for job in workload.jobs if job.is_must])
    if needed and not workload.stints:
        return None
    opened = workload.opened_for(needed)
    if any(is_out_of_reach(workload, tool) for tool in workload.tools_for(needed, opened)):
        return None
    cares = workload.aftercare_for(needed, opened)
    everything = minutes_together(workload, needed)
    shelf, offers = _supply(workload, [workload.job[name] for name in needed])
    last_stint = workload.stints[-1].date if needed else None
    return Workload(
        today=workload.today,
        currency=workload.currency,
        hour_worth=WORTH_A_MINUTE,
        jobs=tuple(
            Job(
                id=job.id,
                car=job.car,
                is_must=True,
                minutes=job.minutes,
                last_day=None if job.last_day and last_stint and job.last_day >= last_stint else job.last_day,
                access=tuple(sorted(set(job.access))),
                parts={part: n for part, n in sorted(job.parts.items()) if part in shelf},
                after=tuple(sorted(set(job.after))),
                aftercare=tuple(sorted(set(job.aftercare))),
            )
            for job in (workload.job[name] for name in needed)
        ),
        access=tuple(replace(workload.access_by_id[name], tools=()) for name in opened),
        aftercare=tuple(replace(workload.aftercare_by_id[name], price=0) for name in cares),
        shelf=shelf,
        sellers=(Seller("any", "Any", 0),) if offers else (),
        offers=offers,
        stints=tuple(replace(stint, minutes=min(stint.minutes, everything)) for stint in workload.stints),
    )


def _supply(workload: Workload, jobs: list[Job]) -> tuple[dict[str, int], tuple[Offer, ...]]:
    """Pieces there in the first stint, and what comes later, of the parts that can run short."""
    shelf: dict[str, int] = {}
    offers: list[Offer] = []
    offers_of = offers_by_part(workload)
    days = sorted({stint.date for stint in workload.stints})
    for part, pieces in sorted(pieces_needed(jobs).items()):
        selling = offers_of.get(part, [])
        there: list[int] = []
        for day in days:
            have = workload.shelf.get(part, 0)
            for offer in selling:
                if offer.arrives <= day:
                    have += pieces if offer.limit is None else offer.limit * offer.parts[part]
            there.append(min(have, pieces))
        if there[0] >= pieces:
            continue
        shelf[part] = there[0]
        for at, day in enumerate(days[1:], 1):
            if there[at] > there[at - 1]:
                more = there[at] - there[at - 1]
                offers.append(Offer(f"{part} {day}", "any", {part: 1}, 0, day, more))
    return shelf, tuple(offers)


class Judge:
    """Answers whether workloads are possible, with a memory and a limit to its work.

    Parameters
    ----------
    is_possible : callable, optional
        Asked of cores (``core_of``); default: the search for the best plan, stopped at the first plan found.
    work_limit : int, optional
        Simplex iterations for all questions together, and up to a tenth of them for each; what would need
        more stays open. Default: ``WORK_LIMIT``.
    """

    def __init__(self, is_possible: IsPossible | None = None, work_limit: int | None = None) -> None:
        self.is_possible = is_possible
        self.work_limit = WORK_LIMIT if work_limit is None else work_limit
        self.iterations = 0
        self.asked = 0
        """Questions that were not answered from memory."""
        self.is_in_doubt = False
        """Whether a question stayed open."""
        self.known: dict[str, bool | None] = {}
        self.plans: deque[Placing] = deque(maxlen=PLANS_KEPT)

    def ask(self, workload: Workload) -> bool | None:
        """Whether there is a plan; None where the work limit does not let it be known."""
        core = core_of(workload)
        if core is None:
            return False
        if not core.jobs:
            return True
        key = repr(core)
        if key not in self.known:
            self.asked += 1
            self.known[key] = self._search(core) if self.is_possible is None else self.is_possible(core)
            self.is_in_doubt |= self.known[key] is None
        return self.known[key]

    def _search(self, core: Workload) -> bool | None:
        if any(can_be_kept(core, placing) for placing in reversed(self.plans)):
            return True
        plan = greedy_plan(core)
        if plan is None:
            left = min(self.work_limit - self.iterations, math.ceil(self.work_limit / 10))
            if left <= 0:
                return None
            # Imported late: the solver takes a while to load, and many questions don't need it.
            from onceapart.planning.solve import best_plan

            answer = best_plan(core, work_limit=left, progress=_stop_at_a_plan)
            self.iterations += answer.work.get("iterations", 0)
            if answer.plan is None:
                return False if answer.status is Status.IMPOSSIBLE else None
            plan = answer.plan
        names = stint_names(core)
        self.plans.append({job: names[at] for at, work in enumerate(plan.work) for job in work.jobs})
        return True


def stint_names(workload: Workload) -> list[StintName]:
    """A name for each stint that it keeps when others come or go, and when its minutes change."""
    times: Counter[str] = Counter()
    names = []
    for stint in workload.stints:
        name = stint.id or stint.date.isoformat()
        names.append((name, times[name]))
        times[name] += 1
    return names


def can_be_kept(core: Workload, placing: Placing) -> bool:
    """Whether the jobs can be done in the stints they had in another plan; one job more may go anywhere."""
    places = {name: at for at, name in enumerate(stint_names(core))}
    jobs_in: list[list[str]] = [[] for _ in core.stints]
    new: list[str] = []
    for job in core.jobs:
        at = places.get(placing[job.id]) if job.id in placing else None
        if at is None:
            new.append(job.id)
        else:
            jobs_in[at].append(job.id)
    if len(new) > 1:
        return False
    units = {offer.id: offer.limit or 0 for offer in core.offers}
    if not new:
        return not broken_rules(core, plan_of(core, jobs_in, units))
    for jobs in jobs_in:
        jobs.append(new[0])
        if not broken_rules(core, plan_of(core, jobs_in, units)):
            return True
        jobs.pop()
    return False


class _FoundError(KeyboardInterrupt):
    """Stops the search as Ctrl-C does."""


def _stop_at_a_plan(progress: Progress) -> None:
    if progress.best is not None:
        raise _FoundError

"""Why a job that is done stands in its stint: what it shares, waits for and is bound by, and what else
could be done with it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from onceapart.planning.cost import Cost, ranking
from onceapart.planning.lots import Lot, Lots
from onceapart.planning.plan import Aim, Plan
from onceapart.planning.repair import Obstacle, Repair
from onceapart.planning.workload import Workload


@dataclass(frozen=True)
class Share:
    """What is done once in a stint for several jobs.

    ``minutes`` and ``money`` are what doing it a second time, for this job alone, would take. [minutes,
    minor units] A tool counts where it is hired for the stint: one that is there or bought serves anyway.
    """

    kind: Literal["access", "aftercare", "hire"]
    id: str
    with_jobs: tuple[str, ...]
    minutes: int
    money: int


@dataclass(frozen=True)
class Sooner:
    """Having a part by an earlier stint: the plan that does, and what it costs on top."""

    place: int
    plan: Plan
    change: Cost


@dataclass(frozen=True)
class Wait:
    """Pieces of a part that come with an order.

    ``holds``: they come too late for any stint before the job's. Only then ``sooner`` says what it would
    cost to have them by the stint before; None where nobody can have them there.
    """

    part: str
    pieces: int
    offer: str
    seller: str
    arrives: dt.date
    holds: bool
    sooner: Sooner | None


@dataclass(frozen=True)
class Tie:
    """A job that has to come before this one, or after it. ``holds``: it is done in the same stint."""

    job: str
    place: int
    holds: bool


@dataclass(frozen=True)
class Elsewhere:
    """The job in another stint and the rest as it is: a repaired plan and what it costs on top, or what
    stands in the way. ``is_alone``: nothing else is done there."""

    place: int
    is_alone: bool
    plan: Plan | None
    change: Cost | None
    obstacle: Obstacle | None


@dataclass(frozen=True)
class JobDone:
    """Everything about one job that is done. Stints are named by their position."""

    job: str
    place: int
    minutes_alone: int
    """Minutes of the job with all its access and aftercare, if nothing were shared."""
    shares: tuple[Share, ...]
    finds_off: tuple[str, ...]
    """Access it needs that is off already when its stint begins."""
    leaves_off: tuple[str, ...]
    """Access it needs that stays off after its stint."""
    waits: tuple[Wait, ...]
    after: tuple[Tie, ...]
    before: tuple[Tie, ...]
    last_day: dt.date | None
    last_place: int
    """Last stint on or before the last day."""
    elsewhere: tuple[Elsewhere, ...]
    """Every other stint, in order."""
    alone: Elsewhere | None
    """The best of the stints that nothing is done in; None where there is none that can take the job."""
    best_elsewhere: Elsewhere | None
    """The best of all other stints; None where none can take the job."""

    @property
    def minutes_saved(self) -> int:
        """Minutes that sharing saves, against the job in a stint of its own on the same day."""
        return sum(share.minutes for share in self.shares)

    @property
    def money_saved(self) -> int:
        """Aftercare and hire that sharing saves. [minor units]"""
        return sum(share.money for share in self.shares)

    @property
    def minutes_added(self) -> int:
        """Minutes that its stint is longer for it."""
        return self.minutes_alone - self.minutes_saved


def explain_done(repair: Repair, lots: Lots, aim: Aim, job_id: str) -> JobDone:
    """Explain one job that is done.

    Parameters
    ----------
    repair : Repair
        Of the plan.
    lots : Lots
        Who uses which pieces in it.
    aim : Aim
        What decides which other stint is the best.
    job_id : str
    """
    workload, place = repair.workload, repair.at[job_id]
    job = workload.job[job_id]
    opened = workload.opened_for([job_id])
    places = [at for at in range(len(workload.stints)) if at != place]
    elsewhere = tuple(_elsewhere(repair, job_id, at) for at in places)
    return JobDone(
        job=job_id,
        place=place,
        minutes_alone=workload.minutes_of([job_id], opened, workload.aftercare_for([job_id], opened)),
        shares=_shares(repair, job_id, opened),
        finds_off=tuple(name for name in opened if name in repair.plan.found_off(workload, place)),
        leaves_off=tuple(name for name in opened if name in repair.plan.work[place].left_off),
        waits=tuple(
            _wait(repair, job_id, lot, lot.offer, lot.arrives)
            for lot in lots.of_job[job_id]
            if lot.offer is not None and lot.arrives is not None
        ),
        after=tuple(_tie(repair, name, place) for name in job.after),
        before=tuple(_tie(repair, name, place) for name in repair.followers.get(job_id, ())),
        last_day=job.last_day,
        last_place=sum(job.last_day is None or stint.date <= job.last_day for stint in workload.stints) - 1,
        elsewhere=elsewhere,
        alone=_best(workload, aim, tuple(one for one in elsewhere if one.is_alone)),
        best_elsewhere=_best(workload, aim, elsewhere),
    )


def _shares(repair: Repair, job_id: str, opened: tuple[str, ...]) -> tuple[Share, ...]:
    workload, place = repair.workload, repair.at[job_id]
    others = [name for name in repair.jobs_in[place] if name != job_id]
    needs = {name: workload.opened_for([name]) for name in others}
    shares = []
    for access in opened:
        using = tuple(name for name in others if access in needs[name])
        if using:
            shares.append(Share("access", access, using, workload.access_by_id[access].minutes, 0))
    for name in workload.aftercare_for([job_id], opened):
        care = workload.aftercare_by_id[name]
        using = tuple(one for one in others if name in workload.aftercare_for([one], needs[one]))
        if using:
            shares.append(Share("aftercare", name, using, care.minutes, care.price))
    for name in workload.tools_for([job_id], opened):
        using = tuple(one for one in others if name in workload.tools_for([one], needs[one]))
        if using and name in repair.plan.work[place].hire:
            shares.append(Share("hire", name, using, 0, workload.tool[name].hire or 0))
    return tuple(shares)


def _wait(repair: Repair, job_id: str, lot: Lot, offer_id: str, arrives: dt.date) -> Wait:
    workload, place = repair.workload, repair.at[job_id]
    holds = place > 0 and workload.stints[place - 1].date < arrives
    sooner = None
    if holds:
        plan = repair.with_parts_by(job_id, lot.part, place - 1)
        if plan is not None:
            sooner = Sooner(place - 1, plan, repair.change_to(plan))
    seller = workload.offer[offer_id].seller
    return Wait(lot.part, lot.pieces, offer_id, seller, arrives, holds, sooner)


def _tie(repair: Repair, name: str, place: int) -> Tie:
    return Tie(name, repair.at[name], repair.at[name] == place)


def _elsewhere(repair: Repair, job_id: str, place: int) -> Elsewhere:
    is_alone = not repair.jobs_in[place]
    found = repair.with_jobs_at({job_id: place})
    if isinstance(found, Obstacle):
        return Elsewhere(place, is_alone, None, None, found)
    return Elsewhere(place, is_alone, found, repair.change_to(found), None)


def _best(workload: Workload, aim: Aim, choices: tuple[Elsewhere, ...]) -> Elsewhere | None:
    ranked = [(ranking(workload, one.plan, aim), one.place, one) for one in choices if one.plan is not None]
    return min(ranked, key=lambda entry: entry[:2])[2] if ranked else None

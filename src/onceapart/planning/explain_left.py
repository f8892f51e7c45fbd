"""Why a job is left: what the cheapest way found of doing it would cost, or why it can't be done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from onceapart.planning.answer import Answer
from onceapart.planning.cost import Cost, cost, ranking, ready_day
from onceapart.planning.plan import Aim, Plan
from onceapart.planning.reduce import reduce_workload
from onceapart.planning.repair import Obstacle, Repair
from onceapart.planning.workload import Workload


@dataclass(frozen=True)
class JobLeft:
    """Everything about one job that is left.

    One of four holds:

    * ``cannot`` says why no plan can do it;
    * ``plan`` does it in stint ``place`` with the rest left as it is, for ``change`` on top;
    * no stint has the time, and ``plan`` does it if that one is ``longer`` by so many minutes;
    * there is no such plan either, and ``obstacle`` says what stands in the way at ``place``.
    """

    job: str
    worth: int
    cannot: str = ""
    with_jobs: tuple[str, ...] = ()
    """Other jobs that are left and have to be done before it; the plan with it does them too."""
    place: int | None = None
    """The stint it would be done in."""
    plan: Plan | None = None
    change: Cost | None = None
    longer: int = 0
    figure: str = ""
    """The first figure of the aim in which the plan with it is another: ``money``, ``minutes``, ``ready``,
    ``total``, ``orders``, ``spare`` or ``days``; empty where they tie."""
    is_better: bool = False
    """Whether the plan with it ranks first: only where the plan without it isn't the best there is."""
    obstacle: Obstacle | None = None


def explain_left(repair: Repair, aim: Aim) -> tuple[JobLeft, ...]:
    """Explain every job that is left, in the order of the file."""
    workload = repair.workload
    left = [job.id for job in workload.jobs if job.id not in repair.at]
    if not left:
        return ()
    cannot = dict(reduce_workload(workload).cannot)
    return tuple(_explain(repair, aim, job_id, cannot) for job_id in left)


def _explain(repair: Repair, aim: Aim, job_id: str, cannot: Mapping[str, str]) -> JobLeft:
    workload = repair.workload
    left = JobLeft(job_id, workload.job[job_id].worth, cannot=cannot.get(job_id, ""))
    if left.cannot:
        return left
    chain = _left_before(repair, job_id)
    left = replace(left, with_jobs=tuple(chain[:-1]))
    current = repair
    for name in chain[:-1]:
        found = _best_place(current, aim, name)
        if isinstance(found, _Blocked):
            why = Obstacle(found.obstacle.kind, f"{name} can't be done, {found.obstacle.words}")
            return replace(left, place=found.place, obstacle=why)
        current = Repair(workload, found.plan)
    found = _best_place(current, aim, job_id)
    if isinstance(found, _Placed):
        figure, is_better = _first_difference(workload, aim, repair.plan, found.plan)
        change = repair.change_to(found.plan)
        return replace(
            left, place=found.place, plan=found.plan, change=change, figure=figure, is_better=is_better
        )
    if found.obstacle.kind == "room":
        plan = current.with_jobs_at({job_id: found.place}, in_time=False)
        if isinstance(plan, Plan):
            return replace(
                left,
                place=found.place,
                plan=plan,
                change=repair.change_to(plan),
                longer=found.obstacle.short,
                obstacle=found.obstacle,
            )
    return replace(left, place=found.place, obstacle=found.obstacle)


class _Placed(NamedTuple):
    rank: tuple[int, ...]
    place: int
    plan: Plan


class _Blocked(NamedTuple):
    far: int
    place: int
    obstacle: Obstacle


def _best_place(repair: Repair, aim: Aim, job_id: str) -> _Placed | _Blocked:
    """The stint in which the plan with the job ranks first; where there is none, the one nearest to it."""
    placed: list[_Placed] = []
    blocked: list[_Blocked] = []
    for place in range(len(repair.workload.stints)):
        found = repair.with_jobs_at({job_id: place})
        if isinstance(found, Plan):
            placed.append(_Placed(ranking(repair.workload, found, aim), place, found))
            continue
        far = 10**9
        if found.kind == "room" and isinstance(repair.with_jobs_at({job_id: place}, in_time=False), Plan):
            far = found.short
        blocked.append(_Blocked(far, place, found))
    return min(placed, key=lambda one: one[:2]) if placed else min(blocked, key=lambda one: one[:2])


def _left_before(repair: Repair, job_id: str) -> list[str]:
    """The job and all left jobs that it comes after, in an order in which they can be done."""
    waiting, chain = [job_id], {job_id}
    while waiting:
        for name in repair.workload.job[waiting.pop()].after:
            if name not in repair.at and name not in chain:
                chain.add(name)
                waiting.append(name)
    order: list[str] = []
    while len(order) < len(chain):
        order.extend(
            name
            for name in sorted(chain.difference(order))
            if chain.intersection(repair.workload.job[name].after) <= set(order)
        )
    return order


def figures_of(aim: Aim) -> tuple[str, ...]:
    """Names of the figures of ``cost.ranking``, in order.

    >>> figures_of(Aim.THRIFT)
    ('money', 'total', 'orders', 'spare', 'days')
    """
    first = {
        Aim.BALANCE: (),
        Aim.THRIFT: ("money",),
        Aim.SOONEST: ("ready",),
        Aim.LEAST_WORK: ("minutes",),
    }[aim]
    return (*first, "total", "orders", "spare", "days")


def _first_difference(workload: Workload, aim: Aim, without: Plan, with_it: Plan) -> tuple[str, bool]:
    pairs = zip(ranking(workload, without, aim), ranking(workload, with_it, aim), strict=True)
    for name, (before, after) in zip(figures_of(aim), pairs, strict=True):
        if before != after:
            return name, after < before
    return "", False


def best_with(
    workload: Workload,
    answer: Answer,
    job_id: str,
    *,
    work_limit: int | None = None,
    seconds: float | None = None,
) -> Answer:
    """Solve again with a job that was left as one that must be done: the cheapest plan with it of all.

    Parameters
    ----------
    workload : Workload
    answer : Answer
        With a plan that leaves the job.
    job_id : str
    work_limit, seconds : optional
        As for ``best_plan``.

    Returns
    -------
    Answer
        ``cost.difference`` to the first answer is what the job costs. ``impossible``: no plan does it; for
        the aim ``soonest``, none that is ready as soon.
    """
    from onceapart.planning.solve import best_plan  # late: solvers are slow to import

    if answer.plan is None:
        raise ValueError("there is no plan to compare with")
    aim = answer.aim
    jobs = [replace(job, is_must=True) if job.id == job_id else job for job in workload.jobs]
    if aim is Aim.SOONEST:
        ready = ready_day(workload, answer.plan)
        if ready is not None:
            jobs = [
                replace(job, last_day=min(job.last_day or ready, ready))
                if job.is_must and job.id != job_id
                else job
                for job in jobs
            ]
        aim = Aim.BALANCE
    found = best_plan(replace(workload, jobs=tuple(jobs)), aim, work_limit=work_limit, seconds=seconds)
    price = None if found.plan is None else cost(workload, found.plan)
    return replace(found, aim=answer.aim, cost=price)

"""The four aims side by side, and against two plain ways of doing the same jobs."""

from __future__ import annotations

import datetime as dt
import time
from dataclasses import dataclass, replace

from onceapart.planning.answer import Answer, ProgressCall
from onceapart.planning.baselines import Baseline, line_by_line, on_its_own
from onceapart.planning.cost import Cost, cost, goods_by_seller, ranking, ready_day
from onceapart.planning.plan import Aim, Plan, Status
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Workload


@dataclass(frozen=True)
class Row:
    """One way of doing the work. Where there is no plan, ``cost`` and what follows from it are None or 0.

    ``bound`` is the answer's, of the figure ``bound_of``; a baseline has neither status nor bound.
    """

    name: str
    """The aim, or ``on its own`` or ``line by line``."""
    aim: Aim | None
    status: Status | None
    cost: Cost | None
    ready: dt.date | None
    orders: int
    jobs_done: int
    bound: int | None = None
    bound_of: str = ""
    late: tuple[str, ...] = ()
    extra_stints: int = 0
    extra_minutes: int = 0

    @property
    def fits(self) -> bool:
        """Whether all of it is done in the stints there are and in time."""
        return self.cost is not None and not self.late and not self.extra_stints


@dataclass(frozen=True)
class Comparison:
    """``rows`` are the four aims, then the baselines; ``answers`` stand beside the first four.

    The baselines do the jobs that the plan for ``balance`` does, so that they compare with it like with
    like; the other aims may leave or do other wishes. There are none where no plan was found.
    """

    rows: tuple[Row, ...]
    answers: tuple[Answer, ...]
    baselines: tuple[Baseline, ...]
    same_jobs: frozenset[str]
    """The jobs that the baselines do."""

    def row(self, name: str) -> Row:
        """The row of this name; KeyError where there is none."""
        for row in self.rows:
            if row.name == name:
                return row
        raise KeyError(name)


def compare(
    workload: Workload,
    *,
    work_limit: int | None = None,
    seconds: float | None = None,
    progress: ProgressCall | None = None,
) -> Comparison:
    """Plan for each aim, and work out the baselines.

    Parameters
    ----------
    workload : Workload
    work_limit : int, optional
        For each aim, as for ``best_plan``.
    seconds : float, optional
        For all aims together. [s] What one aim does not need is left to those after it.
    progress : callable, optional
        As for ``best_plan``; it is called for one aim after the other. KeyboardInterrupt ends the search
        for the aim at work, and cuts those after it short.

    Returns
    -------
    Comparison
        No plan ranks after that of another aim: where a search was stopped, the best of the four counts.
    """
    answers: list[Answer] = []
    until = None if seconds is None else time.monotonic() + seconds
    limit = work_limit
    for at, aim in enumerate(Aim):
        share = None if until is None else max(0.0, until - time.monotonic()) / (len(Aim) - at)
        answer = best_plan(workload, aim, work_limit=limit, seconds=share, progress=progress)
        answers.append(answer)
        if answer.status is Status.GOOD and limit is None and seconds is None:
            limit = 0  # nothing but an interrupt stops a search without a limit
    plans = [answer.plan for answer in answers if answer.plan is not None]
    answers = [_best_of(workload, answer, plans) for answer in answers]
    rows = [_row_of(workload, answer) for answer in answers]
    first = next((answer.plan for answer in answers if answer.plan is not None), None)
    baselines: tuple[Baseline, ...] = ()
    if first is not None:
        baselines = (on_its_own(workload, first.done), line_by_line(workload, first.done))
        names = ("on its own", "line by line")
        rows += [_row_of_baseline(name, base) for name, base in zip(names, baselines, strict=True)]
    return Comparison(tuple(rows), tuple(answers), baselines, first.done if first else frozenset())


def _best_of(workload: Workload, answer: Answer, plans: list[Plan]) -> Answer:
    """The answer, with the plan of another aim where that ranks before its own."""
    if answer.status is not Status.GOOD or not plans:
        return answer
    if answer.plan is None:  # and so no bound: no total is below all worth with nothing paid
        bound, bound_of = -sum(job.worth for job in workload.jobs), "total"
    else:
        plans, bound, bound_of = [answer.plan, *plans], answer.bound, answer.bound_of
    best = min(plans, key=lambda plan: ranking(workload, plan, answer.aim))
    price = cost(workload, best)
    return replace(answer, plan=best, cost=price, bound=bound, bound_of=bound_of, why=())


def _row_of(workload: Workload, answer: Answer) -> Row:
    plan = answer.plan
    return Row(
        name=str(answer.aim),
        aim=answer.aim,
        status=answer.status,
        cost=None if plan is None else cost(workload, plan),
        ready=None if plan is None else ready_day(workload, plan),
        orders=0 if plan is None else len(goods_by_seller(workload, plan)),
        jobs_done=0 if plan is None else len(plan.done),
        bound=None if plan is None else answer.bound,
        bound_of="" if plan is None else answer.bound_of,
    )


def _row_of_baseline(name: str, baseline: Baseline) -> Row:
    return Row(
        name=name,
        aim=None,
        status=None,
        cost=baseline.cost,
        ready=baseline.ready,
        orders=baseline.orders,
        jobs_done=len(baseline.plan.done),
        late=baseline.late,
        extra_stints=baseline.extra_stints,
        extra_minutes=baseline.extra_minutes,
    )

"""The best plan of what is left, where a tool that was hired for today's stint costs nothing more today."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace

from onceapart.bench.replan import Left
from onceapart.planning.answer import Answer
from onceapart.planning.cost import cost, ranking
from onceapart.planning.plan import Aim, Plan, Status
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Job, Workload

Solve = Callable[[Workload, Aim], Answer]
MOST_TOOLS = 3
"""Of so many tools hired for today each is looked at by itself; of more, the dearest."""


def plan_anew(left: Left, aim: Aim = Aim.BALANCE, solve: Solve = best_plan) -> Answer:
    """The best plan of what is left.

    Parameters
    ----------
    left : Left
    aim : Aim
    solve : callable, optional
        Finds the best plan of a workload for an aim.

    Returns
    -------
    Answer
        For ``left.workload``. Its cost counts the hire of a tool that is used today even if it was hired
        already; ``left.money_in_all`` does not.

    Notes
    -----
    Planning knows one price of hire for all stints. So with every tool that is in the house for today it
    plans twice: as if it were not, and as if it had to be hired for today, whose price is then given back.
    One of the two is the best.
    """
    answers = [solve(left.workload, aim)]
    tools = _hired_for_today(left)
    for count in range(1, len(tools) + 1):
        for some in itertools.combinations(tools, count):
            answer = solve(_with_hire_today(left, some), aim)
            if answer.plan is not None:
                plan = _without(answer.plan, {_token(tool) for tool in some})
                answers.append(replace(answer, plan=plan, cost=cost(left.workload, plan)))
    planned = [answer for answer in answers if answer.plan is not None]
    if not planned:
        return answers[0]
    best = min(planned, key=lambda answer: _rank(left, answer, aim))
    is_proven = all(answer.status is Status.PROVEN for answer in planned)
    if best.status is Status.PROVEN and not is_proven:
        best = replace(best, status=Status.GOOD, bound=min(answer.bound for answer in planned))
    if best.status is Status.PROVEN and best.cost is not None:
        best = replace(best, bound=best.cost.total)
    return best


def _hired_for_today(left: Left) -> tuple[str, ...]:
    """Tools in the house for today's stint that something left asks for, the dearest first."""
    stints = left.workload.stints
    if not stints or not stints[0].minutes:
        return ()
    hired = left.spent.hired.get((stints[0].date, stints[0].id), {})
    workload = left.workload
    asked = {tool for job in workload.jobs for tool in job.tools}
    asked |= {tool for one in workload.access for tool in one.tools}
    useful = [
        tool for tool, price in hired.items() if price and tool in asked and not workload.tool[tool].have
    ]
    return tuple(sorted(useful, key=lambda tool: -hired[tool])[:MOST_TOOLS])


def _with_hire_today(left: Left, tools: tuple[str, ...]) -> Workload:
    workload = left.workload
    first = workload.stints[0].date
    jobs = [Job(_token(tool), "", True, 0, last_day=first, tools=(tool,)) for tool in tools]
    had = tuple(replace(one, buy=None) if one.id in tools else one for one in workload.tools)
    return replace(workload, jobs=(*workload.jobs, *jobs), tools=had)


def _token(tool: str) -> str:
    return f"hired-today/{tool}"


def _without(plan: Plan, tokens: set[str]) -> Plan:
    work = tuple(replace(one, jobs=tuple(job for job in one.jobs if job not in tokens)) for one in plan.work)
    return replace(plan, work=work)


def _rank(left: Left, answer: Answer, aim: Aim) -> tuple[int, ...]:
    """The ranking of a plan, with what is paid already given back."""
    assert answer.plan is not None
    back = left.paid_again(answer.plan)
    rank = list(ranking(left.workload, answer.plan, aim))
    total = 0 if aim is Aim.BALANCE else 1
    rank[total] -= back
    if aim is Aim.THRIFT:
        rank[0] -= back
    return tuple(rank)

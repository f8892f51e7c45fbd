"""Why a plan is as it is: every job done, every job left, every order.

All figures are those of ``cost`` and ``minutes_of`` for whole plans in which one thing is changed, the rest
stays, and missing parts are bought as cheaply as a short search finds. So "the cheapest way found" may have a
cheaper one where more of the plan is changed; ``best_with`` solves again to find it. The sentences are in
``explain_words``.
"""

from __future__ import annotations

from dataclasses import dataclass

from onceapart.planning.explain_basket import BoughtLine, BoughtOrder, explain_basket
from onceapart.planning.explain_done import Elsewhere, JobDone, Share, Sooner, Tie, Wait, explain_done
from onceapart.planning.explain_left import JobLeft, best_with, explain_left
from onceapart.planning.lots import lots_of
from onceapart.planning.plan import Aim, Plan
from onceapart.planning.repair import Obstacle, Repair
from onceapart.planning.workload import Workload

__all__ = [
    "BoughtLine",
    "BoughtOrder",
    "Elsewhere",
    "Explanation",
    "JobDone",
    "JobLeft",
    "Obstacle",
    "Share",
    "Sooner",
    "Tie",
    "Wait",
    "best_with",
    "explain",
    "why_left",
]


@dataclass(frozen=True)
class Explanation:
    """``done`` in order of the stints, ``left`` and ``basket`` in order of the file."""

    done: tuple[JobDone, ...]
    left: tuple[JobLeft, ...]
    basket: tuple[BoughtOrder, ...]


def explain(workload: Workload, plan: Plan, aim: Aim = Aim.BALANCE) -> Explanation:
    """Explain a plan, whoever made it.

    Parameters
    ----------
    workload : Workload
    plan : Plan
    aim : Aim
        What the plan is meant to be best in; it decides which other ways are the best.

    Raises
    ------
    ValueError
        The plan breaks a rule.
    """
    repair = Repair(workload, plan)
    lots = lots_of(workload, plan)
    return Explanation(
        done=tuple(explain_done(repair, lots, aim, job) for jobs in repair.jobs_in for job in jobs),
        left=explain_left(repair, aim),
        basket=explain_basket(repair, lots),
    )


def why_left(workload: Workload, plan: Plan, aim: Aim = Aim.BALANCE) -> tuple[JobLeft, ...]:
    """Explain only the jobs that are left; as ``explain``, and quicker."""
    return explain_left(Repair(workload, plan), aim)

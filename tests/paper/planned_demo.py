"""The demo with a plan that keeps all rules, found in no time, and entries of a record for it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import cache

from onceapart.bench.release_work import Work, work_of
from onceapart.demo import read_demo
from onceapart.planning.greedy import greedy_plan
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload, workload_from
from onceapart.trade import apply_recipes
from onceapart.workshop import Workshop

AT = dt.datetime(2026, 3, 5, 18, tzinfo=dt.UTC)
SATURDAY = dt.datetime(2026, 3, 7, 9, tzinfo=dt.UTC)


@dataclass(frozen=True)
class PlannedDemo:
    workshop: Workshop
    work: Work
    workload: Workload
    plan: Plan


@cache
def planned_demo() -> PlannedDemo:
    return planned(apply_recipes(read_demo().workshop))


def planned(workshop: Workshop) -> PlannedDemo:
    """Any workshop that has a plan."""
    workload = workload_from(workshop)
    plan = greedy_plan(workload)
    assert plan is not None
    return PlannedDemo(workshop, work_of(workshop), workload, plan)

"""What a plan run is a plan of: worked out again from what is kept, always the same."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from django.utils import timezone

from onceapart.bench.release_work import work_of
from onceapart.bench.replan import Left, replanned
from onceapart.bench.state import State, fold
from onceapart.errors import OnceapartError
from onceapart.planning.plan import Plan
from onceapart.planning.plan_file import plan_from_json
from onceapart.planning.workload import Workload, workload_from
from onceapart.site.store.models import PlanRun
from onceapart.site.store.parsed import worked_out_from
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.wishes import as_wished, wishes_from_json, with_other_dates
from onceapart.workshop import Workshop


@dataclass(frozen=True)
class Basis:
    """The workshop with its recipes applied and the dates as wished, and the workload that is planned."""

    workshop: Workshop
    workload: Workload
    left: Left | None = None
    """Where work had begun: what was left of it. Its workload is that of above, without the wishes."""


def has_begun(state: State) -> bool:
    """Whether anything was done, bought or went wrong, so that planning starts from what is left."""
    return bool(
        state.ticks or state.arrived or state.ordered or state.snags or state.stopgaps or state.spells
    )


def basis_of(run: PlanRun) -> Basis:
    """What a run is a plan of.

    Raises
    ------
    WishError
        A wish names what is not there.
    OnceapartError
        Its workshop can't be read any more.
    """
    wishes = wishes_from_json(run.wishes)
    workshop = with_other_dates(worked_out_from(run.version.text), wishes)
    day = run.today or timezone.localdate(run.asked_at)
    state = _state_at(run, workshop)
    if state is None or not has_begun(state):
        return Basis(workshop, as_wished(workload_from(workshop, day), wishes))
    now = timezone.localtime(run.asked_at)
    now = dt.datetime.combine(day, now.timetz())
    plan, plan_day = _followed(run, workshop)
    left = replanned(workshop, state, plan, now, plan_day=plan_day)
    return Basis(workshop, as_wished(left.workload, wishes), left)


def plan_of(run: PlanRun, basis: Basis) -> Plan | None:
    """The plan that a run found, of its own basis; None where it found none."""
    return plan_from_json(basis.workload, run.result) if run.result and run.has_plan else None


def with_wishes(basis: Basis) -> Left | None:
    """What is left, with the workload as wished: what ``plan_anew`` takes."""
    return None if basis.left is None else replace(basis.left, workload=basis.workload)


def _state_at(run: PlanRun, workshop: Workshop) -> State | None:
    """How things stood when the run was asked for."""
    entries = DatabaseRecord().entries()[: run.record_number]
    return fold(entries, work_of(workshop).job_steps) if entries else None


def _followed(run: PlanRun, workshop: Workshop) -> tuple[Plan | None, dt.date | None]:
    """The first plan that was worked by, and the day its orders were placed.

    What was planned anew since is a plan of what was left then, which the record tells better.
    """
    first = run.follows
    while first is not None and first.follows is not None:
        first = first.follows
    if first is None or first.result is None or not first.has_plan:
        return None, None
    day = first.today or timezone.localdate(first.asked_at)
    try:
        return plan_from_json(workload_from(workshop, day), first.result), day
    except OnceapartError:
        return None, None  # the workshop has changed too much since

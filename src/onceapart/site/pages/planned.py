"""The plan that is worked by: the chosen run, read as a plan of the workshop it was made from."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from onceapart.errors import OnceapartError
from onceapart.planning.plan import Plan
from onceapart.planning.plan_file import plan_from_json
from onceapart.planning.workload import Workload, workload_from
from onceapart.site.store.models import PlanRun
from onceapart.site.store.refs import touched_refs
from onceapart.site.store.versions import Current, workshop_of
from onceapart.trade import apply_recipes
from onceapart.workshop import Workshop


@dataclass(frozen=True)
class Planned:
    """A plan with the workload it is a plan of."""

    run: int
    """Number of the run, for its page."""
    version: int
    """Version of the workshop it was made from."""
    workload: Workload
    plan: Plan
    is_old: bool
    """Whether something that plans hang on has changed since."""

    @property
    def ready(self) -> dt.date | None:
        """Day of the last inspection or safety job, of all cars."""
        return self.ready_day(None)

    def ready_day(self, car: str | None) -> dt.date | None:
        """Day of the last inspection or safety job of a car; None if it has none in the plan."""
        days = [
            stint.date
            for stint, work in zip(self.workload.stints, self.plan.work, strict=True)
            for job in work.jobs
            if self.workload.job[job].is_must and car in (None, self.workload.job[job].car)
        ]
        return max(days, default=None)


def chosen_plan(now: Current, today: dt.date) -> Planned | None:
    """The plan that is worked by; None if none was chosen, or it can't be read any more.

    One query; ``today`` stands in where the workshop names no day.
    """
    run = PlanRun.objects.filter(is_chosen=True).exclude(result=None).select_related("version").first()
    if run is None or run.result is None:
        return None
    workshop = now.workshop if run.version_id == now.number else workshop_of(run.version)
    applied = now.worked_out if workshop is now.workshop else apply_recipes(workshop)
    try:
        workload = workload_from(applied, run.asked_at.date() if workshop.today is None else today)
        plan = plan_from_json(workload, run.result)
    except (OnceapartError, ValueError, KeyError):
        return None
    is_old = workshop is not now.workshop and hangs_on_change(workshop, now.workshop)
    return Planned(run.pk, run.version_id, workload, plan, is_old)


def hangs_on_change(old: Workshop, new: Workshop) -> bool:
    """Whether two workshops differ in anything that a plan is made from."""
    indifferent = {("workshop", "name"), ("workshop", "today")}
    return any(
        ref.section != "findings" and (ref.section, ref.key) not in indifferent
        for ref in touched_refs(old, new)
    )

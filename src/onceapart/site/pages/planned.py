"""The plan that is worked by, as pages read it: with its workload, and whether it still fits."""

from __future__ import annotations

import datetime as dt
import threading
from dataclasses import dataclass
from typing import Any

from onceapart.errors import OnceapartError
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload
from onceapart.site.store.basis import basis_of, plan_of
from onceapart.site.store.models import PlanRun
from onceapart.site.store.refs import touched_refs
from onceapart.site.store.runs import chosen
from onceapart.site.store.versions import Current, workshop_of
from onceapart.workshop import Workshop

INDIFFERENT = frozenset({("workshop", "name"), ("workshop", "today")})
"""What may change in the head of a workshop without a plan losing its sense."""


@dataclass(frozen=True)
class Planned:
    """A plan with the workload it is a plan of."""

    run: int
    """Number of the run, for its page."""
    record_number: int
    """Entries of the record that were taken into account."""
    workload: Workload
    plan: Plan
    is_old: bool
    """Whether something that plans hang on has changed since."""
    asked_at: dt.datetime | None = None


def chosen_plan(now: Current) -> Planned | None:
    """The plan that is worked by; None if none was chosen, or it can't be read any more."""
    run = chosen()
    if run is None:
        return None
    found = _READ.plan(run)
    if found is None:
        return None
    workload, plan = found
    is_old = run.version_id != now.number and hangs_on_change(workshop_of(run.version), now.workshop)
    return Planned(run.pk, run.record_number, workload, plan, is_old, run.asked_at)


def hangs_on_change(old: Workshop, new: Workshop) -> bool:
    """Whether two workshops differ in anything that a plan is made from."""
    return any(
        ref.section != "findings" and (ref.section, ref.key) not in INDIFFERENT
        for ref in touched_refs(old, new)
    )


class _Read:
    """The plan read last: a run never changes once it is done, and reading it again takes long."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._key: Any = None
        self._found: tuple[Workload, Plan] | None = None

    def plan(self, run: PlanRun) -> tuple[Workload, Plan] | None:
        key = (run.pk, run.asked_at, run.record_number, run.version.text, run.wishes, run.result)
        with self._lock:
            if key == self._key:
                return self._found
        try:
            basis = basis_of(run)
            plan = plan_of(run, basis)
        except (OnceapartError, ValueError, KeyError, TypeError, AttributeError):
            plan = None
        found = None if plan is None else (basis.workload, plan)
        with self._lock:
            self._key, self._found = key, found
        return found


_READ = _Read()

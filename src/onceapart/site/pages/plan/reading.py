"""What a page shows of a run, worked out once and kept: a run never changes once it is over."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from onceapart.errors import OnceapartError
from onceapart.planning.answer import Answer
from onceapart.planning.cost import Cost, cost, ready_days, spare_pieces
from onceapart.planning.explain import Explanation, explain
from onceapart.planning.explain_words import done_in_words, left_in_words, order_in_words
from onceapart.planning.plan import Aim, Plan, Status
from onceapart.planning.proof import proof_words
from onceapart.planning.workload import Workload
from onceapart.site.pages.plan.timeline import Day, OrderShown, days_of, orders_of
from onceapart.site.store.basis import Basis, basis_of, plan_of
from onceapart.site.store.models import PlanRun
from onceapart.workshop import Workshop

KEPT = 24
"""Runs kept in memory; those looked at longest ago go first."""


@dataclass(frozen=True)
class Read:
    """A run with its plan, read back."""

    number: int
    aim: Aim
    status: Status
    basis: Basis
    plan: Plan
    result: dict[str, Any]

    @property
    def workshop(self) -> Workshop:
        return self.basis.workshop

    @property
    def workload(self) -> Workload:
        return self.basis.workload

    @cached_property
    def cost(self) -> Cost:
        return cost(self.workload, self.plan)

    @cached_property
    def ready(self) -> list[tuple[str, Any, Any]]:
        """Name, day ready, and day of inspection of each car that has something to be done."""
        days = ready_days(self.workload, self.plan)
        return [
            (car.name, days[car.id], car.inspection.due if car.inspection else None)
            for car in self.workshop.cars
            if car.id in days
        ]

    @cached_property
    def proof(self) -> tuple[str, str]:
        """Proven or good, and what that means."""
        said = self.result.get("cost", {})
        bound_of = said.get("bound_of", "total")
        answer = Answer(self.aim, self.status, self.plan, self.cost, said.get("bound", 0), bound_of)
        return proof_words(answer, self.workload.currency)

    @cached_property
    def explanation(self) -> Explanation:
        return explain(self.workload, self.plan, self.aim)

    @cached_property
    def days(self) -> list[Day]:
        why = {done.job: done_in_words(self.workload, done) for done in self.explanation.done}
        return days_of(self.workshop, self.workload, self.plan, dict(why))

    @cached_property
    def orders(self) -> list[tuple[OrderShown, str]]:
        """Each order, and what it saves in words."""
        saves = {one.seller: " ".join(order_in_words(self.workload, one)) for one in self.explanation.basket}
        return [(one, saves.get(one.seller, "")) for one in orders_of(self.workload, self.plan)]

    @cached_property
    def left(self) -> list[tuple[str, str]]:
        """Each job that is left, and why."""
        return [(one.job, left_in_words(self.workload, one)) for one in self.explanation.left]

    @cached_property
    def spare(self) -> dict[str, int]:
        return spare_pieces(self.workload, self.plan)


class _Kept:
    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._reads: OrderedDict[Any, Read | None] = OrderedDict()

    def get(self, run: PlanRun) -> Read | None:
        key = (run.pk, run.asked_at, run.ended_at, run.stage)
        with self._lock:
            if key in self._reads:
                self._reads.move_to_end(key)
                return self._reads[key]
        found = _read(run)
        with self._lock:
            self._reads[key] = found
            while len(self._reads) > KEPT:
                self._reads.popitem(last=False)
        return found


_KEPT = _Kept()


def read(run: PlanRun) -> Read | None:
    """The run with its plan; None where it has none, or it can't be read any more."""
    return _KEPT.get(run) if run.is_over and run.has_plan else None


def _read(run: PlanRun) -> Read | None:
    try:
        basis = basis_of(run)
        plan = plan_of(run, basis)
    except (OnceapartError, ValueError, KeyError):
        return None
    if plan is None or run.result is None:
        return None
    return Read(run.pk, Aim(run.aim), Status(run.result["status"]), basis, plan, run.result)

"""The stint that is worked in: its job card, and which of its steps are done by the record."""

from __future__ import annotations

import datetime as dt
import threading
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from onceapart.bench.card import job_card
from onceapart.bench.card_model import Card, Step, StepKind
from onceapart.bench.entries import CheckAnswered, Ticked
from onceapart.bench.release_checks import CheckState, DueCheck
from onceapart.bench.state import Spell, State
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Stint
from onceapart.site.pages.planned import Planned
from onceapart.site.store.basis import basis_of
from onceapart.site.store.runs import chosen


@dataclass(frozen=True)
class StintChoice:
    """A stint that can be worked in."""

    at: int
    """Its place in the plan."""
    key: str
    """For its address: its name, and behind the first of a name ``~2`` and so on."""
    name: str
    """For entries: its id, or its date where it has none."""
    date: dt.date
    minutes: int
    jobs: tuple[str, ...]
    is_done: bool
    """Whether all its jobs are done."""


def stints_of(planned: Planned, state: State) -> tuple[StintChoice, ...]:
    """Stints of the plan with work in them, in order."""
    workload, plan = planned.workload, planned.plan
    seen: Counter[str] = Counter()
    found = []
    for at, (stint, work) in enumerate(zip(workload.stints, plan.work, strict=True)):
        name = name_of_stint(stint)
        seen[name] += 1
        if not (work.jobs or work.access):
            continue
        key = name if seen[name] == 1 else f"{name}~{seen[name]}"
        is_done = bool(work.jobs) and all(state.is_job_done(job) for job in work.jobs)
        minutes = plan.minutes_in(workload, at)
        found.append(StintChoice(at, key, name, stint.date, minutes, tuple(work.jobs), is_done))
    return tuple(found)


def name_of_stint(stint: Stint) -> str:
    """Its id, or its date where it has none, as entries of the record call it."""
    return stint.id or stint.date.isoformat()


def current_stint(stints: Sequence[StintChoice], today: dt.date) -> StintChoice | None:
    """Today's stint, or else the next one with work left; if all are past, the last with work left."""
    coming = [one for one in stints if one.date >= today]
    left = [one for one in coming if not one.is_done]
    todays = [one for one in coming if one.date == today]
    past = [one for one in stints if one.date < today and not one.is_done]
    order = [*[one for one in todays if not one.is_done], *todays, *left, *reversed(past), *coming]
    return next(iter(order), stints[-1] if stints else None)


class _Cards:
    """Cards of the plan that is worked by: finding the order of one takes longer than showing it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._plan: Plan | None = None
        self._cards: dict[int, Card] = {}

    def card(self, planned: Planned, at: int) -> Card:
        with self._lock:
            if planned.plan is self._plan and at in self._cards:
                return self._cards[at]
        run = chosen()
        assert run is not None
        basis = basis_of(run)
        workshop = basis.left.workshop if basis.left is not None else basis.workshop
        card = job_card(workshop, planned.plan, at, workload=planned.workload)
        with self._lock:
            if planned.plan is not self._plan:
                self._plan, self._cards = planned.plan, {}
            self._cards[at] = card
        return card


_CARDS = _Cards()
card_of = _CARDS.card
"""The card of a stint of the plan that is worked by, by its place in the plan."""


@dataclass(frozen=True)
class Progress:
    """What of a card is done.

    ``since`` is the number of the last entry that the plan took into account: what was taken off and put
    on before is not the card's.
    """

    card: Card
    stint: str
    state: State
    checks: Mapping[str, DueCheck]
    """Checks that are due now, of all its cars."""
    since: int = 0

    @cached_property
    def done(self) -> frozenset[str]:
        """Ids of the steps that are done."""
        last: dict[str, bool] = {}
        for tick in self.state.ticks:
            is_here = tick.stint == self.stint or (tick.stint is None and tick.day == self.card.date)
            if is_here and tick.number > self.since:
                last[tick.step] = isinstance(tick, Ticked)
        return frozenset(step.id for step in self.card.steps if self._is_done(step, last))

    def _is_done(self, step: Step, last: Mapping[str, bool]) -> bool:
        if step.kind is StepKind.CHECK:
            check = self.checks.get(step.id.partition(":")[2])
            return check is not None and check.state is CheckState.YES
        if step.kind is StepKind.DO:
            return step.id in self.state.done or any(self.state.is_job_done(job) for job in step.jobs)
        if step.kind is StepKind.MEASURE:
            return step.id in self.state.done
        return last.get(step.id, False)

    def answer(self, step: Step) -> CheckAnswered | None:
        """The last answer to the check of a step."""
        answers = self.state.answers.get(step.id.partition(":")[2], ())
        return answers[-1] if answers else None

    @cached_property
    def running(self) -> Spell | None:
        """The clock that runs for this stint."""
        spells = [one for one in self.state.spells if one.stint == self.stint and one.stop is None]
        return spells[-1] if spells else None

    @cached_property
    def minutes_worked(self) -> int:
        """Minutes of the stretches that have ended. [min]"""
        return self.state.minutes_worked(stint=self.stint)

    @cached_property
    def first_open(self) -> int:
        """Number of the first step that is not done, counted from 1; 0 before anything is."""
        if not self.done:
            return 0
        numbers = [at for at, step in enumerate(self.card.steps, start=1) if step.id not in self.done]
        return numbers[0] if numbers else len(self.card.steps)

"""Cautions on a card: each once a car, at the step where it first matters; the first of all on top, too."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from onceapart.bench.card_model import StepCaution, StepKind
from onceapart.bench.card_work import CardWork
from onceapart.bench.steps import Draft
from onceapart.trade.schema import Caution

ON_TOP = ("axle-stands", "eye-protection", "brake-dust")
"""To be read before anything else. Stands and eyes first."""

_MATTERS: dict[str, Callable[[Draft], bool]] = {
    "manual-torque": lambda draft: any(one.is_tightened for one in draft.fasteners),
    "once-only-fasteners": lambda draft: (
        draft.kind in (StepKind.ON, StepKind.DO, StepKind.TIGHTEN)
        and any(one.renew for one in draft.fasteners)
    ),
    "hub-nut": lambda draft: draft.kind is StepKind.LOOSEN,
    "ride-height": lambda draft: draft.kind in (StepKind.ON, StepKind.TIGHTEN),
    "spring-compressor": lambda draft: "compressor" in draft.words,
}
"""Cautions that matter first at a later step than the first of the work they belong to."""


def cautions_by_step(
    work: CardWork, drafts: Sequence[Draft], cars: dict[str, str]
) -> dict[str, tuple[StepCaution, ...]]:
    """Cautions by step id, for steps in working order and the car that each is done at."""
    found: dict[str, list[StepCaution]] = {}
    for caution, car, sources in _asked(work, cars, drafts):
        steps = [draft for draft in drafts if cars[draft.id] == car and _is_of(draft, sources)]
        matters = _MATTERS.get(caution.id)
        first = next((draft for draft in steps if matters and matters(draft)), None)
        if caution.id.startswith("checked-"):
            first = next((one for one in drafts if cars[one.id] == car and _is_last_check(one)), None)
        at_work = [draft for draft in steps if draft.kind is not StepKind.MEASURE]
        first = first or next(iter(at_work or steps), None)
        if first is not None:
            told = StepCaution(caution.id, caution.title, caution.text)
            found.setdefault(first.id, []).append(told)
    return {step: tuple(cautions) for step, cautions in found.items()}


def cautions_on_top(by_step: dict[str, tuple[StepCaution, ...]]) -> tuple[StepCaution, ...]:
    """Those of ``ON_TOP`` that are on the card, each once."""
    there = {one.id: one for cautions in by_step.values() for one in cautions}
    return tuple(there[name] for name in ON_TOP if name in there)


def _asked(
    work: CardWork, cars: dict[str, str], drafts: Sequence[Draft]
) -> list[tuple[Caution, str, set[str]]]:
    """Each caution with the car and the jobs and accesses that carry it, in the library's order."""
    carried: dict[tuple[str, str], tuple[Caution, set[str]]] = {}
    car_of_access = {draft.access: cars[draft.id] for draft in drafts if draft.access}
    for job_id, job in work.jobs.items():
        for caution in work.fitted.cautions_of(job_id):
            carried.setdefault((caution.id, job.car), (caution, set()))[1].add(job_id)
    for access in work.access:
        for caution in work.fitted.cautions_of_access(access):
            car = car_of_access.get(access)
            if car is not None:
                carried.setdefault((caution.id, car), (caution, set()))[1].add(access)
    order = list(work.fitted.library.cautions)
    found = [(caution, car, sources) for (_, car), (caution, sources) in carried.items()]
    return sorted(found, key=lambda one: (order.index(one[0].id), one[1]))


def _is_of(draft: Draft, sources: set[str]) -> bool:
    """Whether a step belongs to one of some jobs or accesses."""
    if draft.access is not None:
        return draft.access in sources
    return draft.job in sources


def _is_last_check(draft: Draft) -> bool:
    """Whether it is one of the checks at the end, not one on the way there."""
    return draft.kind is StepKind.CHECK and draft.stage in ("on-the-ground", "on-the-road")

"""The job card of a stint of what is left: steps that are done already do not stand on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from onceapart.bench.card import job_card
from onceapart.bench.card_model import Card, Step, StepKind
from onceapart.bench.replan import Left
from onceapart.bench.replan_done import operation_minutes
from onceapart.bench.state import State
from onceapart.bench.stopgap import open_stopgaps
from onceapart.planning.plan import Plan
from onceapart.trade import Recipe


def card_left(left: Left, state: State, plan: Plan, stint: int, *, recipes: Iterable[Recipe] = ()) -> Card:
    """The card of one stint of a plan of what is left.

    Parameters
    ----------
    left : Left
    state : State
        That it was made from.
    plan : Plan
        Of ``left.workload``.
    stint : int
        Position of the stint in the plan's ``work``.
    recipes : iterable of Recipe, optional
        The recipes of one's own that the workshop was applied with.

    Returns
    -------
    Card
        With the minutes that planning counts: operations of a half-done job keep theirs, and what a way on
        from a snag adds goes with the first of them. Open stopgaps of its cars stand at the top.

    Raises
    ------
    IndexError
        If the plan has no such stint.
    """
    card = job_card(left.workshop, plan, stint, workload=left.workload, recipes=recipes)
    done = {
        step.id
        for step in card.steps
        if step.kind in (StepKind.DO, StepKind.MEASURE)
        and any(job in left.jobs.begun for job in step.jobs)
        and step.id in state.done
    }
    minutes = {step: n for job in left.jobs.begun for step, n in _minutes(left, card, job, done).items()}
    steps = tuple(
        replace(
            step,
            minutes=minutes.get(step.id, step.minutes),
            needs=tuple(_needs(card, step, done)),
        )
        for step in card.steps
        if step.id not in done
    )
    cars = dict.fromkeys(step.car for step in card.steps)
    texts = [text for car in cars for text in open_stopgaps(state, car, on=left.now.date())]
    return replace(card, steps=steps, open_stopgaps=tuple(texts))


def _minutes(left: Left, card: Card, job: str, done: set[str]) -> dict[str, int]:
    """Minutes of the operations of a half-done job that are still to do, by step."""
    mine = [step.id for step in card.steps if step.kind is StepKind.DO and step.jobs == (job,)]
    rest = [step for step in mine if step not in done]
    if not rest or job not in left.work.jobs:
        return {}
    shares = operation_minutes(left.work, left.work.jobs[job])
    found = {step: shares.get(step, 0) for step in rest}
    found[rest[0]] += left.workload.job[job].minutes - sum(found.values())
    return found


def _needs(card: Card, step: Step, done: set[str]) -> Iterable[str]:
    """Steps before it that are still to do; for one that is done, those that it needed."""
    found: dict[str, None] = {}
    waiting = list(step.needs)
    while waiting:
        one = waiting.pop(0)
        if one in done:
            waiting += card.step[one].needs
        else:
            found[one] = None
    return found

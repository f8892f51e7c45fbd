"""Job cards: all the work of a stint, merged into one working order."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from onceapart.bench.card_cautions import cautions_by_step, cautions_on_top
from onceapart.bench.card_model import Card, CardJob, Step
from onceapart.bench.card_work import CardWork, job_title
from onceapart.bench.lay_out import lay_out_of
from onceapart.bench.order import MOST_STATES
from onceapart.bench.steps import drafts_of
from onceapart.bench.steps_order import in_working_order
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload, workload_from
from onceapart.trade import Recipe
from onceapart.workshop import Workshop


def job_card(
    workshop: Workshop,
    plan: Plan,
    stint: int,
    *,
    open_stopgaps: Sequence[str] = (),
    workload: Workload | None = None,
    today: dt.date | None = None,
    recipes: Iterable[Recipe] = (),
    most_states: int = MOST_STATES,
) -> Card:
    """The card of one stint of a plan.

    Parameters
    ----------
    workshop : Workshop
        As ``apply_recipes`` returns it.
    plan : Plan
        One that keeps the rules; a card of any other says what can be said.
    stint : int
        Position of the stint in the plan's ``work``.
    open_stopgaps : sequence of str
        Makeshift repairs not made good yet, each in a short text; they stand at the top of the card.
    workload : Workload, optional
        The workshop's, if it is there already; else made for ``today``, where the workshop names no day.
    recipes : iterable of Recipe, optional
        The recipes of one's own that the workshop was applied with.
    most_states : int
        How far the search for the order is exact; see ``order.MOST_STATES``.

    Returns
    -------
    Card
        Its minutes are those that planning counts for the stint. An empty stint gives a card without steps.

    Raises
    ------
    IndexError
        If the plan has no such stint.

    Examples
    --------
    >>> from onceapart.demo import read_demo
    >>> from onceapart.planning.plan import StintWork
    >>> from onceapart.trade import apply_recipes
    >>> work = StintWork(("pickle-window",), ("pickle/passenger-door-card",))
    >>> card = job_card(apply_recipes(read_demo().workshop), Plan((work,)), 0)
    >>> for step in card.steps:
    ...     print(step.id, step.minutes)
    off:pickle/passenger-door-card 13
    do:pickle-window:work 45
    on:pickle/passenger-door-card 12
    check:pickle/nothing-left 0
    check:pickle/steering-free 0
    check:pickle/lamps-work 0
    check:pickle/pedal-hard 0
    check:pickle/brakes-slow-try 0
    """
    if not 0 <= stint < len(plan.work):
        raise IndexError(f"stint {stint}: the plan has {len(plan.work)}")
    workload = workload or workload_from(workshop, today)
    work = CardWork.of(workshop, workload, plan, stint, recipes)
    drafts = drafts_of(work)
    ordered = in_working_order(work, drafts, most_states)
    cautions = cautions_by_step(work, ordered.drafts, ordered.cars)
    return Card(
        workshop=workshop.name,
        date=work.stint.date,
        stint=work.stint.id,
        minutes_available=work.stint.minutes,
        minutes=plan.minutes_in(workload, stint),
        jobs=tuple(
            CardJob(job.id, job.car, job_title(job, work.recipe(job.id)), job.place or "all",
                    workload.job[job.id].minutes)
            for job in work.jobs.values()
        ),
        lay_out=lay_out_of(work, ordered.drafts),
        steps=tuple(
            Step(
                id=draft.id,
                kind=draft.kind,
                car=ordered.cars[draft.id],
                place=draft.place,
                title=draft.title,
                words=draft.words,
                minutes=draft.minutes,
                jobs=draft.jobs,
                phase=ordered.phases[draft.id],
                needs=ordered.needs[draft.id],
                fasteners=tuple(draft.fasteners),
                measurements=draft.measurements,
                cautions=cautions.get(draft.id, ()),
            )
            for draft in ordered.drafts
        ),
        cautions=cautions_on_top(cautions),
        found_off=tuple(one for one in work.access if one in work.found_off),
        left_off=tuple(one for one in work.access if one in work.left_off),
        open_stopgaps=tuple(open_stopgaps),
        walks=ordered.walks,
        is_shortest=ordered.is_shortest,
        car_names={car.id: car.name for car in workshop.cars},
    )  # fmt: skip

"""``onceapart plan --confidence``: a plan that holds its dates with a given chance."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING

import typer

from onceapart.cli.chance import NOT_AS_SURE, find_confident, trouble_in
from onceapart.cli.files import Loaded
from onceapart.cli.plan import INTERRUPTED, AimName, answer_for, say_no_plan_yet

if TYPE_CHECKING:
    from onceapart.planning.answer import Answer
    from onceapart.planning.chance.confidence import Confident


def confident_for(found: Loaded, aim: AimName, confidence: float, *, as_json: bool) -> None:
    """Find a plan for a chance and print it, the spares in its basket; exit as ``plan`` says."""
    from onceapart.planning.plan import Aim

    try:
        careful = find_confident(found, trouble_in(found), confidence, Aim(aim.value))
    except KeyboardInterrupt:
        say_no_plan_yet(found, "stopped before a plan was found")
        raise typer.Exit(INTERRUPTED) from None
    if careful is None:  # not even on typical minutes: the plain command says why
        answer_for(found, aim, as_json=as_json)
        return
    answer = _answer(found, careful)
    if as_json:
        from onceapart.planning.chance.report import confident_to_json
        from onceapart.planning.plan_file import plan_to_json

        data = plan_to_json(found.workload, answer)
        data["confidence"] = confident_to_json(found.workload, careful)
        typer.echo(json.dumps(data, indent=2, ensure_ascii=False))
    else:
        _show(found, careful, answer)
    if not careful.reached:
        raise typer.Exit(NOT_AS_SURE)


def _answer(found: Loaded, careful: Confident) -> Answer:
    """The careful plan with its spares; its bound is that of the plan on typical minutes."""
    from onceapart.planning.chance.report import with_spares
    from onceapart.planning.cost import cost
    from onceapart.planning.plan import Status

    plan = with_spares(careful.found.plan, careful.found.spares)
    usual = careful.usual.answer
    return replace(usual, status=Status.GOOD, plan=plan, cost=cost(found.workload, plan))


def _show(found: Loaded, careful: Confident, answer: Answer) -> None:
    from onceapart.cli.chance_care_page import add_comparison, add_proof, care_words
    from onceapart.cli.chance_page import add_basis
    from onceapart.cli.chance_spares_page import add_spares
    from onceapart.cli.page import Page
    from onceapart.cli.plan_page import add_plan, add_rest

    workload, plan = found.workload, answer.plan
    assert plan is not None
    page = Page()
    add_plan(page, found.workshop, workload, answer, care_words(workload, careful))
    add_spares(page, workload, careful.found.spares)
    left = [job.id for job in workload.jobs if job.id not in plan.done]
    if left:
        page.heading("Left")
        page.items("", left, 0)
    add_comparison(page, workload, careful)
    add_proof(page, workload, careful)
    add_basis(page, plan, careful.trouble)
    add_rest(page, workload, plan)
    page.show()

"""``onceapart plan``: the best plan of a workshop file."""

from __future__ import annotations

import json
from dataclasses import replace
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.files import File, Loaded, add_stopgaps, load

if TYPE_CHECKING:
    from onceapart.planning.answer import Answer

NO_PLAN_YET, IMPOSSIBLE, INTERRUPTED = 1, 3, 130
"""Exit statuses."""


class AimName(StrEnum):
    """``planning.Aim``, which would be slow to import for a help text; a test keeps the two alike."""

    BALANCE = "balance"
    THRIFT = "thrift"
    SOONEST = "soonest"
    LEAST_WORK = "least-work"


AimOption = Annotated[
    AimName,
    typer.Option(
        "--aim",
        metavar="AIM",
        help="What the plan is best in: balance (money and time together), thrift (money), soonest (ready "
        "date) or least-work (minutes).",
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")]
SecondsOption = Annotated[
    float | None,
    typer.Option(
        "--seconds",
        metavar="N",
        min=0.0,
        help="Stop after so many seconds with the best plan so far. "
        "By default the proof is the end, or a fixed amount of work.",
    ),
]
ConfidenceOption = Annotated[
    float | None,
    typer.Option(
        "--confidence",
        metavar="P",
        min=0.01,
        max=0.99,
        help="Plan so that all dates hold with this chance, such as 0.8.",
    ),
]
WhyOption = Annotated[bool, typer.Option("--why", help="Give the reasons for every job and every order.")]


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("plan")(plan)


def plan(
    file: File,
    aim: AimOption = AimName.BALANCE,
    as_json: JsonOption = False,
    seconds: SecondsOption = None,
    why: WhyOption = False,
    confidence: ConfidenceOption = None,
) -> None:
    """Find the best plan of a workshop file, with its proof.

    It says what to order, what to do when, what is left, and why. Ctrl-C stops the search with the best
    plan so far, marked `good`. Exit status 0 with a plan, 2 if the file cannot be used, 3 if no plan is
    possible (the reasons are given), 4 if no plan was found that is as sure as --confidence asks.
    """
    if confidence is not None:
        if seconds is not None:
            raise typer.BadParameter(
                "it can't go with --seconds; the search ends by itself", param_hint="--confidence"
            )
        from onceapart.cli.plan_confident import confident_for

        confident_for(load(file), aim, confidence, as_json=as_json)
        return
    answer_for(load(file), aim, as_json=as_json, seconds=seconds, all_reasons=why)


def answer_for(
    found: Loaded,
    aim: AimName = AimName.BALANCE,
    *,
    as_json: bool = False,
    seconds: float | None = None,
    all_reasons: bool = False,
) -> None:
    """Find a plan and print it; exit as ``plan`` says if there is none."""
    from onceapart.cli.solving import find_plan
    from onceapart.planning.plan import Aim, Status

    try:
        answer = find_plan(found.workload, Aim(aim.value), seconds)
        if answer.status is Status.IMPOSSIBLE:
            answer = explained(found, answer)
    except KeyboardInterrupt:
        say_no_plan_yet(found, "stopped before a plan was found")
        raise typer.Exit(INTERRUPTED) from None
    if as_json:
        from onceapart.planning.plan_file import plan_to_json

        typer.echo(json.dumps(plan_to_json(found.workload, answer), indent=2, ensure_ascii=False))
    elif answer.plan is not None:
        _show(found, answer, all_reasons=all_reasons)
    elif answer.status is Status.IMPOSSIBLE:
        show_why_impossible(found, answer)
    else:
        say_no_plan_yet(found, ", ".join(answer.why))
    if answer.plan is None:
        raise typer.Exit(IMPOSSIBLE if answer.status is Status.IMPOSSIBLE else NO_PLAN_YET)


def _show(found: Loaded, answer: Answer, *, all_reasons: bool) -> None:
    from onceapart.cli.page import Page
    from onceapart.cli.plan_page import add_plan, add_rest
    from onceapart.cli.solving import waiting
    from onceapart.cli.why_page import add_left, add_why
    from onceapart.planning.explain import explain

    assert answer.plan is not None
    page = Page()
    add_stopgaps(page, found.stopgaps)
    add_plan(page, found.workshop, found.workload, answer)
    try:
        with waiting("working out the reasons; Ctrl-C leaves them out"):
            explanation = explain(found.workload, answer.plan, answer.aim)
    except KeyboardInterrupt:
        page.heading("Why", "left out")
    else:
        add_why(page, found.workload, answer.plan, explanation, in_full=all_reasons)
        add_left(page, found.workload, explanation)
    add_rest(page, found.workload, answer.plan)
    page.show()


def explained(found: Loaded, answer: Answer) -> Answer:
    """An impossible answer with a smallest set of wants that can't all hold."""
    from onceapart.cli.solving import waiting
    from onceapart.planning.conflict import explain_impossible

    with waiting("no plan is possible; looking for what stands in the way"):
        try:
            why = explain_impossible(found.workload)
        except KeyboardInterrupt:
            why = ()
    return replace(answer, why=why) if why else answer


def show_why_impossible(found: Loaded, answer: Answer) -> None:
    from onceapart.cli.page import Page

    page = Page()
    page.heading(f"{found.workshop.name}: no plan is possible")
    for line in answer.why:
        if line.endswith(":"):
            page.paragraph(line)
        else:
            page.sentences([line])
    page.show()


def say_no_plan_yet(found: Loaded, what: str) -> None:
    from onceapart.cli.screen import say

    say(f"{found.workshop.name}: {what}. Give the search more time; it may be that there is none.")

"""``onceapart chance``: how likely a plan is to hold, and what to do about it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.files import File, Loaded, load
from onceapart.cli.plan import (
    IMPOSSIBLE,
    INTERRUPTED,
    NO_PLAN_YET,
    AimName,
    AimOption,
    ConfidenceOption,
    JsonOption,
    explained,
    say_no_plan_yet,
    show_why_impossible,
)

if TYPE_CHECKING:
    from onceapart.planning.answer import Answer
    from onceapart.planning.chance.confidence import Confident
    from onceapart.planning.chance.trouble import Trouble
    from onceapart.planning.plan import Aim

NOT_AS_SURE = 4
"""Exit status where no plan was found that holds with the chance asked for."""

TripOption = Annotated[
    int | None,
    typer.Option(
        "--trip",
        metavar="MINUTES",
        min=0,
        max=1440,
        help="Minutes to the counter and back, for a fastener that broke; by default 30.",
    ),
]


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("chance")(chance)


def chance(
    file: File,
    aim: AimOption = AimName.BALANCE,
    confidence: ConfidenceOption = None,
    trip: TripOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say how likely a plan is to hold its dates.

    The plan on typical minutes is worked 10,000 times, with good and bad luck in minutes and fasteners: the
    chance of each stint and each car, where the risk sits, and which spare fasteners to order. With
    --confidence it is set beside a plan that holds with that chance. Exit statuses are those of `plan`.
    """
    found = load(file)
    from onceapart.cli.solving import find_plan, waiting
    from onceapart.planning.chance.report import report_on, report_to_json
    from onceapart.planning.plan import Aim, Status

    trouble = trouble_in(found, trip)
    careful = None
    try:
        answer = find_plan(found.workload, Aim(aim.value))
        if answer.status is Status.IMPOSSIBLE:
            answer = explained(found, answer)
        if answer.plan is not None and confidence is not None:
            careful = find_confident(found, trouble, confidence, Aim(aim.value))
    except KeyboardInterrupt:
        say_no_plan_yet(found, "stopped before a plan was found")
        raise typer.Exit(INTERRUPTED) from None
    if answer.plan is None:
        _say_why_not(found, answer, as_json=as_json)
        raise typer.Exit(IMPOSSIBLE if answer.status is Status.IMPOSSIBLE else NO_PLAN_YET)
    with waiting("working the plan 10,000 times"):
        report = report_on(found.workload, answer.plan, trouble)
    if as_json:
        typer.echo(json.dumps(report_to_json(report, answer, careful), indent=2, ensure_ascii=False))
    else:
        from onceapart.cli.chance_page import show_report

        show_report(found, report, careful)
    if careful is not None and not careful.reached:
        raise typer.Exit(NOT_AS_SURE)


def trouble_in(found: Loaded, trip: int | None = None) -> Trouble:
    """What may go otherwise in a workshop."""
    from onceapart.planning.chance.trouble import TRIP, trouble_of

    return trouble_of(found.workshop, trip=TRIP if trip is None else trip)


def find_confident(found: Loaded, trouble: Trouble, confidence: float, aim: Aim) -> Confident | None:
    """A plan for a chance, with progress on the error stream if that is a terminal."""
    from onceapart.cli.solving import saying
    from onceapart.planning.chance.confidence import confident_plan

    with saying("looking for a plan that holds") as say_more:

        def progress(tried: int, best: float) -> None:
            say_more(f"looking for a plan that holds: {tried} tried, the best so far with {best:.0%}")

        return confident_plan(found.workload, trouble, confidence, aim, progress=progress)


def _say_why_not(found: Loaded, answer: Answer, *, as_json: bool) -> None:
    from onceapart.planning.plan import Status

    if as_json:
        from onceapart.planning.plan_file import plan_to_json

        typer.echo(json.dumps(plan_to_json(found.workload, answer), indent=2, ensure_ascii=False))
    elif answer.status is Status.IMPOSSIBLE:
        show_why_impossible(found, answer)
    else:
        say_no_plan_yet(found, ", ".join(answer.why))

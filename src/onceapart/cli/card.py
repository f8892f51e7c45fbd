"""``onceapart card``: the work of one stint in working order, to tick off at the car."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.files import UNUSABLE, File, Loaded, load, say_problems
from onceapart.cli.plan import IMPOSSIBLE, INTERRUPTED, NO_PLAN_YET, AimName, AimOption, JsonOption

if TYPE_CHECKING:
    from onceapart.planning.plan import Plan

MOST_BYTES = 20_000_000
"""A saved plan is never as large."""


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("card")(card)


def card(
    file: File,
    stint: Annotated[
        str, typer.Option("--stint", metavar="DATE|ID", help="Which stint: its date, or its id.")
    ],
    aim: AimOption = AimName.BALANCE,
    plan: Annotated[
        str | None,
        typer.Option(
            "--plan",
            metavar="SAVED.json",
            help="Take this plan, which `onceapart plan --json` wrote, in place of planning now.",
        ),
    ] = None,
    ids: Annotated[
        bool,
        typer.Option("--ids", help="Print the name of each step below it, as `onceapart tick` takes it."),
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Print the job card of a stint: all its work in one order.

    What to lay out, each step with a box to tick, blanks for measurements and torques, cautions, release
    checks. It plans first, or takes a saved plan. Exit status 0 with a card, 2 if the file, the stint or
    the saved plan cannot be used, 3 if no plan is possible.
    """
    found = load(file)
    at = find_stint(found, stint)
    chosen = planned(found, aim) if plan is None else saved_plan(found, plan, at)
    from onceapart.bench.card import job_card

    made = job_card(found.workshop, chosen, at, workload=found.workload, open_stopgaps=found.stopgaps)
    if as_json:
        from onceapart.bench.card_data import card_to_json

        typer.echo(json.dumps(card_to_json(made), indent=2, ensure_ascii=False))
    else:
        from onceapart.cli.card_page import show_card

        show_card(made, _busy(found, chosen), with_ids=ids)


def find_stint(found: Loaded, wanted: str) -> int:
    """Position of the stint that is meant; says which there are, and exits, if it is none or several."""
    stints = found.workload.stints
    named = [at for at, one in enumerate(stints) if wanted in (one.id, one.date.isoformat(), one.label)]
    if len(named) == 1:
        return named[0]
    from onceapart.cli.screen import say

    if named:
        ids = ", ".join(str(stints[at].id) for at in named)
        say(f"--stint {wanted}: there are {len(named)} stints that day; name one by its id: {ids}")
    else:
        there = ", ".join(one.label for one in stints) or "none"
        say(f"--stint {wanted}: the file has no such stint; it has {there}")
    raise typer.Exit(UNUSABLE)


def planned(found: Loaded, aim: AimName) -> Plan:
    """The best plan; says why there is none, and exits."""
    from onceapart.cli.plan import explained, say_no_plan_yet, show_why_impossible
    from onceapart.cli.solving import find_plan
    from onceapart.planning.plan import Aim, Status

    try:
        answer = find_plan(found.workload, Aim(aim.value))
        if answer.status is Status.IMPOSSIBLE:
            answer = explained(found, answer)
    except KeyboardInterrupt:
        say_no_plan_yet(found, "stopped before a plan was found")
        raise typer.Exit(INTERRUPTED) from None
    if answer.plan is not None:
        return answer.plan
    if answer.status is Status.IMPOSSIBLE:
        show_why_impossible(found, answer)
        raise typer.Exit(IMPOSSIBLE)
    say_no_plan_yet(found, ", ".join(answer.why))
    raise typer.Exit(NO_PLAN_YET)


def saved_plan(found: Loaded, name: str, at: int | None = None) -> Plan:
    """A saved plan; exits if it cannot be used (for this stint), and says what else is wrong with it."""
    from onceapart.cli.screen import say
    from onceapart.planning.plan_file import PlanFileError, plan_from_json
    from onceapart.planning.rules import broken_rules

    try:
        with open(name, "rb") as file:
            text = file.read(MOST_BYTES)
        plan = plan_from_json(found.workload, json.loads(text))
    except OSError as error:
        say(f"{name}: the saved plan cannot be read ({error.strerror}); check the name and its permissions.")
    except (ValueError, RecursionError):
        say(f"{name}: this is no plan as `onceapart plan --json` writes it; save it again.")
    except PlanFileError as error:
        say_problems(PlanFileError(name, error.problems))
    else:
        works = plan.work if at is None else plan.work[at : at + 1]
        missing = [
            one for work in works for one in _missing(found.workload.opened_for(work.jobs), work.access)
        ]
        if missing:
            off = ", ".join(missing)
            where = "a stint" if at is None else "this stint"
            say(f"{name}: {off} must come off in {where}, and the plan does not say so; plan again.")
            raise typer.Exit(UNUSABLE)
        for rule in broken_rules(found.workload, plan):
            say(f"{name}: the saved plan no longer fits the file: {rule}")
        return plan
    raise typer.Exit(UNUSABLE)


def _missing(needed: tuple[str, ...], there: tuple[str, ...]) -> list[str]:
    return [one for one in needed if one not in there]


def _busy(found: Loaded, plan: Plan) -> list[str]:
    """Stints in which the plan has work, for when the one asked for has none."""
    from onceapart.cli.words import day

    return [
        day(stint.date) + (f" {stint.id}" if stint.id else "")
        for stint, work in zip(found.workload.stints, plan.work, strict=True)
        if work.jobs or work.access
    ]

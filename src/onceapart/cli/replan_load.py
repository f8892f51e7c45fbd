"""What the commands of snags, orders and planning anew share: what is left of a workshop at this time."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import typer

from onceapart.cli.files import say_problems
from onceapart.cli.record_bench import Bench, refuse
from onceapart.cli.screen import say

if TYPE_CHECKING:
    from onceapart.bench.replan import Left
    from onceapart.bench.replan_changes import Planned
    from onceapart.planning.plan import Plan
    from onceapart.planning.workload import Workload
    from onceapart.workshop import Workshop

MOST_BYTES = 20_000_000
"""A saved plan is never as large."""
PlanOption = Annotated[
    str | None,
    typer.Option(
        "--plan",
        metavar="SAVED.json",
        help="The plan that was followed, saved by `onceapart plan --json` or `onceapart replan --json`; by "
        "default the best plan of the file as of its `today`.",
    ),
]
TodayOption = Annotated[
    str | None, typer.Option("--today", metavar="DATE", help="Reckon as of this day; by default today.")
]


@dataclass(frozen=True)
class Standing:
    """What is left, and the plan that was followed: as planning made it, and what it said."""

    left: Left
    plan: Plan | None
    before: Planned | None


def standing(
    bench: Bench,
    saved: str | None,
    today: str | None,
    *,
    minutes_left: list[str] | None = None,
    needs_plan: bool = True,
) -> Standing:
    """What is left of a workshop by its record; exits with what is wrong."""
    from onceapart.bench.replan import replanned
    from onceapart.bench.replan_changes import as_planned

    time = time_now(today)
    data = _read(saved) if saved is not None else None
    plan, before, day = None, None, bench.workshop.today
    if data is not None and "in_all" in data:
        before = _before(data, saved or "")
    elif data is not None:
        day = day or _order_day(bench.workshop, data)
        plan = _saved_plan(_followed(bench), data, saved or "", day)
    if plan is None and day is not None and day <= time.date() and (needs_plan or not bench.state.ordered):
        plan = _solved(_followed(bench), day)
    if plan is not None and before is None and day is not None:
        from onceapart.planning.workload import workload_from

        before = as_planned(workload_from(bench.workshop, day), plan)
    left = replanned(
        bench.workshop,
        bench.state,
        plan,
        time,
        plan_day=day,
        minutes_left=_minutes(bench, minutes_left, time),
    )
    return Standing(left, plan, before)


def time_now(today: str | None) -> dt.datetime:
    """The present time, on another day if one is named."""
    from onceapart.bench.entries import now

    here = now()
    if today is None:
        return here
    day = day_typed("--today", today)
    return here.replace(year=day.year, month=day.month, day=day.day)


def day_typed(option: str, typed: str) -> dt.date:
    """A day as typed; exits if it is none."""
    try:
        return dt.date.fromisoformat(typed)
    except ValueError:
        refuse(f"{option} {typed}: there is no such day; write it as in 2026-03-14")


def _followed(bench: Bench) -> Workshop:
    """The workshop as it was when it was planned first, as far as one can tell: without stopgaps' jobs."""
    later = {stopgap.fitted.job for stopgap in bench.state.stopgaps}
    jobs = tuple(job for job in bench.workshop.jobs if job.id not in later)
    return bench.workshop.model_copy(update={"jobs": jobs})


def _solved(workshop: Workshop, day: dt.date) -> Plan | None:
    from onceapart.cli.solving import find_plan
    from onceapart.planning.plan import Aim
    from onceapart.planning.workload import workload_from

    try:
        answer = find_plan(workload_from(workshop, day), Aim.BALANCE)
    except KeyboardInterrupt:
        raise typer.Exit(130) from None
    if answer.plan is None:
        say("The file has no plan of its own any more, so nothing is taken as ordered but what is noted.")
    return answer.plan


def _read(name: str) -> dict[str, Any]:
    try:
        with open(name, "rb") as file:
            data = json.loads(file.read(MOST_BYTES))
    except OSError as error:
        refuse(f"{name}: the saved plan can't be read ({error.strerror}); check the name and its permissions")
    except (ValueError, RecursionError):
        data = None
    if not isinstance(data, dict) or "stints" not in data:
        refuse(f"{name}: this is no plan as `onceapart plan --json` or `replan --json` writes it")
    return data


def _before(data: dict[str, Any], name: str) -> Planned:
    from onceapart.bench.replan_changes import planned_from_json

    try:
        return planned_from_json(data)
    except (KeyError, TypeError, ValueError):
        refuse(f"{name}: this is no plan as `onceapart replan --json` writes it; save it again")


def _saved_plan(workshop: Workshop, data: dict[str, Any], name: str, day: dt.date | None) -> Plan:
    from onceapart.planning.plan_file import PlanFileError, plan_from_json

    if day is None:
        refuse(f"{name}: it does not say on which day it was made; give `today` in the workshop file")
    try:
        return plan_from_json(_workload(workshop, day), data)
    except PlanFileError as error:
        say_problems(PlanFileError(name, error.problems))
        raise typer.Exit(2) from None


def _workload(workshop: Workshop, day: dt.date) -> Workload:
    from onceapart.planning.workload import workload_from

    return workload_from(workshop, day)


def _order_day(workshop: Workshop, data: dict[str, Any]) -> dt.date | None:
    """The day the orders of a saved plan were placed, by when they arrive."""
    days = {offer.id: workshop.delivery_days(offer) for offer in workshop.offers}
    try:
        for order in data["orders"]:
            for line in order["lines"]:
                if line["offer"] in days:
                    arrives = dt.date.fromisoformat(line["arrives"])
                    return arrives - dt.timedelta(days=days[line["offer"]])
    except (KeyError, TypeError, ValueError):
        pass
    return None


def _minutes(bench: Bench, typed: list[str] | None, time: dt.datetime) -> dict[str, int]:
    """Minutes left by stint, from ``N`` or ``STINT=N``."""
    found = {}
    stints = [one for one in bench.workshop.stints if one.date == time.date()]
    names = [one.id or one.date.isoformat() for one in stints]
    for one in typed or []:
        name, _, number = one.rpartition("=")
        if not number.isdecimal():
            refuse(f"--minutes-left {one}: whole minutes are wanted; write --minutes-left 90")
        if not names:
            refuse(f"--minutes-left {one}: there is no stint on {time.date()}")
        if not name and len(names) > 1:
            refuse(f"--minutes-left {one}: of which stint? Write {names[0]}={number}")
        if name and name not in names:
            refuse(f"--minutes-left {one}: today's stints are {', '.join(names)}")
        found[name or names[0]] = int(number)
    return found

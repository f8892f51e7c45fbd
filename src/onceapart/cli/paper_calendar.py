"""``onceapart paper calendar``: the dates of a plan as an iCalendar file."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

import typer

from onceapart.cli.files import File, load
from onceapart.cli.paper_files import OutOption, PlanOption, check_out, record_beside, refuse, write_new
from onceapart.cli.plan import AimName, AimOption


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("calendar")(calendar)


def made_at(typed: str | None) -> dt.datetime:
    """The time a paper is said to be made; exits if it is none. Without a zone it is that of this machine."""
    if typed is None:
        from onceapart.bench.entries import now

        return now()
    try:
        found = dt.datetime.fromisoformat(typed)
        return found.astimezone() if found.tzinfo is None else found
    except (ValueError, OverflowError, OSError):
        refuse(f"--at {typed}: no such time; write it as in 2026-03-07T18:30")


AtOption = Annotated[
    str | None,
    typer.Option(
        "--at",
        metavar="TIME",
        help="Made at this time, as in 2026-03-07T18:30; by default now. The same time gives the same file.",
    ),
]


def calendar(
    file: File,
    out: OutOption,
    begins: Annotated[
        str | None,
        typer.Option(
            "--from",
            metavar="HH:MM",
            help="Stints begin at this time, as in 09:00; a second one on a day follows on the first. By "
            "default they take the whole day, since a workshop file has no times.",
        ),
    ] = None,
    aim: AimOption = AimName.BALANCE,
    plan: PlanOption = None,
    at: AtOption = None,
) -> None:
    """Write the dates of a plan as a calendar (.ics).

    Stints with their jobs, arrivals of orders, inspections with a reminder the day before, wheel nuts and the
    like once more. Imported again later, it updates what is there. It plans first, or takes a saved plan; the
    record beside the file is taken into account.
    """
    from onceapart.bench.release_work import work_of
    from onceapart.cli.card import planned, saved_plan
    from onceapart.paper.calendar import calendar_ics

    path, time = check_out(out, ".ics"), made_at(at)
    start = _time_of_day(begins) if begins is not None else None
    found = load(file)
    entries = record_beside(file)
    chosen = planned(found, aim) if plan is None else saved_plan(found, plan)
    content = calendar_ics(work_of(found.workshop), found.workload, chosen, entries, at=time, begins=start)
    write_new(path, content)


def _time_of_day(typed: str) -> dt.time:
    try:
        return dt.datetime.strptime(typed, "%H:%M").time()
    except ValueError:
        refuse(f"--from {typed}: no time of day; write it as in 09:00")

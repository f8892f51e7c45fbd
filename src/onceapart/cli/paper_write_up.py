"""``onceapart paper write-up``: what was done, to share with others, as Markdown or HTML."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

import typer

from onceapart.cli.files import File, load
from onceapart.cli.paper_files import OutOption, PlanOption, check_out, record_beside, refuse, write_new
from onceapart.cli.plan import AimName, AimOption


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("write-up")(write_up)


def write_up(
    file: File,
    out: OutOption,
    job: Annotated[str | None, typer.Option("--job", metavar="ID", help="Of this job.")] = None,
    stint: Annotated[
        str | None, typer.Option("--stint", metavar="DATE|ID", help="Of all the work of this stint.")
    ] = None,
    private: Annotated[
        bool,
        typer.Option(
            "--private", help="Leave nothing out: for yourself, with names, addresses, plates and VIN."
        ),
    ] = False,
    aim: AimOption = AimName.BALANCE,
    plan: PlanOption = None,
    date: Annotated[
        str | None,
        typer.Option("--date", metavar="DATE", help="What the record says up to this day; by default all."),
    ] = None,
) -> None:
    """Write up a job or a stint to share, as Markdown or HTML.

    What was done, parts with numbers and prices, what was saved, hours, measurements, what went otherwise,
    lessons, photos by name, cautions. Addresses, plates, VIN and names of people are left out by their looks:
    read it before you share it. The ending of PATH decides: .md or .html. It plans first, or takes a saved
    plan, so that costs can be shared out.
    """
    from onceapart.bench.release_work import work_of
    from onceapart.cli.card import find_stint, planned, saved_plan
    from onceapart.paper.write_up import (
        write_up_html,
        write_up_markdown,
        write_up_of_job,
        write_up_of_stint,
    )
    from onceapart.workshop.values import nearest

    path = check_out(out, ".md", ".html")
    if (job is None) == (stint is None):
        refuse("a write-up is of one job or of one stint; give --job ID or --stint DATE")
    today = _day(date) if date is not None else dt.date.max
    found = load(file)
    work, entries = work_of(found.workshop), record_beside(file)
    if job is not None and job not in work.jobs:
        near = nearest(job, list(work.jobs))
        way_out = f"did you mean {near}?" if near else f"there is {', '.join(work.jobs) or 'none'}"
        refuse(f"--job {job}: there is no such job; {way_out}")
    at = find_stint(found, stint) if stint is not None else None
    chosen = planned(found, aim) if plan is None else saved_plan(found, plan)
    if job is not None:
        made = write_up_of_job(work, found.workload, chosen, entries, job, today=today, with_private=private)
    else:
        assert at is not None
        made = write_up_of_stint(work, found.workload, chosen, entries, at, today=today, with_private=private)
    text = write_up_html(made) if path.suffix.lower() == ".html" else write_up_markdown(made)
    write_new(path, text.encode())


def _day(typed: str) -> dt.date:
    try:
        return dt.date.fromisoformat(typed)
    except ValueError:
        refuse(f"--date {typed}: no such day; write it as in 2026-03-07")
